"""Where readings lie and how far apart, on the training half: what the model's spreads are rounded
from. `PYTHONPATH=tests python -m detection.spreads` prints them; nothing else uses this.
"""

import argparse
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from detection.detecting import halves
from detection.real_charts import SOURCES, Report

SOURCE = Path(__file__).resolve().parents[2]
SIGNS = ("systolic", "diastolic", "mean_pressure", "pulse", "respiratory_rate", "saturation")
SIGNS += ("glucose", "temperature", "coma_total")
UP_TO_MINUTES = (1, 15, 60, 240)


def at_share(values: list[float], share: float) -> float:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def readings(report: Report, sign: str) -> Iterator[tuple[int | None, float]]:
    for at, one in zip(report.minutes, report.sets, strict=True):
        if sign in one and float(one[sign]) > 0:
            yield at, float(one[sign])


def line_of(name: str, values: list[float]) -> str:
    shares = (0.01, 0.16, 0.5, 0.84, 0.99)
    return f"{name:26} n {len(values):6}  " + "  ".join(
        f"{100 * share:.0f} %: {at_share(values, share):.1f}" for share in shares
    )


def show(source: str, reports: list[Report], sign: str) -> None:
    values = [value for report in reports for _, value in readings(report, sign)]
    if len(values) < 30:
        return
    print(line_of(f"{source} {sign}", values))
    steps: dict[int, list[float]] = defaultdict(list)
    for report in reports:
        own = list(readings(report, sign))
        for (before, a), (after, b) in pairwise(own):
            if before is not None and after is not None:
                most = next((m for m in UP_TO_MINUTES if after - before <= m), None)
                if most is not None:
                    steps[most].append(abs(b - a))
    for most, of_steps in sorted(steps.items()):
        if len(of_steps) >= 30:
            print(
                f"    up to {most:3} min apart: n {len(of_steps):6}  68 % within "
                f"{at_share(of_steps, 0.68):.1f}, 95 % within {at_share(of_steps, 0.95):.1f}, "
                f"99 % within {at_share(of_steps, 0.99):.1f}"
            )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--data", type=Path, default=SOURCE.parent / "shared" / "data")
    data = parser.parse_args().data
    for source, read in SOURCES.items():
        for sign in SIGNS:
            show(source, halves(read(data), training=True), sign)


if __name__ == "__main__":
    main()
