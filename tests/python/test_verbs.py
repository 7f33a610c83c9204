"""examine, audit, single sets, limits and the catalogue, as an analyst uses them."""

import csv
import subprocess
from datetime import datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
import vitalproof as vp
from frames import numpy_frame
from vitalproof import _core

SOURCE = Path(__file__).resolve().parents[2]
DEMO = SOURCE / "fixtures" / "batches" / "demo.csv"


def codes(findings: vp.Findings) -> list[str]:
    return [f["check"] for f in findings]


def test_findings_are_a_table_for_everyone():
    found = vp.examine(numpy_frame())
    table = pa.table(found)
    table.validate(full=True)
    assert table.to_pylist() == found.records()
    assert found.to_polars().to_dicts() == found.records()
    assert found.to_pandas()["check"].tolist() == codes(found)
    assert pl.DataFrame(found).columns == list(found.records()[0])
    first = next(f for f in found if f["check"] == "pressure.order")
    assert (first["row"], first["report"], first["set"]) == (1, "1", 2)
    assert "Systolic 72 mmHg is not above diastolic 118 mmHg" in first["question"]
    assert first["value"] is not None
    assert first["perhaps"].startswith("Swapped? 118/72 ")
    assert found.counts()["pressure.order"] == 1


def test_without_words_the_findings_are_the_same():
    told, silent = vp.examine(numpy_frame()), vp.examine(numpy_frame(), words=False)
    assert [f["fingerprint"] for f in told] == [f["fingerprint"] for f in silent]
    assert all(f["question"] is None and f["perhaps"] is None for f in silent)


def test_nothing_gives_a_table_without_rows():
    none = vp.examine({"systolic": np.array([120.0])}, limits=vp.Limits(without="clinical"))
    assert len(none) == 0
    assert pa.table(none).num_rows == 0
    assert vp.examine([]).records() == []
    empty = vp.flag(pd.DataFrame({"systolic": np.array([], dtype=np.float64)}))
    assert empty.counts() == {}
    assert empty.to_arrow().num_rows == 0


def test_examine_gives_what_the_program_writes(tmp_path):
    audited = vp.audit(DEMO, tmp_path / "out", as_of="2026-03-01T12:00Z")
    with audited.findings_csv.open(encoding="utf-8", newline="") as file:
        by_file = sorted((f["fingerprint"], f["perhaps"]) for f in csv.DictReader(file))
    frame = pd.read_csv(DEMO, dtype=str, keep_default_na=False)
    told = [(f["fingerprint"], f["perhaps"] or "") for f in vp.examine(frame)]
    assert sorted(told) == by_file
    assert len(by_file) > 50


def test_times_of_day_go_on_past_midnight_as_in_a_file(tmp_path):
    rows = [("A", "23:50", 80), ("B", "23:55", 70), ("A", "00:02", 180), ("B", "00:10", 75)]
    table = {
        "report": [report for report, _, _ in rows],
        "incident_date": ["2026-03-25"] * len(rows),
        "time": [time for _, time, _ in rows],
        "pulse": [float(pulse) for _, _, pulse in rows],
    }
    path = tmp_path / "night.csv"
    pd.DataFrame(table).to_csv(path, index=False)
    audited = vp.audit(path, tmp_path / "out", as_of="2026-04-01T12:00Z")
    with audited.findings_csv.open(encoding="utf-8", newline="") as file:
        by_file = [(f["taken_at"], f["fingerprint"]) for f in csv.DictReader(file)]
    told = [f["fingerprint"] for f in vp.examine(pd.DataFrame(table))]
    assert {time for time, _ in by_file} == {"2026-03-26T00:02:00"}
    assert sorted(told) == sorted(print_ for _, print_ in by_file)


def test_audit_answers_what_the_program_does(tmp_path, program, audit):
    by_program = audit(DEMO, "--as-of", "2026-03-01T12:00Z", into="program")
    audited = vp.audit([DEMO], tmp_path / "python", as_of="2026-03-01T12:00Z")
    assert (audited.status, audited.troubles) == (by_program.status, by_program.err)
    assert str(audited).replace("/python", "/program") == by_program.out
    for name in ("audit.json", "findings.csv", "findings.jsonl"):
        assert (audited.into / name).read_bytes() == (by_program.into / name).read_bytes()
    assert len(list(audited.findings())) == sum(audited.account["by_check"].values())


