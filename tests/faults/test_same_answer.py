"""The same answer everywhere: any threads, pieces, level of vector code and form of file."""

import json
import os
import random
import subprocess
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from standard_reports import document, report
from support import written

BATCHES = Path(__file__).resolve().parents[2] / "fixtures" / "batches"
AS_OF = ("--as-of", "2026-04-01T12:00Z")
LEVELS = ["baseline", "avx2", "avx512"]


def through_a_pipe(program, into: Path, content: bytes, *, step: int, options=(), level=None):
    """Audits standard input that comes in pieces of a size; the outputs by name."""
    command = [program, "audit", "-", "--into", into, "--quiet", *AS_OF, *options]
    environment = os.environ | ({"VITALPROOF_LEVEL": level} if level else {})
    with subprocess.Popen(command, bufsize=0, stdin=subprocess.PIPE, env=environment) as process:
        for at in range(0, len(content), step):
            process.stdin.write(content[at : at + step])
        process.stdin.close()
    assert process.returncode == 0
    return {file.name: file.read_bytes() for file in into.iterdir()}


def random_table(seed: int, reports: int) -> bytes:
    """Rows of every kind: values on and off their limits, absences, texts, times out of order."""
    dice = random.Random(seed)
    signs = ["systolic", "diastolic", "mean pressure", "pulse", "ECG rate", "respiratory rate"]
    signs += ["saturation", "glucose", "ETCO2", "temperature", "GCS total"]
    usual = [120, 80, 93, 70, 70, 16, 97, 100, 38, 36.8, 15]
    lines = ["report,crew,time,arrest," + ",".join(signs)]
    for n in range(reports):
        at = datetime(2026, 3, 1, dice.randrange(24), dice.randrange(60), tzinfo=UTC)
        arrest = dice.choice(["", "", "yes", "no"])
        for _ in range(dice.choice([1, 2, 3, 5, 8, 300 if n % 97 == 0 else 4])):
            at += timedelta(minutes=dice.choice([0, 1, 5, 5, 9, -3]))
            cells = [
                dice.choice(
                    [str(v), str(v), f"{v * dice.choice([0, 0.5, 1.4, 2, 10]):g}", "", "HI"]
                )
                for v in usual
            ]
            if dice.randrange(20) == 0:
                cells[dice.randrange(len(cells))] = dice.choice(["12O", "refused", "n/a", "Mary"])
            lines.append(f"26-{n},M{n % 5},{at.isoformat()},{arrest}," + ",".join(cells))
    return ("\n".join(lines) + "\n").encode()


@pytest.fixture(scope="module", params=["demo", "calls", "random"])
def content(request) -> bytes:
    if request.param == "random":
        return random_table(20260301, 400)
    return (BATCHES / f"{request.param}.csv").read_bytes()


def test_threads_pieces_and_levels_change_no_byte(program, tmp_path, content):
    whole = through_a_pipe(program, tmp_path / "whole", content, step=len(content))
    assert whole["findings.csv"].count(b"\n") > 50
    for number, (level, threads, step) in enumerate(
        [(level, threads, step) for level in LEVELS for threads, step in [("1", 4096), ("2", 997)]]
        + [(None, "2", 13)]
    ):
        into = tmp_path / str(number)
        options = ("--threads", threads)
        other = through_a_pipe(program, into, content, step=step, options=options, level=level)
        assert other.keys() == whole.keys()
        for name, bytes_of in whole.items():
            assert other[name] == bytes_of, (name, level, threads, step)


def test_many_at_once_do_not_disturb_each_other(program, tmp_path):
    """Into folders of their own, from one file, side by side."""
    week = written(tmp_path, random_table(7, 100))

    def run(number: int) -> bytes:
        into = tmp_path / f"out-{number}"
        command = [program, "audit", week, "--into", into, "--quiet", *AS_OF]
        subprocess.run(command, check=True, timeout=120)
        return (into / "findings.jsonl").read_bytes() + (into / "audit.json").read_bytes()

    with ThreadPoolExecutor(6) as side_by_side:
        assert len(set(side_by_side.map(run, range(12)))) == 1


# One batch in every form.

