"""Files with one reading a row."""

import subprocess

from support import findings, written

LONG = """\
PCR,Unit,Taken At,Vital,Value,UOM
26-1,M7,2026-03-01T14:32,SBP,72,mmHg
26-1,M7,2026-03-01T14:32,DBP,118,mmHg
26-1,M7,2026-03-01T14:32,Shoe Size,43,
26-1,M7,2026-03-01T14:40,8480-6,12O,mm[Hg]
26-1,M7,2026-03-01T14:40,8462-4,80,mm[Hg]
26-2,M8,2026-03-01T15:00,Temp,98.6,F
26-2,M8,2026-03-01T15:00,Glucose,,
26-2,M8,2026-03-01T15:00,GCS,15,
,M8,2026-03-01T15:00,GCS,15,
"""

# The same sets, a row each.
WIDE = """\
PCR,Unit,Taken At,SBP,DBP,Temp (F),Glucose,GCS
26-1,M7,2026-03-01T14:32,72,118,,,
26-1,M7,2026-03-01T14:40,12O,80,,,
26-2,M8,2026-03-01T15:00,,,98.6,,15
"""


def test_the_long_form_finds_what_a_row_a_set_finds(audit, tmp_path):
    ran = audit(written(tmp_path, LONG, "long.csv"))
    assert (ran.status, ran.err) == (0, "")
    account = ran.account()
    counts = [account[f"rows_{part}"] for part in ("read", "examined", "unread", "other")]
    assert counts == [9, 6, 1, 2]
    assert (account["reports"], account["sets"]) == (2, 3)
    wide = audit(written(tmp_path, WIDE, "wide.csv"), into="wide")
    assert findings(ran.into) == findings(wide.into)
    assert {f["check"] for f in findings(ran.into)} >= {"pressure.order", "unreadable.systolic"}


def test_what_was_understood_is_said(program, audit, tmp_path):
    path = written(tmp_path, LONG, "long.csv")
    ran = subprocess.run([program, "columns", path], capture_output=True, text=True, timeout=60)
    assert ran.returncode == 0
    for line in (
        "  One row is one reading; rows of one report and time that follow each other are one set",
        "  4  Vital     name of the sign in each row",
        "  5  Value     value of the sign in each row",
        "  6  UOM       unit of the value in each row",
        "    8480-6   systolic",
        "    Temp     temperature",
    ):
        assert line in ran.stdout.splitlines()
    assert "Shoe" not in ran.stdout
    said = audit(path)
    assert "One row is one reading" in said.out
    assert "Signs without a row: mean pressure, pulse" in said.out


def test_a_file_whose_rows_name_no_vital_sign_is_an_error(audit, tmp_path):
    ran = audit(written(tmp_path, "report,name,value\n1,Ada Smith,7\n", "people.csv"))
    assert ran.status == 3
    assert 'no row names a vital sign in column "name"' in ran.err
    assert "Smith" not in ran.out + ran.err


def test_a_lone_value_whose_unit_nobody_states_is_told_so(audit, tmp_path):
    table = tmp_path / "one.csv"
    table.write_text("pcr,time,vital,value\n1,2026-11-20 10:00,Temp,98.6\n", encoding="utf-8")
    ran = audit(table)
    found = [f for f in findings(ran.into) if f["check"] == "unit.temperature_fahrenheit"]
    assert [f["charted"] for f in found] == ["98.6 (unit not stated)"]


def test_values_in_another_unit_than_the_assumed_one_are_read_so_and_said(audit, tmp_path):
    table = tmp_path / "many.csv"
    rows = [f"{r},2026-11-20 10:00,Temp,98.{r % 10}\n" for r in range(30)]
    table.write_text("pcr,time,vital,value\n" + "".join(rows), encoding="utf-8")
    ran = audit(table)
    assert "Temp: 30 of the first 30 values can hardly be anything but °F" in ran.out
    assert findings(ran.into) == []
