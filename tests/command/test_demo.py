"""The demo batch: every planted mistake is found, and no true story is asked about.

The key that the generator writes says which checks must report a mistake and which may speak
because of it. It is held against what the program finds in the committed batch, and in weeks that
nobody has looked at before.
"""

import csv
import json
import subprocess
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import Path

import pytest

BATCHES = Path(__file__).resolve().parents[2] / "fixtures" / "batches"
REPORTS = 200
FRESH_SEEDS = (4711, 20260)

sys.path.insert(0, str(BATCHES))
from charting import COLUMN_OF  # noqa: E402  the generator's own table

# Notices that true stories raise, besides the clinical ones: what they say is so.
TRUE_NOTICES = {
    # A pulse that comes back, or goes, between two sets is a large step.
    *(f"change.{sign}" for sign in COLUMN_OF),
    *(f"spike.{sign}" for sign in COLUMN_OF),
    "coma.near_responsiveness",
    "coma.parts_zero",
    "meter.oximeter",  # a saturation in the sixties is below what oximeters are tested for
    "pressure.mean_formula_captured",
    "rate.deficit",
}

Place = tuple[str, int]  # report, and the set's place in it from 1


def read_table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def place_of(row: dict[str, str]) -> Place:
    return row["report"], int(row["set"])


def make(seed: int, into: Path) -> Path:
    command = [sys.executable, BATCHES / "generate.py", "--seed", str(seed)]
    command += ["--reports", str(REPORTS), "--into", into]
    subprocess.run(command, check=True, timeout=120)
    return into


def audit_into(program: Path, batch: Path, into: Path) -> Path:
    command = [program, "audit", batch, "--into", into, "--quiet"]
    ran = subprocess.run(command, capture_output=True, text=True, timeout=300)
    assert ran.returncode == 0, ran.stderr
    return into


@dataclass(frozen=True)
class Audited:
    rows: list[dict[str, str]]
    key: dict[Place, dict[str, str]]
    findings: list[dict[str, str]]
    account: dict

    def codes_at(self) -> dict[Place, set[str]]:
        codes = defaultdict(set)
        for finding in self.findings:
            codes[place_of(finding)].add(finding["check"])
        return codes

    def questions(self) -> list[dict[str, str]]:
        return [finding for finding in self.findings if finding["asks"] != "notice"]


@pytest.fixture(scope="module", params=["committed", *FRESH_SEEDS])
def audited(request, program, tmp_path_factory) -> Audited:
    folder = tmp_path_factory.mktemp("demo")
    batch = BATCHES if request.param == "committed" else make(request.param, folder / "batch")
    out = audit_into(program, batch / "demo.csv", folder / "out")
    return Audited(
        rows=read_table(batch / "demo.csv"),
        key={place_of(row): row for row in read_table(batch / "demo-key.csv")},
        findings=read_table(out / "findings.csv"),
        account=json.loads((out / "audit.json").read_text(encoding="utf-8")),
    )


def test_the_committed_batch_is_what_seed_1_makes(tmp_path):
    made = make(1, tmp_path)
    for name in ("demo.csv", "demo-key.csv"):
        assert (made / name).read_bytes() == (BATCHES / name).read_bytes(), name


def test_another_seed_makes_another_week(tmp_path):
    made = make(2, tmp_path)
    assert (made / "demo.csv").read_bytes() != (BATCHES / "demo.csv").read_bytes()


def test_every_row_is_examined(audited):
    account = audited.account
    assert account["rows_read"] == account["rows_examined"] == len(audited.rows)
    assert account["rows_unread"] == account["rows_other"] == 0
    assert account["reports"] == len({row["PCR Number"] for row in audited.rows}) == REPORTS


def test_the_key_names_cells_as_they_are_charted(audited):
    sets_seen = Counter()
    charted = {}
    for row in audited.rows:
        sets_seen[row["PCR Number"]] += 1
        charted[row["PCR Number"], sets_seen[row["PCR Number"]]] = row
    named = {place: row["charted"] for place, row in audited.key.items()}
    assert named == {
        place: charted[place][COLUMN_OF[row["sign"]]] for place, row in audited.key.items()
    }


def test_every_family_of_questions_has_a_mistake(audited):
    assert len(audited.key) >= 30
    planted = {
        code.partition(".")[0] for row in audited.key.values() for code in row["must"].split()
    }
    assert planted == {
        "beyond",
        "coma",
        "contradiction",
        "impossible",
        "meter",
        "pressure",
        "rate",
        "swapped",
        "unit",
        "unlikely",
        "unreadable",
        "zero",
    }


def test_every_mistake_is_found(audited):
    codes_at = audited.codes_at()
    missed = {
        place: (sorted(unsaid), row["mistake"])
        for place, row in audited.key.items()
        if (unsaid := set(row["must"].split()) - codes_at[place])
    }
    assert missed == {}


def test_nothing_else_is_asked(audited):
    """Neither of a true story, nor of a mistaken set by a check that has no business there."""
    unfounded = [
        (place_of(finding), finding["check"], finding["question"])
        for finding in audited.questions()
        if finding["check"] not in expected_at(audited.key.get(place_of(finding)))
    ]
    assert unfounded == []


def expected_at(key_row: dict[str, str] | None) -> list[str]:
    return f"{key_row['must']} {key_row['may']}".split() if key_row else []


def test_true_stories_raise_only_notices_that_are_true_of_them(audited):
    elsewhere = {
        finding["check"]
        for finding in audited.findings
        if finding["kind"] != "clinical" and place_of(finding) not in audited.key
    }
    assert elsewhere <= TRUE_NOTICES


def test_dangerous_signs_are_noticed(audited):
    """The stories are no calm seas: most of the clinical checks have something to say."""
    said = {finding["check"] for finding in audited.findings if finding["kind"] == "clinical"}
    assert said >= {
        "clinical.breathing_high",
        "clinical.breathing_low",
        "clinical.coma_low",
        "clinical.glucose_above_meter",
        "clinical.glucose_low",
        "clinical.pulse_above_systolic",
        "clinical.pulse_high",
        "clinical.pulse_low",
        "clinical.saturation_low",
        "clinical.systolic_low",
        "clinical.temperature_high",
        "clinical.temperature_low",
        "clinical.unresponsive",
    }


@pytest.mark.parametrize(
    ("unsaid", "asked_then"),
    [
        (("Arrest", "Compressions"), "zero.no_signs_of_life"),
        (("Ventilated",), "contradiction.breathing_none_with_co2"),
        (("Irregular Rhythm",), "rate.disagree"),
        (("Assist Device",), "contradiction.alert_without_pulse"),
        (("Exposure",), "unlikely.temperature"),
        (("Lab Glucose",), "unlikely.glucose"),
        (("BP Method",), "pressure.half"),
    ],
    ids=lambda value: " and ".join(value) if isinstance(value, tuple) else value,
)
def test_true_stories_are_asked_about_without_their_context(program, tmp_path, unsaid, asked_then):
    """What keeps a true story out of the queue is what the report says of the patient."""
    rows = read_table(BATCHES / "demo.csv")
    with (tmp_path / "bare.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, rows[0].keys())
        table.writeheader()
        table.writerows(row | dict.fromkeys(unsaid, "") for row in rows)
    out = audit_into(program, tmp_path / "bare.csv", tmp_path / "out")
    key = {place_of(row) for row in read_table(BATCHES / "demo-key.csv")}
    asked = {
        finding["check"]
        for finding in read_table(out / "findings.csv")
        if finding["asks"] != "notice" and place_of(finding) not in key
    }
    assert asked_then in asked