# Sign, LOINC code and UCUM unit, element of the national standard, header; and values, most of them
# to ask about. A whole number each, so that no form rounds it.
SIGNS = [
    ("systolic", "8480-6", "mm[Hg]", "eVitals.06", [72, 120, 300, 0, 118]),
    ("diastolic", "8462-4", "mm[Hg]", "eVitals.07", [118, 80, 0, 240]),
    ("respiratory rate", "9279-1", "/min", "eVitals.14", [16, 0, 80, 12]),
    ("saturation", "59408-5", "%", "eVitals.12", [97, 40, 101, 88]),
    ("glucose", "2339-0", "mg/dL", "eVitals.18", [100, 6, 900, 40]),
    ("temperature", "8310-5", "Cel", "eVitals.24", [37, 98, 20, 41]),
]
LOINC, UCUM = "http://loinc.org", "http://unitsofmeasure.org"


def random_sets(seed: int) -> list[tuple[str, str, dict[str, int]]]:
    """Sets of a report and a time, each with some of the signs."""
    dice = random.Random(seed)
    sets = []
    for number in range(25):
        for minute in sorted(dice.sample(range(60), dice.randrange(1, 5))):
            chosen = dice.sample(SIGNS, dice.randrange(1, len(SIGNS) + 1))
            values = {sign[0]: dice.choice(sign[4]) for sign in chosen}
            sets.append((f"26-{number}", f"2026-03-01T15:{minute:02}:00-06:00", values))
    return sets


def as_table(sets) -> str:
    lines = ["report,time," + ",".join(f"{s[0]} ({s[2]})" for s in SIGNS)]
    for identifier, at, values in sets:
        cells = [str(values.get(sign[0], "")) for sign in SIGNS]
        lines.append(",".join([identifier, at, *cells]))
    return "\n".join(lines) + "\n"


def as_long_table(sets) -> str:
    lines = ["report,time,sign,value,unit"]
    for identifier, at, values in sets:
        lines += [
            f"{identifier},{at},{s[1]},{values[s[0]]},{s[2]}" for s in SIGNS if s[0] in values
        ]
    return "\n".join(lines) + "\n"


def as_fhir(sets) -> str:
    lines = []
    for identifier, at, values in sets:
        for sign, code, unit, _, _ in SIGNS:
            if sign in values:
                value = {"value": values[sign], "code": unit, "system": UCUM}
                lines.append(
                    {
                        "resourceType": "Observation",
                        "status": "final",
                        "code": {"coding": [{"system": LOINC, "code": code}]},
                        "encounter": {"reference": f"Encounter/{identifier}"},
                        "effectiveDateTime": at,
                        "valueQuantity": value,
                    }
                )
    return "".join(json.dumps(line) + "\n" for line in lines)


def as_standard(sets) -> str:
    reports: dict[str, list[dict]] = {}
    for identifier, at, values in sets:
        elements = {s[3]: str(values.get(s[0], "")) for s in SIGNS}  # an empty element is blank
        reports.setdefault(identifier, []).append({"eVitals.01": at, **elements})
    made = []
    for identifier, groups in reports.items():
        inner = "".join(
            "<eVitals.VitalGroup>"
            + "".join(f"<{name}>{value}</{name}>" for name, value in sorted(group.items()))
            + "</eVitals.VitalGroup>"
            for group in groups
        )
        whole = report(identifier, []).replace(
            "</PatientCareReport>", f"<eVitals>{inner}</eVitals></PatientCareReport>"
        )
        made.append(whole)
    return document(*made)


# The standard has rules of its own, and a place in each report for what the others do not tell.
OWN = ("standard.", "ending.", "gap.")


def comparable(into: Path) -> list[str]:
    """The findings, whole, but for where they stand and the text as charted."""
    kept = []
    for line in (into / "findings.jsonl").read_text(encoding="utf-8").splitlines():
        finding = json.loads(line)
        if finding["check"].startswith(OWN):
            continue
        for dropped in ("place", "charted", "crew"):
            finding.pop(dropped, None)
        for reading in finding["evidence"]:
            reading.pop("charted", None)
            reading.pop("reason", None)  # a table has a place that is blank, a resource has none
        kept.append(json.dumps(finding, sort_keys=True))
    return sorted(kept)


@pytest.mark.parametrize("seed", range(4))
def test_every_form_of_the_same_sets_gives_the_same_findings(audit, tmp_path, seed):
    sets = random_sets(seed)
    forms = [as_table, as_long_table, as_fhir, as_standard]
    found = {}
    for form in forms:
        name = form.__name__
        ran = audit(written(tmp_path, form(sets), name), "--quiet", *AS_OF, into=f"{name}-out")
        assert ran.status == 0 and ran.account()["sets"] == len(sets)
        found[name] = comparable(ran.into)
    assert len(found["as_table"]) > 30
    for name, findings in found.items():
        assert findings == found["as_table"], name
