"""docs/performance.md: goals and whether they were met, and a section for each row of them."""

import datetime
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bench.machine import Machine
from bench.measuring import Settings, Times


@dataclass(frozen=True)
class Goal:
    """A number against the one that was wanted. `unit` is written behind both."""

    words: str
    measured: float
    wanted: float
    unit: str = "times"
    at_most: bool = False

    @property
    def is_met(self) -> bool:
        return self.measured <= self.wanted if self.at_most else self.measured >= self.wanted

    def line(self, work: str) -> list[str]:
        sign = "≤" if self.at_most else "≥"
        return [
            work,
            self.words,
            f"{sign} {self.wanted:g} {self.unit}".strip(),
            f"{short(self.measured)} {self.unit}".strip(),
            "met" if self.is_met else "**missed**",
        ]


@dataclass(frozen=True)
class Row:
    """One kind of work: its goals, what was measured, and what to say where a goal is missed."""

    work: str
    goals: Sequence[Goal]
    text: str
    bound: str

    @property
    def is_met(self) -> bool:
        return all(goal.is_met for goal in self.goals)


def short(number: float) -> str:
    """Three digits, and no exponent."""
    decimals = 0 if abs(number) >= 100 else 1 if abs(number) >= 10 else 2
    return f"{number:,.{decimals}f}"


def table(head: list[str], lines: Iterable[list[str]]) -> str:
    rows = [head, ["---"] * len(head), *lines]
    return "\n".join("| " + " | ".join(row) + " |" for row in rows) + "\n"


def times_table(times: Times, labels: dict[str, str], beside: str) -> str:
    """Seconds of each way, and how they compare with one of them."""
    lines = [
        [label, times.spread(name), short(times.ratio(name, beside))]
        for name, label in labels.items()
    ]
    return table(["", "seconds: median (lowest-highest)", f"times {labels[beside]}"], lines)


def wrapped(text: str) -> str:
    """Paragraphs in lines as long as the project's other pages have; tables as they are."""
    parts = (part.strip("\n") for part in text.split("\n\n"))
    filled = (
        part
        if part.startswith(("|", "#"))
        else textwrap.fill(part, 104, break_on_hyphens=False, break_long_words=False)
        for part in parts
        if part
    )
    return "\n\n".join(filled) + "\n"


HEAD = """\
# How fast it is, and what bounds it

This page is measured, not written: `cmake --build build/release --target bench` makes it anew.
{quick}
Everything compared runs in turns in one run, {rounds}, in an order drawn anew each time, since what
ran before leaves its mark; a ratio is the median of the rounds' own ratios, so that load which
comes and goes falls on both sides. Before a time is told, the answers are held against each other,
and the run ends where they differ. Data are invented from seed {seed}:
reports of five to eleven sets whose signs walk from set to set, one set in sixty-seven with a slip
(`tests/bench/invented.cpp`). Files lie in the page cache. Nothing here is a test that can fail by
being slow.

{machine}
## Goals

{goals}
"""

QUICK = (
    "\n**Made with `--quick`, on small data and in one round: the figures below mean nothing.**\n"
)


def performance(rows: Sequence[Row], settings: Settings, machine: Machine, quick: bool) -> str:
    goals = [goal.line(row.work) for row in rows for goal in row.goals]
    text = HEAD.format(
        quick=QUICK if quick else "",
        rounds="once" if settings.rounds == 1 else f"{settings.rounds} rounds",
        seed=settings.seed,
        machine=machine.text(datetime.date.today()),
        goals=table(["work", "against", "goal", "measured", ""], goals),
    )
    for row in rows:
        text += f"\n\n## {row.work[0].upper()}{row.work[1:]}\n\n{row.text}"
        if not row.is_met:
            text += f"\n\n**Which bound stops it.** {row.bound}"
    return wrapped(text)
