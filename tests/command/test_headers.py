"""Headers as agencies' exports have them."""

import re
import subprocess

import pytest
from support import findings, written


@pytest.fixture
def columns(program):
    def run(*files):
        return subprocess.run(
            [program, "columns", *map(str, files)], capture_output=True, text=True, timeout=60
        )

    return run


def test_the_halves_of_a_whole_pressure_are_asked_about_apart(audit, columns, tmp_path):
    week = written(
        tmp_path,
        "report,BP,pulse\nA,120/80,70\nB,72/118,70\nC,12O/80,70\nD,110/P,70\nE,refused,70\n",
    )
    ran = audit(week)
    assert ran.status == 0 and ran.err == ""
    assert ran.account()["rows_examined"] == 5
    questions = {f["check"]: f for f in findings(ran.into) if f["asks"] != "notice"}
    assert set(questions) == {"pressure.order", "unreadable.systolic"}
    assert questions["pressure.order"]["report"] == "B"
    assert questions["unreadable.systolic"]["charted"] == "12O"
    assert (
        "Systolic 72 mmHg is not above diastolic 118 mmHg."
        in questions["pressure.order"]["question"]
    )
    assert "mmHg (not stated, assumed)" in columns(week).stdout


def test_whole_pressures_beside_their_halves_are_not_used(audit, columns, tmp_path):
    week = written(tmp_path, "report,BP,SBP,DBP\nA,72/118,120,80\n")
    ran = audit(week)
    assert [f for f in findings(ran.into) if f["asks"] != "notice"] == []
    assert 'not used: columns 3 "SBP" and 4 "DBP" are' in columns(week).stdout


def test_a_row_of_several_sets(audit, columns, tmp_path):
    week = written(
        tmp_path,
        "PCR,Unit,Time1,BP1 Sys,BP1 Dia,Time2,BP2 Sys,BP2 Dia\n"
        "26-1,M1,2026-03-01 10:00,120,80,2026-03-01 10:10,72,118\n"
        "26-2,M1,2026-03-01 11:00,120,80,2026-03-01 11:10,,\n"
        "26-3,M1,2026-03-01 12:00,,,,,\n",
    )
    ran = audit(week)
    assert ran.status == 0 and ran.err == ""
    account = ran.account()
    assert (account["rows_read"], account["rows_examined"], account["rows_other"]) == (3, 2, 1)
    assert "2 reports, 3 sets" in ran.out
    assert "Each row holds up to 2 sets" in ran.out
    order = [f for f in findings(ran.into) if f["check"] == "pressure.order"]
    assert [(f["report"], f["set"], f["taken_at"]) for f in order] == [
        ("26-1", "2", "2026-03-01T10:10:00")
    ]
    assert "set 2: systolic in mmHg" in columns(week).stdout


TITLES = "Acme EMS, vitals by report\nfrom 2026-03-01,to 2026-03-31\n\n"


def test_lines_above_the_header_are_said_and_not_shown(audit, columns, tmp_path):
    week = written(tmp_path, TITLES + "report,SBP,DBP\nA,72,118\n")
    ran = audit(week)
    assert ran.status == 0 and ran.err == ""
    assert ran.account()["rows_read"] == 1
    assert [f["report"] for f in findings(ran.into) if f["check"] == "pressure.order"] == ["A"]
    for text in (ran.out, columns(week).stdout):
        assert "Lines 1-3 stand above the header and were not read" in text
        assert "Acme" not in text


def test_columns_are_a_table_with_examples_of_charted_values_alone(columns, tmp_path):
    week = written(
        tmp_path,
        "PCR,Unit,Name,Time1,BP1,Temp1 (F),Time2,BP2,Temp2 (F)\n"
        "26-0113,M7,Doe,2026-03-01 10:00,120/80,98.6,,110/P,\n"
        "26-0114,M7,Roe,2026-03-01 11:00,Doe J,98.6,,,99\n",
    )
    ran = columns(week)
    assert ran.returncode == 0 and ran.stderr == ""
    lines = ran.stdout.splitlines()
    cells = {tuple(re.split("  +", line.strip())) for line in lines}
    assert ("1", "PCR", "report identifier") in cells
    assert ("3", "Name", "not used") in cells
    pressures = "systolic/diastolic (mean) in mmHg (not stated, assumed)"
    assert ("5", "BP1", f"set 1: {pressures}", "120/80") in cells
    assert ("8", "BP2", f"set 2: {pressures}", "110/P") in cells
    assert ("6", "Temp1 (F)", "set 1: temperature in °F", "98.6") in cells
    head = next(line for line in lines if line.strip().startswith("header"))
    for row in lines[lines.index(head) + 1 :][:9]:
        for title in ("header", "read as"):
            at = head.index(title)
            assert row[at - 2 : at] == "  " and row[at] != " "
    for private in ("Doe", "Roe", "26-01", "M7"):
        assert private not in ran.stdout
