"""A report through time: neighbours, order, how the call ended, a tube's exhaled CO2."""

import json

import pytest
from support import findings, written

HEADER = "report,taken_at,systolic,diastolic,pulse,respiratory_rate,saturation\n"


def row(minute: int, *values: object) -> str:
    return f"A1,2026-03-01T14:{minute:02d}:00," + ",".join(str(v) for v in values) + "\n"


RISING = [row(0, 120, 80, 72, 16, 98), row(5, 190, 82, 74, 16, 97), row(10, 122, 80, 73, 17, 98)]


def asked(audit, tmp_path, text, *options):
    return findings(audit(written(tmp_path, text), *options).into)


def test_a_spike_names_its_neighbours_and_the_minutes_between(audit, tmp_path):
    found = {f["check"]: f for f in asked(audit, tmp_path, HEADER + "".join(RISING))}
    question = found["spike.systolic"]["question"]
    assert question.startswith(
        "Set 2, 14:05: The systolic is charted as 190 mmHg, between 120 mmHg"
    )
    assert "5 min earlier" in question
    assert "122 mmHg (5 min later)" in question
    assert found["spike.systolic"]["asks"] == "notice"


def test_rows_in_any_order_of_time_give_the_same(audit, tmp_path):
    oldest_first = asked(audit, tmp_path, HEADER + "".join(RISING))
    newest_first = asked(audit, tmp_path, HEADER + "".join(reversed(RISING)))
    assert [f["check"] for f in oldest_first if f["check"].startswith("spike.")]
    for key in ("check", "set", "taken_at", "question", "fingerprint"):
        assert [f[key] for f in oldest_first] == [f[key] for f in newest_first]


def test_evidence_says_in_which_set_a_neighbour_stands(audit, tmp_path):
    asked(audit, tmp_path, HEADER + "".join(RISING))
    lines = (tmp_path / "out" / "findings.jsonl").read_text(encoding="utf-8").splitlines()
    spike = next(f for f in map(json.loads, lines) if f["check"] == "spike.systolic")
    sets = [(e["sign"], e["value"], e.get("set")) for e in spike["evidence"] if "sign" in e]
    # The pulse as well: had it fallen too, this were no spike.
    pulses = [("pulse", 74, None), ("pulse", 72, 1), ("pulse", 73, 3)]
    assert [s for s in sets if s not in pulses] == [
        ("systolic", 190, None),
        ("systolic", 120, 1),
        ("systolic", 122, 3),
    ]
    assert [s for s in sets if s in pulses] == pulses
    minutes = {e["worked_out"]: e["value"] for e in spike["evidence"] if "worked_out" in e}
    assert minutes == {"since": 5, "until": 5}


def test_a_set_carried_forward_is_asked_about_without_a_verdict(audit, tmp_path):
    text = HEADER + row(0, 128, 76, 88, 18, 97) + row(8, 128, 76, 88, 18, 97)
    found = {f["check"]: f for f in asked(audit, tmp_path, text)}
    assert "were these taken again?" in found["repeated.set"]["question"]


def test_neighbours_are_of_one_report(audit, tmp_path):
    text = HEADER + RISING[0] + RISING[1].replace("A1", "B2") + RISING[2]
    assert not [f for f in asked(audit, tmp_path, text) if f["check"].startswith("spike.")]


@pytest.mark.parametrize(
    "word", ["Refused", "AMA", "against medical advice", "Treated and released", "No transport"]
)
def test_staying_behind_with_abnormal_vital_signs_is_asked_first(audit, tmp_path, word):
    text = f"report,taken_at,saturation,disposition\nA1,2026-03-01T14:00:00,84,{word}\n"
    found = {f["check"]: f for f in asked(audit, tmp_path, text)}
    refusal = found["ending.abnormal_refusal"]
    assert refusal["priority"] == "1"
    assert refusal["charted"] == "oxygen saturation 84 %"
    assert "local protocol" in refusal["question"]


@pytest.mark.parametrize("word", ["Transported", "Transfer", "DOA", "", "lost in the woods"])
def test_other_endings_do_not_ask_about_a_refusal(audit, tmp_path, word):
    text = f"report,taken_at,saturation,disposition\nA1,2026-03-01T14:00:00,84,{word}\n"
    assert "ending.abnormal_refusal" not in {f["check"] for f in asked(audit, tmp_path, text)}


