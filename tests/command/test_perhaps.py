"""What was probably meant, as a reviewer meets it: in the table, the JSON lines and on the page."""

import json
import re

import pytest
from support import findings, written

CALL = (
    "report,crew,time,SBP,DBP,HR,SpO2,AVPU\n"
    "1,Ann Miller,2026-03-01T10:00,118,72,84,97,{mind}\n"
    "1,Ann Miller,2026-03-01T10:05,{slip},97,{mind}\n"
    "1,Ann Miller,2026-03-01T10:10,122,74,86,97,{mind}\n"
)
SWAPPED = "Swapped? 120/73 fits the sets before and after. (strong)"


def call(folder, slip, mind="alert", name="week.csv"):
    return written(folder, CALL.format(slip=slip, mind=mind), name)


def lines_of(into):
    return [json.loads(line) for line in (into / "findings.jsonl").read_text().splitlines()]


def test_the_table_says_it_in_one_column(audit, tmp_path):
    rows = findings(audit(call(tmp_path, "73,120,85")).into)
    told = {row["check"]: row["perhaps"] for row in rows}
    assert told["pressure.order"] == told["swapped.pressure"] == SWAPPED
    assert all(told[code] == "" for code in told if code.startswith("clinical."))


def test_the_lines_say_it_for_programs(audit, tmp_path):
    lines = lines_of(audit(call(tmp_path, "73,120,85")).into)
    (offer,) = next(f for f in lines if f["check"] == "pressure.order")["perhaps"]
    assert offer["slip"] == "swapped"
    assert offer["strength"] == "strong"
    assert offer["reason"] == "fits the sets before and after"
    assert 0.9 < offer["probability"] <= 1
    assert offer["meant"] == [
        {"sign": "systolic", "value": 120, "unit": "mmHg"},
        {"sign": "diastolic", "value": 73, "unit": "mmHg"},
    ]
    assert offer["text"] + " (strong)" == SWAPPED


def test_a_cell_with_two_numbers_or_a_letter_is_read_as_meant(audit, tmp_path):
    for slip, meant in (("120/73,,85", "120/73"), ("12O,73,85", "Systolic 120 mmHg")):
        (told,) = [
            row["perhaps"]
            for row in findings(audit(call(tmp_path, slip), into=f"out{len(meant)}").into)
            if row["check"] == "unreadable.systolic"
        ]
        assert meant in told


def test_it_is_part_of_no_question_and_changes_no_fingerprint(audit, tmp_path):
    never = written(tmp_path, 'schema = 1\n[explain.offered]\ntogether = "101 %"\n', "never.toml")
    week = call(tmp_path, "73,120,85")
    told = findings(audit(week, into="told").into)
    silent = findings(audit(week, "--limits", never, into="silent").into)
    assert any(row["perhaps"] for row in told)
    assert not any(row["perhaps"] for row in silent)
    for a, b in zip(told, silent, strict=True):
        assert a | {"perhaps": ""} == b
        assert "120/73" not in a["question"]


def test_a_danger_that_an_altered_mind_fits_is_left_alone(audit, tmp_path):
    rows = findings(audit(call(tmp_path, "12,8,85", mind="painful")).into)
    assert {"unlikely.systolic", "unlikely.diastolic"} <= {row["check"] for row in rows}
    assert not any(row["perhaps"] for row in rows)


@pytest.mark.parametrize(
    ("figure", "said"),
    [('swapped = "10 mmHg"', "needs a number with its unit"), ('swaped = "1 %"', "swapped")],
)
def test_a_wrong_rate_is_refused(audit, tmp_path, figure, said):
    limits = written(tmp_path, f"schema = 1\n[explain.rates]\n{figure}\n", "limits.toml")
    ran = audit(call(tmp_path, "73,120,85"), "--limits", limits)
    assert ran.status == 2
    assert said in ran.err


def test_the_page_shows_it_and_keeps_it_out_of_messages(audit, tmp_path):
    page = audit(call(tmp_path, "73,120,85")).into / "audit.html"
    if not page.exists():
        pytest.skip("this program was built without Node, so without the page")
    html = page.read_text(encoding="utf-8")
    (text,) = re.findall(r'<script type="application/json" id="data">(.*?)</script>', html, re.S)
    told = {f[13] for f in json.loads(text)["findings"]}
    assert SWAPPED in told
    assert not any("120/73" in f[6] for f in json.loads(text)["findings"])
