"""Measures detection and writes docs/detection.md: `PYTHONPATH=tests python -m detection.page`."""

import argparse
import random
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path

from detection.bounds import Knowing, is_right, neighbours
from detection.detecting import Case, Measured, Outcome, halves, measure, plant, wilson
from detection.planted import KINDS, Kind
from detection.ranges import TABLES, Ranges, fitted, is_outside, published, share_flagged
from detection.real_charts import SOURCES, Report
from detection.standard_samples import LEFT_OUT, measure_samples

SOURCE = Path(__file__).resolve().parents[2]
SEED = 20260301
OF_EACH_IN_SAMPLES = 40  # there are fewer than a hundred sets
OF_EACH = 250  # slips of a kind in each source

NAMES = {
    "nhanes": "NHANES 2009-2012, survey: up to three pressures and a pulse a person",
    "crash2": "CRASH-2, trauma on arrival: one set a patient",
    "icu": "PhysioNet Challenge 2012, intensive care: readings of one hour as a set",
    "monitor": "one monitor's numerics, a set a minute",
}

Row = tuple[Case, Outcome]


def share(count: int, of: int) -> str:
    """With its 95 % interval."""
    if of == 0:
        return "-"
    low, high = wilson(count, of)
    return f"{100 * count / of:.1f} ({100 * low:.1f}-{100 * high:.1f})"


def counted(rows: list[Row], which: Callable[[Outcome], bool]) -> str:
    return share(sum(which(outcome) for _, outcome in rows), len(rows))


def table(head: list[str], lines: Iterable[list[str]]) -> str:
    rows = [head, ["---"] * len(head), *lines]
    return "\n".join("| " + " | ".join(row) + " |" for row in rows) + "\n"


def goal(kind: Kind) -> str:
    return "-" if kind.found is None else f"{100 * kind.found:.0f} / {100 * kind.first:.0f}"


def line_of(kind: Kind, rows: list[Row]) -> list[str]:
    awake = [row for row in rows if not row[0].altered]
    return [
        kind.words,
        str(len(rows)),
        counted(rows, lambda o: o.found),
        counted(rows, lambda o: o.asked),
        counted(rows, lambda o: o.first),
        counted(rows, lambda o: o.within_three),
        f"{counted(awake, lambda o: o.first)} of {len(awake)}",
        goal(kind),
    ]


def of_kind(measured: Measured, kind: Kind) -> list[Row]:
    return [row for row in measured.cases if row[0].kind == kind.name]


def slips(measured: Measured) -> str:
    head = ["slip", "planted", "found", "asked", "explained first", "within three"]
    head += ["explained first, fully awake", "goal, found / first"]
    return table(head, (line_of(kind, of_kind(measured, kind)) for kind in KINDS))


def found_by(rows: list[Row], ranges: Ranges) -> str:
    found = sum(any(is_outside(s, t, ranges) for s, t in case.planted.items()) for case, _ in rows)
    return f"{100 * found / len(rows):.1f}" if rows else "-"


def against_ranges(measured: Measured, all_ranges: dict[str, Ranges], flagged: list[str]) -> str:
    lines = []
    for kind in KINDS:
        rows = of_kind(measured, kind)
        ours = sum(o.found for _, o in rows)
        lines.append(
            [kind.words, f"{100 * ours / len(rows):.1f}" if rows else "-"]
            + [found_by(rows, ranges) for ranges in all_ranges.values()]
        )
    return table(["found, %", "vitalproof", *all_ranges], [*lines, flagged])


def untouched_table(measured: Measured) -> str:
    lines = []
    for source, u in measured.untouched.items():
        checks = sorted(u.checks.items(), key=lambda item: (-item[1], item[0]))[:4]
        lines.append(
            [
                NAMES[source],
                str(u.sets),
                f"{1000 * u.asked / u.sets:.1f}",
                f"{1000 * u.noticed / u.sets:.1f}",
                f"{1000 * u.slips / u.sets:.2f}",
                ", ".join(f"`{code}` {count}" for code, count in checks),
            ]
        )
    head = ["source", "sets", "with a reject or query, per 1,000", "with a notice, per 1,000"]
    head += ["of `slip.*`"]
    return table([*head, "most of the former"], lines)


def by_source(measured: Measured, names: tuple[str, ...]) -> str:
    lines = []
    for kind in KINDS:
        if kind.name in names:
            rows = of_kind(measured, kind)
            lines.append(
                [kind.words]
                + [
                    counted([r for r in rows if r[0].source == source], lambda o: o.found)
                    for source in NAMES
                ]
            )
    return table(["found, %", *NAMES], lines)


def reasons(measured: Measured) -> str:
    """Why slips that have a goal were not explained first, in percent of those planted."""
    lines = []
    for kind in (k for k in KINDS if k.first is not None):
        rows = of_kind(measured, kind)
        left = [(c, o) for c, o in rows if not o.first]
        counts = [
            sum(not o.found for _, o in left),
            sum(o.found and not o.explained and c.altered for c, o in left),
            sum(o.found and not o.explained and not c.altered for c, o in left),
            sum(o.found and o.explained for _, o in left),
        ]
        lines.append([kind.words] + [f"{100 * count / len(rows):.1f}" for count in counts])
    head = ["of 100 planted", "not found", "less than fully awake, nothing offered"]
    return table([*head, "awake, nothing offered", "another offered first"], lines)


# Slips that the model does not know.
NO_SLIP_OF_THE_MODEL = ("last_digit", "two_wrong")