def test_an_ending_of_no_known_word_is_said(audit, tmp_path):
    text = "report,taken_at,saturation,disposition\nA1,2026-03-01T14:00:00,84,lost\n"
    run = audit(written(tmp_path, text))
    assert "1 unreadable context cell, first in line 2" in run.err


def test_a_tube_without_exhaled_co2_comes_first_and_no_option_hides_it(audit, tmp_path):
    text = (
        "report,taken_at,pulse,exhaled_co2,intubated,arrest\nA1,2026-03-01T14:00:00,80,4,yes,yes\n"
    )
    found = asked(audit, tmp_path, text, "--without", "clinical")
    tube = next(f for f in found if f["check"] == "tube.without_co2")
    assert tube["priority"] == "1"
    assert "7.5 mmHg" in tube["question"]


@pytest.mark.parametrize("name", ["tube", "tube.without_co2"])
def test_no_option_leaves_the_tube_out(audit, tmp_path, name):
    text = "report,pulse,exhaled_co2,intubated\nA1,80,4,yes\n"
    ran = audit(written(tmp_path, text), "--without", name)
    assert ran.status == 2
    assert "a limits file can turn it off" in ran.err


def test_a_limits_file_that_turns_the_tube_off_is_named(audit, tmp_path):
    text = "report,pulse,exhaled_co2,intubated\nA1,80,4,yes\n"
    limits = written(tmp_path, "schema = 1\n[tube.without_co2]\non = false\n", "agency.toml")
    ran = audit(written(tmp_path, text), "--limits", limits)
    assert ran.status == 0
    assert f"warning: {limits} turns off tube.without_co2" in ran.err
    assert "tube.without_co2" not in {f["check"] for f in findings(ran.into)}


def test_leaving_out_its_kind_keeps_the_tube(audit, tmp_path):
    text = "report,pulse,exhaled_co2,intubated\nA1,80,4,yes\n"
    found = asked(audit, tmp_path, text, "--without", "completeness")
    assert "tube.without_co2" in {f["check"] for f in found}


def test_devices_are_counted_as_crews_are(audit, tmp_path):
    text = (
        "report,monitor id,systolic,diastolic\n"
        "A1,LP-7,72,118\nA1,LP-7,120,80\nB2,LP-8,130,70\nC3,,120,80\n"
    )
    account = audit(written(tmp_path, text)).account()
    assert account["by_device"] == {
        "LP-7": {"sets": 2, "sets_rejected": 1, "sets_queried": 0},
        "LP-8": {"sets": 1, "sets_rejected": 0, "sets_queried": 0},
    }
    assert "by_device" not in audit(written(tmp_path, HEADER + RISING[0]), into="none").account()


def test_one_identifier_of_two_incidents_is_two_reports(audit, tmp_path):
    text = "report,incident number,pulse\n7,A,80\n8,A,81\n7,B,82\n"
    ran = audit(written(tmp_path, text))
    assert ran.account()["reports"] == 3
    assert "1 repeated report identifier, first in line 4" in ran.err
    of_one = audit(written(tmp_path, text.replace("7,B", "7,A")), into="one")
    assert of_one.account()["reports"] == 2


@pytest.mark.parametrize(
    ("complaint", "asks"),
    [("Hypothermia", False), ("near drowning", False), ("Burns to arm", False), ("fall", True)],
)
def test_a_complaint_of_exposure_makes_a_cold_patient_believable(audit, tmp_path, complaint, asks):
    text = f"report,chief complaint,temperature (C)\nA1,{complaint},27.5\n"
    found = {f["check"] for f in asked(audit, tmp_path, text)}
    assert ("unlikely.temperature" in found) == asks


def test_a_complaint_and_a_device_reach_no_output_of_findings(audit, tmp_path):
    text = "report,complaint,device,pulse\nA1,Jane Doe fell,LP-7,900\n"
    ran = audit(written(tmp_path, text))
    for file in ran.into.iterdir():
        assert "Jane" not in file.read_text(encoding="utf-8")