def test_audit_without_a_folder_has_one_of_its_own():
    audited = vp.audit(DEMO, limits=vp.Limits(without="clinical"))
    folder = audited.into
    assert not any(f["check"].startswith("clinical.") for f in audited.findings())
    del audited
    assert not folder.exists()


def test_audit_of_what_is_not_there_says_so(tmp_path):
    audited = vp.audit(tmp_path / "none.csv", tmp_path / "out")
    assert audited.status == 3
    assert "none.csv" in audited.troubles
    with pytest.raises(ValueError, match="as_of"):
        vp.audit(DEMO, tmp_path / "other", as_of="yesterday")
    with pytest.raises(ValueError, match="day-first"):
        vp.audit(DEMO, tmp_path / "other", dates="us")


def test_a_set_is_built_from_quantities_and_examined():
    vitals = vp.VitalSet(
        "2026-03-01T14:32:00+01:00",
        systolic=72 * vp.mmHg,
        diastolic=15.7 * vp.kPa,
        temperature="98.6 °F",
        glucose="HI",
        coma_eye=4,
        responsiveness="A",
    )
    found = vp.examine(vitals)
    order = next(f for f in found if f["check"] == "pressure.order")
    assert order["taken_at"] == "2026-03-01T14:32:00+01:00"
    assert "15.7 kPa" in order["question"]
    assert "unit.temperature_fahrenheit" not in codes(found)


def test_what_is_known_decides():
    dead = {"pulse": 0 * vp.per_minute, "respiratory_rate": 0 * vp.per_minute}
    assert "zero.no_signs_of_life" in codes(vp.examine(vp.VitalSet(**dead)))
    arrest = vp.VitalSet(known={"arrest": True}, **dead)
    assert "zero.no_signs_of_life" not in codes(vp.examine(arrest))


def test_a_report_has_sets_an_age_and_times_of_every_kind():
    zone = timezone(timedelta(hours=-5))
    sets = [
        vp.VitalSet(datetime(2026, 3, 1, 10, 0, tzinfo=zone), pulse=80 * vp.per_minute),
        vp.VitalSet(datetime(2026, 3, 1, 10, 1, tzinfo=zone), pulse=200 * vp.per_minute),
        vp.VitalSet(datetime(2026, 3, 1, 10, 2, tzinfo=zone), pulse=80 * vp.per_minute),
    ]
    found = vp.examine(vp.Report("A1", sets, age=70, crew="M7"))
    assert "spike.pulse" in codes(found)
    assert {(f["report"], f["crew"]) for f in found} == {("A1", "M7")}
    child = vp.Report("B", [vp.VitalSet(pulse=140 * vp.per_minute)], age=timedelta(days=200))
    assert "clinical.pulse_high" not in codes(vp.examine(child))
    elapsed = vp.VitalSet(timedelta(minutes=90), systolic=1139 * vp.mmHg)
    assert vp.examine(elapsed)[0]["taken_at"] == "01:30"


MISUSE = {
    "a bare number": (lambda: vp.VitalSet(systolic=120), TypeError, "systolic needs a unit"),
    "a bare text": (lambda: vp.VitalSet(systolic="120"), ValueError, "bare number"),
    "another sign's unit": (
        lambda: vp.VitalSet(pulse=80 * vp.mmHg),
        ValueError,
        "no unit of pulse",
    ),
    "no sign": (lambda: vp.VitalSet(systolc=120), ValueError, 'Did you mean "systolic"'),
    "no fact": (lambda: vp.VitalSet(known={"arest": True}), ValueError, 'Did you mean "arrest"'),
    "no method": (lambda: vp.VitalSet(pressure_method="hope"), ValueError, "no method"),
    "no end of a call": (lambda: vp.Report(disposition="hm"), ValueError, "no way that a call"),
    "no unit": (lambda: vp.convert(1 * vp.mmHg, "furlong", "systolic"), ValueError, "furlong"),
}