def by_strength(measured: Measured) -> str:
    """How often the first explanation is right, by how sure it is said to be."""
    known = [row for row in measured.cases if row[0].kind not in NO_SLIP_OF_THE_MODEL]
    unknown = of_kind(measured, kind_named("two_wrong"))
    lines = []
    for strength in ("strong", "fair", "slight"):
        said = [row for row in known if row[1].strength == strength]
        mistaken = sum(outcome.strength == strength for _, outcome in unknown)
        lines.append(
            [
                strength,
                str(len(said)),
                counted(said, lambda o: o.first),
                share(mistaken, len(unknown)),
            ]
        )
    head = ["said to be", "first explanations", "right, %"]
    return table([*head, "of a hundred with two digits wrong"], lines)


def planted_again(
    data: Path, kind: Kind, seed: int, of_each: int
) -> dict[tuple[str, str], tuple[Report, Case]]:
    """By source and name, the reports that cases of the kind were planted in."""
    found = {}
    for source, read in SOURCES.items():
        reports = halves(read(data), False)
        dice = random.Random(f"{seed} {kind.name}")
        for report, case in zip(*plant(source, reports, kind, of_each, dice), strict=True):
            found[source, report.id] = report, case
    return found


def kind_named(name: str) -> Kind:
    return next(kind for kind in KINDS if kind.name == name)


def best_guesses(data: Path, seed: int, of_each: int) -> str:
    """How often one who knows that a digit was left out would name the number."""
    knowing = {source: Knowing(halves(read(data), True)) for source, read in SOURCES.items()}
    again = planted_again(data, kind_named("dropped"), seed, of_each)
    right = sum(is_right(knowing[source], *case) for (source, _), case in again.items())
    return share(right, len(again))


WITHIN_AN_HOUR = 2  # classes of distance
FOLLOWED = {"systolic", "diastolic", "pulse", "respiratory_rate"}


def with_neighbours(measured: Measured, data: Path, seed: int, of_each: int) -> str:
    """Transposed digits by whether there is a reading they could stand out from."""
    kind = kind_named("transposed")
    again = planted_again(data, kind, seed, of_each)
    groups: dict[int, list[Row]] = {0: [], 1: [], 2: []}
    for case, outcome in of_kind(measured, kind):
        report, same = again[case.source, case.report]
        assert case == same
        (sign,) = case.planted
        near = [n for n in neighbours(report, case.set - 1, sign) if n[0] < WITHIN_AN_HOUR]
        groups[len(near) if sign in FOLLOWED else 0].append((case, outcome))
    names = ["none, or a sign that is not followed", "on one side", "on both sides"]
    lines = [
        [name, str(len(rows)), counted(rows, lambda o: o.found), counted(rows, lambda o: o.first)]
        for name, rows in zip(names, groups.values(), strict=True)
    ]
    return table(["a reading within the hour", "planted", "found", "explained first"], lines)


def samples_table(rows: list[Row]) -> str:
    lines = []
    for kind in (k for k in KINDS if k.name not in LEFT_OUT):
        own = [row for row in rows if row[0].kind == kind.name]
        lines.append(
            [kind.words, str(len(own))]
            + [counted(own, which) for which in (lambda o: o.found, lambda o: o.first)]
        )
    return table(["slip", "planted", "found", "explained first"], lines)


def words(measured: Measured, samples: list[Row], data: Path, seed: int, of_each: int) -> str:
    training = [r for read in SOURCES.values() for r in halves(read(data), True)]
    testing = [r for read in SOURCES.values() for r in halves(read(data), False)]
    all_ranges = {TABLES[name]: published(name) for name in TABLES}
    all_ranges["fitted on the other half"] = fitted(training)
    sets = sum(u.sets for u in measured.untouched.values())
    asked = sum(u.asked for u in measured.untouched.values())
    flagged = ["untouched sets flagged, per 1,000", f"{1000 * asked / sets:.1f}"]
    flagged += [f"{1000 * share_flagged(testing, r):.1f}" for r in all_ranges.values()]
    text = (SOURCE / "tests" / "detection" / "detection.md.in").read_text(encoding="utf-8")
    return text.format(
        seed=seed,
        of_each=of_each,
        slips=slips(measured),
        ranges=against_ranges(measured, all_ranges, flagged),
        samples=samples_table(samples),
        untouched=untouched_table(measured),
        by_source=by_source(measured, ("transposed", "dropped", "doubled")),
        asked=f"{1000 * asked / sets:.1f}",
        sets=sets,
        noticed=f"{1000 * sum(u.noticed for u in measured.untouched.values()) / sets:.1f}",
        reasons=reasons(measured),
        strengths=by_strength(measured),
        guesses=best_guesses(data, seed, of_each),
        beside=with_neighbours(measured, data, seed, of_each),
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--program", type=Path, default=SOURCE / "build/release/bin/vitalproof")
    parser.add_argument("--data", type=Path, default=SOURCE.parent / "shared" / "data")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--of-each", type=int, default=OF_EACH)
    parser.add_argument("--into", type=Path, default=SOURCE / "docs" / "detection.md")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        measured = measure(
            chosen.program, chosen.data, Path(folder), chosen.seed, chosen.of_each, training=False
        )
    with tempfile.TemporaryDirectory() as folder:
        samples = measure_samples(
            chosen.program, chosen.data, Path(folder), chosen.seed, OF_EACH_IN_SAMPLES
        )
    chosen.into.write_text(
        words(measured, samples, chosen.data, chosen.seed, chosen.of_each), encoding="utf-8"
    )


if __name__ == "__main__":
    main()
