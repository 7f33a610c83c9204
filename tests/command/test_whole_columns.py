"""A whole column in another unit than its header states: one question, to the export's maker."""

import json
from collections import Counter

import pytest
from support import findings, written

HEADER = "report,crew,time,SBP,DBP,Temp (C)"
CELLS = "26-{n},M{crew},2026-03-01T14:{n:02},{systolic},80,{temperature}"
FAHRENHEIT = [98.6, 97.9, 101.2, 99.4]


def week(rows=40, temperature=lambda n: FAHRENHEIT[n % 4]):
    """A week in which crew 2's first report has its pressures the wrong way round."""
    lines = [
        CELLS.format(n=n, crew=n % 3, systolic=72 if n == 2 else 120, temperature=temperature(n))
        for n in range(rows)
    ]
    return "\n".join([HEADER, *lines]) + "\n"


@pytest.fixture
def ran(audit, tmp_path):
    return audit(written(tmp_path, week()))


def lines_of(ran):
    text = (ran.into / "findings.jsonl").read_text(encoding="utf-8")
    return [json.loads(line) for line in text.splitlines()]


def test_the_column_is_one_finding_that_names_no_report_and_no_crew(ran):
    assert (ran.status, ran.err) == (0, "")
    whole, *others = findings(ran.into)
    assert whole["check"] == "unit.column"
    assert (whole["asks"], whole["priority"], whole["sign"]) == ("query", "2", "temperature")
    assert [whole[name] for name in ("report", "crew", "set", "taken_at")] == [""] * 4
    assert whole["question"] == (
        'Column "Temp (C)" states °C, but 40 of the first 40 numbers in it fit °F instead. '
        "In which unit does the export write them?"
    )
    assert "unit.column" not in {f["check"] for f in others}


def test_the_findings_it_explains_stay_and_say_what_they_are_part_of(ran):
    whole, *others = lines_of(ran)
    assert "part_of" not in whole
    assert whole["place"] == {"file": ran.account()["inputs"][0]["file"], "column": "Temp (C)"}
    assert whole["evidence"] == [
        {"worked_out": "looked_at", "value": 40, "unit": "°C"},
        {"worked_out": "fitting", "value": 40, "unit": "°F"},
    ]
    parts = Counter(f["check"] for f in others if f.get("part_of") == whole["fingerprint"])
    assert parts == {"unit.temperature_fahrenheit": 40, "impossible.temperature": 40}
    assert not [f for f in others if "part_of" in f and f["sign"] != "temperature"]
    assert [f["fingerprint"] for f in lines_of(ran)] == [
        f["fingerprint"] for f in findings(ran.into)
    ]


def test_no_value_is_changed(ran):
    charted = {f["charted"] for f in findings(ran.into) if f["check"] == "impossible.temperature"}
    assert charted == {f"{value} °C" for value in FAHRENHEIT}


def test_the_account_counts_its_parts_apart(ran):
    account = ran.account()
    (whole,) = account["batch_findings"]
    assert (whole["check"], whole["column"], whole["parts"]) == ("unit.column", "Temp (C)", 80)
    assert whole["fingerprint"] == lines_of(ran)[0]["fingerprint"]
    assert account["findings_part_of_batch"] == {"reject": 80, "query": 0, "notice": 0}
    assert account["by_check"]["unit.column"] == 1
    assert sum(account["by_check"].values()) == sum(account["findings"].values())
    assert sum(account["findings"].values()) == len(findings(ran.into))
    asked = [account[f"sets_{what}"] for what in ("rejected", "queried", "part_of_batch")]
    assert asked == [1, 0, 39]
    by_crew = account["by_crew"]
    assert {crew: by_crew[crew]["sets_rejected"] for crew in by_crew} == {"M0": 0, "M1": 0, "M2": 1}


def test_the_summary_asks_once_and_of_the_export(ran):
    assert "1 rejected, 0 queried, 39 by a whole column alone" in ran.out
    to_maker, _, first = ran.out.partition("The question to look at first")
    assert "To ask whoever makes the export" in to_maker
    assert to_maker.count('Column "Temp (C)" states °C') == 1
    assert "80 findings are part of this, and not asked below" in to_maker
    assert "report 26-2, crew M2" in first
    assert "temperature" not in first