@pytest.mark.parametrize("case", MISUSE)
def test_misuse_of_a_set_is_an_error_that_names_it(case):
    call, error, words = MISUSE[case]
    with pytest.raises(error, match=words):
        call()


def test_limits_are_objects_to_read_and_lead_back_through_a_file(tmp_path):
    limits = vp.Limits()
    high = limits["impossible.systolic"]["high"]
    assert (high.value, high.unit, str(high), high.set_by) == (300.0, "mmHg", "300 mmHg", None)
    assert high.source
    file = tmp_path / "ours.toml"
    file.write_text(limits.toml(), encoding="utf-8")
    assert {t: {n: f.value for n, f in vp.Limits(file)[t].items()} for t in limits} == {
        t: {n: f.value for n, f in limits[t].items()} for t in limits
    }


def test_limits_are_set_by_keyword_and_by_file_and_the_later_wins(tmp_path):
    ours = vp.Limits(pressure__narrow={"under": "3 mmHg"})["pressure.narrow"]["under"]
    assert (ours.value, ours.set_by) == (3.0, "given")
    assert vp.Limits(pressure__narrow={"under": 3 * vp.mmHg})["pressure.narrow"]["under"] == ours
    files = [tmp_path / "one.toml", tmp_path / "two.toml"]
    for figure, file in zip((4, 5), files, strict=True):
        file.write_text(f'schema = 1\n[pressure.narrow]\nunder = "{figure} mmHg"\n', "utf-8")
    by_file = vp.Limits(*files)["pressure.narrow"]["under"]
    assert (by_file.value, by_file.set_by) == (5.0, str(files[1]))
    by_both = vp.Limits(*files, pressure__narrow={"under": "6 mmHg"})
    assert by_both["pressure.narrow"]["under"].value == 6.0


def test_limits_decide_what_is_asked():
    frame = {"systolic": np.array([290.0, 310.0])}
    wider = vp.Limits(impossible__systolic={"high": "320 mmHg"})
    assert vp.flag(frame)["impossible.systolic"].fired.tolist() == [False, True]
    assert vp.flag(frame, limits=wider)["impossible.systolic"].count() == 0
    assert "impossible.systolic" in codes(vp.examine(frame))
    assert "impossible.systolic" not in codes(vp.examine(frame, limits=wider))
    assert len(vp.clean(frame, limits=wider).ledger) == 0
    off = vp.Limits(without=["unlikely", "impossible.systolic"])
    assert "impossible.systolic" in off.off
    assert "impossible.systolic" not in codes(vp.examine(frame, limits=off))


LIMIT_ERRORS = {
    "a table that is none": (lambda: vp.Limits(presure__narrow={"under": "3 mmHg"}), "presure"),
    "a figure without a unit": (lambda: vp.Limits(pressure__narrow={"under": 3}), "unit"),
    "a check that is none": (lambda: vp.Limits(without="presure"), "presure"),
}


@pytest.mark.parametrize("case", LIMIT_ERRORS)
def test_misuse_of_limits_is_an_error_that_names_it(case):
    call, words = LIMIT_ERRORS[case]
    with pytest.raises(ValueError, match=words):
        call()


def test_a_file_that_turns_the_gravest_question_off_is_named(tmp_path):
    gravest = next(c for c in vp.checks if _core.is_never_left_out(c))
    file = tmp_path / "ours.toml"
    file.write_text(f"schema = 1\n[{gravest}]\non = false\n", encoding="utf-8")
    with pytest.warns(UserWarning, match=gravest.replace(".", r"\.")):
        vp.Limits(file)
    with pytest.raises(ValueError, match="asked whatever is left out"):
        vp.Limits(without=gravest)


def test_the_catalogue_reads_as_the_program_tells_it(program):
    listed = subprocess.run([program, "checks"], capture_output=True, text=True).stdout
    for code, check in vp.checks.items():
        assert code in listed
        assert check.why in str(check)
        assert set(check.signs) <= set(vp.signs)
        assert check.looks_at in ("set", "neighbours", "report", "batch")
    assert vp.signs["systolic"].loinc == "8480-6"
    with pytest.raises(AttributeError):
        vp.checks["pressure.order"].asks = "notice"
