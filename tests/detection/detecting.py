"""Plants slips in real sets, audits them, and counts what was found and what was explained."""

import json
import random
import subprocess
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt
from pathlib import Path

from detection.planted import KINDS, Kind
from detection.real_charts import SOURCES, Report, Set, is_for_training, write

AROUND = 6  # sets that go along on either side of a planted one: more than a check looks at


@dataclass(frozen=True)
class Case:
    """One slip: where it was planted, and what it hid."""

    source: str
    kind: str
    report: str
    set: int  # from 1, in the report as written
    original: tuple[str, int]  # the same place in the report as it came
    hid: dict[str, str]
    planted: dict[str, str]
    altered: bool


@dataclass(frozen=True)
class Outcome:
    found: bool  # a finding on the reading that was not there before, clinical ones aside
    asked: bool  # a reject or a query among them
    clinical: bool  # a clinical one, at least
    first: bool  # its first explanation gives back the text as it was
    within_three: bool
    explained: bool  # anything was offered
    strength: str  # of the first explanation; empty where there is none


def halves(reports: list[Report], training: bool) -> list[Report]:
    return [r for r in reports if is_for_training(r.id) == training]


def is_altered(one: Set) -> bool:
    """Less than fully awake by the set's coma score: there nothing is said about a danger."""
    total = one.get("coma_total", "")
    return total != "" and 3 <= float(total) < 15


def plant(
    source: str, reports: list[Report], kind: Kind, most: int, dice: random.Random
) -> tuple[list[Report], list[Case]]:
    """At most so many of a kind, each in a set of its own, with its neighbours."""
    places = [(r, i) for r in reports for i in range(len(r.sets))]
    dice.shuffle(places)
    planted, cases = [], []
    for report, i in places:
        made = kind.plant(report.sets[i], dice)
        if made is None:
            continue
        one, hid = made
        begin, end = max(0, i - AROUND), i + AROUND + 1
        name = f"{kind.name}-{len(cases)}"
        sets = [one if j == i else s for j, s in enumerate(report.sets)][begin:end]
        planted.append(Report(name, report.age, sets, report.minutes[begin:end]))
        new = {
            s: one.get(s, "")
            for s in report.sets[i] | one
            if one.get(s, "") != report.sets[i].get(s, "")
        }
        was = {s: hid.get(s, "") for s in new}
        cases.append(
            Case(
                source,
                kind.name,
                name,
                i - begin + 1,
                (report.id, i + 1),
                was,
                new,
                is_altered(report.sets[i]),
            )
        )
        if len(cases) == most:
            break
    return planted, cases


def findings_of(program: Path, files: list[Path], into: Path) -> Iterator[dict]:
    command = [program, "audit", *files, "--into", into, "--quiet"]
    subprocess.run(command, check=True, capture_output=True, timeout=600)
    with (into / "findings.jsonl").open(encoding="utf-8") as lines:
        for line in lines:
            finding = json.loads(line)
            # Those of a batch stand in no set: a column, a device, two reports.
            if "crew" in finding:
                yield finding


def audit(program: Path, table: Path, into: Path) -> dict[tuple[str, int], list[dict]]:
    """The findings of each set, and how they are explained."""
    found: dict[tuple[str, int], list[dict]] = defaultdict(list)
    for finding in findings_of(program, [table], into):
        found[finding["report"], finding["set"]].append(finding)
    return found


def audit_files(program: Path, files: list[Path], into: Path) -> dict[str, list[dict]]:
    """The findings of each file, by its name."""
    found: dict[str, list[dict]] = defaultdict(list)
    for finding in findings_of(program, files, into):
        found[Path(finding["place"]["file"]).name].append(finding)
    return found


def is_on(finding: dict, signs: set[str]) -> bool:
    """Whether it points at one of the readings, or rests on it."""
    here = {e["sign"] for e in finding["evidence"] if "sign" in e and "set" not in e}
    return finding["sign"] in signs or bool(here & signs)