def fractions(rows=40):
    """A week of saturations as fractions, one of them low in any unit."""
    lines = [f"26-{n},{0.8 if n == 7 else 0.97},{80 + n}" for n in range(rows)]
    return "\n".join(["report,SpO2 (%),pulse", *lines]) + "\n"


def test_what_would_be_dangerous_in_the_stated_unit_is_part_of_it_too(audit, tmp_path):
    ran = audit(written(tmp_path, fractions()))
    whole, *others = lines_of(ran)
    notices = [f for f in others if f["check"] == "clinical.saturation_low"]
    assert len(notices) == 40
    assert {f["part_of"] for f in notices} == {whole["fingerprint"]}
    assert ran.account()["findings_part_of_batch"]["notice"] == 40
    assert "For the reviewer alone: 0 clinical notices, 0 other notices" in ran.out


def test_where_no_unit_is_stated_a_notice_states_none(audit, tmp_path):
    ran = audit(written(tmp_path, "report,SpO2,pulse\n26-1,0.97,80\n26-2,85,90\n"))
    notices = [f for f in findings(ran.into) if f["check"] == "clinical.saturation_low"]
    assert [f["charted"] for f in notices] == ["0.97 (unit not stated)", "85 %"]
    assert "Oxygen saturation 0.97 (unit not stated): was it taken again" in notices[0]["question"]
    assert "2 rows read = 2 examined" in ran.out


def test_a_column_that_changes_its_unit_half_way_is_not_one_finding(audit, tmp_path):
    changing = week(temperature=lambda n: 98.6 if n < 20 else 37.0)
    ran = audit(written(tmp_path, changing))
    checks = Counter(f["check"] for f in findings(ran.into))
    assert checks["unit.column"] == 0
    assert checks["unit.temperature_fahrenheit"] == 20
    assert ran.account()["sets_rejected"] == 20
    assert ran.account()["batch_findings"] == []


@pytest.mark.parametrize("turned_off", ["unit.column", "unit", "conformance"])
def test_it_can_be_turned_off(audit, tmp_path, turned_off):
    ran = audit(written(tmp_path, week()), "--without", turned_off)
    assert "unit.column" not in {f["check"] for f in findings(ran.into)}
    assert not [f for f in lines_of(ran) if "part_of" in f]
    assert "unit.column" in ran.account()["limits"]["off"]
    assert ran.account()["sets_rejected"] == 40


def test_a_limits_file_turns_it_off(audit, tmp_path):
    limits = written(tmp_path, "schema = 1\n[unit.column]\non = false\n", "limits.toml")
    ran = audit(written(tmp_path, week()), "--limits", limits)
    assert ran.account()["batch_findings"] == []


def test_each_file_is_judged_by_itself(audit, tmp_path):
    wrong = written(tmp_path, week(), "wrong.csv")
    right = written(tmp_path, week(temperature=lambda n: 36.8 if n else 98.6), "right.csv")
    ran = audit(wrong, right)
    assert [whole["file"] for whole in ran.account()["batch_findings"]] == [str(wrong)]
    apart = [f for f in lines_of(ran) if f["sign"] == "temperature" and "part_of" not in f]
    assert {f["place"]["file"] for f in apart if "report" in f} == {str(right)}


def test_a_few_values_without_a_unit_are_not_told_in_one(audit, tmp_path):
    ran = audit(written(tmp_path, "report,Temp\n1,98.4\n2,36.9\n"))
    asked = [f for f in findings(ran.into) if f["check"] == "unit.temperature_fahrenheit"]
    assert [f["charted"] for f in asked] == ["98.4 (unit not stated)"]
    assert "is charted as 98.4 (unit not stated). Which number and which unit" in ran.out
    assert "98.4 °C" not in ran.out + (ran.into / "findings.jsonl").read_text(encoding="utf-8")
