"""Single-variable ranges on the same sets: three published tables, and the best fitted ones.

The published tables are those of `outside/test_plausible_ranges.py`, where their sources stand. A
cell that holds no number counts as found for every table: any reader stumbles over it.
"""

from collections import defaultdict

from detection.real_charts import Report, Set
from outside.test_plausible_ranges import PUBLISHED

Range = tuple[float, float]
Ranges = dict[str, Range]

TABLES = {
    "mimic3": "benchmark, outliers",
    "mimic3_valid": "benchmark, valid",
    "icu": "concept dictionary",
    "clif": "common data format",
}
MOST_ASKED = 0.010  # of the training sets, as the goal for ours


def published(table: str) -> Ranges:
    ranges = dict(PUBLISHED[table])
    return ranges | ({"ecg_rate": ranges["pulse"]} if "pulse" in ranges else {})


def as_number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def is_outside(sign: str, text: str, ranges: Ranges) -> bool:
    value = as_number(text)
    if value is None:
        return text != ""
    low, high = ranges.get(sign, (float("-inf"), float("inf")))
    return not low <= value <= high


def flags(one: Set, ranges: Ranges) -> bool:
    return any(is_outside(sign, text, ranges) for sign, text in one.items())


def share_flagged(reports: list[Report], ranges: Ranges) -> float:
    sets = [one for report in reports for one in report.sets]
    return sum(flags(one, ranges) for one in sets) / len(sets)


def fitted(reports: list[Report]) -> Ranges:
    """The narrowest ranges that leave so few sets outside: one share off each end of every sign."""
    values: dict[str, list[float]] = defaultdict(list)
    for report in reports:
        for one in report.sets:
            for sign, text in one.items():
                if (value := as_number(text)) is not None:
                    values[sign].append(value)
    for of_sign in values.values():
        of_sign.sort()

    def cut(share: float) -> Ranges:
        ranges = {}
        for sign, of_sign in values.items():
            off = int(share * len(of_sign))
            ranges[sign] = (of_sign[off], of_sign[-1 - off])
        return ranges

    low, high = 0.0, 0.1
    for _ in range(20):
        middle = (low + high) / 2
        few = share_flagged(reports, cut(middle)) <= MOST_ASKED
        low, high = (middle, high) if few else (low, middle)
    return cut(low)