def gives_back(offer: dict, case: Case) -> bool:
    """All that was hidden and nothing else. What a unit's rounding lost is not asked for."""
    meant = {one["sign"]: one["value"] for one in offer["meant"]}
    if set(meant) != set(case.hid):
        return False
    return all(
        meant[sign] is None
        if text == ""
        else meant[sign] is not None and abs(meant[sign] - float(text)) <= rounding(case, sign)
        for sign, text in case.hid.items()
    )


def rounding(case: Case, sign: str) -> float:
    """Half a step of the number as charted, in the held unit, and half a step of the answer."""
    steps = {
        "unit_glucose": 0.05 * 18.0156 + 0.5,
        "unit_pressure": 0.05 / 0.133322 + 0.5,
        "unit_fahrenheit": 0.05 / 1.8 + 0.05,
        "unit_celsius": 0.05 * 1.8 + 0.05,
        "fraction": 0.5,
    }
    return steps.get(case.kind, 0) + 1e-6


def outcome(case: Case, found: list[dict], before: list[dict]) -> Outcome:
    signs = set(case.hid) | set(case.planted)
    known = {(f["check"], f["sign"]) for f in before}
    new = [f for f in found if is_on(f, signs) and (f["check"], f["sign"]) not in known]
    own = [f for f in new if f["kind"] != "clinical"]
    offers = next((f["perhaps"] for f in own if "perhaps" in f), [])
    return Outcome(
        found=bool(own),
        asked=any(f["asks"] != "notice" for f in own),
        clinical=bool(new),
        first=bool(offers) and gives_back(offers[0], case),
        within_three=any(gives_back(offer, case) for offer in offers),
        explained=bool(offers),
        strength=offers[0]["strength"] if offers else "",
    )


@dataclass(frozen=True)
class Untouched:
    """What is asked of real sets as they are."""

    sets: int
    asked: int  # sets with a reject or a query that is not clinical
    noticed: int  # sets with a notice that is not clinical
    checks: dict[str, int]  # rejects and queries
    slips: int  # sets with a notice of `slip.*`


def untouched(reports: list[Report], found: dict[tuple[str, int], list[dict]]) -> Untouched:
    asked, noticed, slips = set(), set(), set()
    checks: dict[str, int] = defaultdict(int)
    for place, findings in found.items():
        for finding in findings:
            if finding["kind"] == "clinical":
                continue
            (noticed if finding["asks"] == "notice" else asked).add(place)
            if finding["check"].startswith("slip."):
                slips.add(place)
            if finding["asks"] != "notice":
                checks[finding["check"]] += 1
    sets = sum(len(r.sets) for r in reports)
    return Untouched(sets, len(asked), len(noticed), dict(checks), len(slips))


@dataclass(frozen=True)
class Measured:
    cases: list[tuple[Case, Outcome]]
    untouched: dict[str, Untouched]


def measure(
    program: Path,
    data: Path,
    folder: Path,
    seed: int,
    most: int,
    training: bool,
    sources: dict = SOURCES,
    kinds: list[Kind] = KINDS,
    reports_of_each: int | None = None,
) -> Measured:
    measured = Measured([], {})
    for source, reader in sources.items():
        reports = halves(reader(data), training)[:reports_of_each]
        before = audited(program, folder, f"{source}-untouched", reports)
        measured.untouched[source] = untouched(reports, before)
        written, cases = [], []
        for kind in kinds:
            some, of_kind = plant(source, reports, kind, most, random.Random(f"{seed} {kind.name}"))
            written += some
            cases += of_kind
        after = audited(program, folder, f"{source}-planted", written)
        for case in cases:
            known = before.get(case.original, [])
            found = after.get((case.report, case.set), [])
            measured.cases.append((case, outcome(case, found, known)))
    return measured


def audited(program: Path, folder: Path, name: str, reports: list[Report]):
    write(folder / f"{name}.csv", reports)
    return audit(program, folder / f"{name}.csv", folder / name)


def wilson(count: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share (Wilson 1927)."""
    if of == 0:
        return 0.0, 1.0
    z = 1.959964
    share = count / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z / (1 + z * z / of) * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return max(0.0, middle - half), min(1.0, middle + half)
