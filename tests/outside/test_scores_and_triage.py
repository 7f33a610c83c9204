"""The adult bounds of the clinical checks against the two tables they follow, both retyped here.

NEWS2: Royal College of Physicians 2017, saturation scale 1. National field-triage guideline 2021.
Where the two disagree a check follows one; the values at which it then differs from NEWS2 are
listed with the reason, and one more or one less fails. Codes of the revised trauma score are left
out: no check uses them.
"""

from dataclasses import dataclass, field

import pytest


def whole(low: int, high: int) -> list[float]:
    return [float(n) for n in range(low, high + 1)]


def tenths(low: int, high: int) -> list[float]:
    return [n / 10 for n in range(low * 10, high * 10 + 1)]


# Score by band, both ends included, as published; 999 stands for "and over".
NEWS2 = {
    "respiratory_rate": [(0, 8, 3), (9, 11, 1), (12, 20, 0), (21, 24, 2), (25, 999, 3)],
    "saturation": [(0, 91, 3), (92, 93, 2), (94, 95, 1), (96, 100, 0)],
    "systolic": [(0, 90, 3), (91, 100, 2), (101, 110, 1), (111, 219, 0), (220, 999, 3)],
    "pulse": [(0, 40, 3), (41, 50, 1), (51, 90, 0), (91, 110, 1), (111, 130, 2), (131, 999, 3)],
    "temperature": [(0, 35, 3), (35.1, 36, 1), (36.1, 38, 0), (38.1, 39, 1), (39.1, 99, 2)],
}


def extreme_band(sign: str, side: str) -> tuple[float, float]:
    low, high, _ = NEWS2[sign][0 if side == "low" else -1]
    return low, high


@dataclass(frozen=True)
class Against:
    """A check, the end of NEWS2's scale it stands for, and where it differs and why."""

    check: str
    sign: str
    side: str
    asked: list[float]
    differs: set[float] = field(default_factory=set)
    why: str = ""


AGAINST_NEWS2 = [
    Against("systolic_low", "systolic", "low", whole(0, 300), {90}, "triage: under 90"),
    Against("systolic_high", "systolic", "high", whole(0, 300)),
    Against("pulse_low", "pulse", "low", whole(0, 350)),
    Against("pulse_high", "pulse", "high", whole(0, 350)),
    Against("breathing_low", "respiratory_rate", "low", whole(0, 120), {9}, "triage: under 10"),
    Against(
        "breathing_high",
        "respiratory_rate",
        "high",
        whole(0, 120),
        {25, 26, 27, 28, 29},
        "triage: over 29",
    ),
    Against(
        "saturation_low",
        "saturation",
        "low",
        whole(0, 100),
        {0, 90, 91},
        "triage: under 90; a zero is no measurement and has a check of its own",
    ),
    Against("temperature_low", "temperature", "low", tenths(10, 47)),
    Against("temperature_high", "temperature", "high", tenths(10, 47)),
]


@pytest.fixture(scope="module")
def fired(tool):
    """The codes that fire on each of many sets."""

    def ask(sets: list[str]) -> list[set[str]]:
        answers = tool("vitalproof_examine", *sets)
        assert len(answers) == len(sets)
        return [set(answer.split()) for answer in answers]

    return ask


@pytest.mark.parametrize("case", AGAINST_NEWS2, ids=lambda case: case.check)
def test_check_fires_where_news2_scores_its_most(fired, case):
    low, high = extreme_band(case.sign, case.side)
    codes = fired([f"age=40 {case.sign}={value:g}" for value in case.asked])
    ours = {v for v, c in zip(case.asked, codes, strict=True) if f"clinical.{case.check}" in c}
    news2 = {value for value in case.asked if low <= value <= high}
    assert ours
    assert ours ^ news2 == case.differs, case.why


def test_every_extreme_band_of_news2_is_asked_about():
    ends = {(case.sign, case.side) for case in AGAINST_NEWS2}
    published = {(sign, "low") for sign in NEWS2} | {(sign, "high") for sign in NEWS2}
    assert published - ends == {("saturation", "high")}  # scale 1 has no high end


# National field-triage guideline 2021, vital signs of the red criteria: (set, value that meets
# the criterion, its neighbour that does not, check).
TRIAGE = [
    ("age=16 systolic={}", 89, 90, "systolic_low"),
    ("age=64 systolic={}", 89, 90, "systolic_low"),
    ("systolic={}", 89, 90, "systolic_low"),
    ("age=65 systolic={}", 109, 110, "systolic_low"),
    ("age=90 systolic={}", 109, 110, "systolic_low"),
    ("age=40 respiratory_rate={}", 9, 10, "breathing_low"),
    ("age=40 respiratory_rate={}", 30, 29, "breathing_high"),
    ("age=40 saturation={}", 89, 90, "saturation_low"),
    ("age=40 systolic=100 pulse={}", 101, 100, "pulse_above_systolic"),
    ("age=70 systolic=120 pulse={}", 121, 120, "pulse_above_systolic"),
    # Systolic under 70 + 2 x age, birth to 9 years.
    ("age=1 systolic={}", 71, 72, "systolic_low"),
    ("age=5 systolic={}", 79, 80, "systolic_low"),
    ("age=9 systolic={}", 87, 88, "systolic_low"),
    # Under 90 from 10 years on.
    ("age=10 systolic={}", 89, 90, "systolic_low"),
    ("age=15 systolic={}", 89, 90, "systolic_low"),
]


@pytest.mark.parametrize(("asked", "meets", "does_not", "check"), TRIAGE)
def test_check_fires_on_its_side_of_the_triage_line(fired, asked, meets, does_not, check):
    beyond, within = fired([asked.format(meets), asked.format(does_not)])
    assert f"clinical.{check}" in beyond
    assert f"clinical.{check}" not in within


# Where we leave the guideline's words for children: (set, check, whether ours fires, why).
TRIAGE_DIFFERENCES = [
    ("age=0.05 systolic=65", "systolic_low", False, "PALS (from memory): 60 to 28 days, not 70"),
    ("age=12 systolic=100 pulse=101", "pulse_above_systolic", False, "a child's often is above"),
]


@pytest.mark.parametrize(("asked", "check", "fires", "why"), TRIAGE_DIFFERENCES)
def test_difference_from_the_triage_guideline_stands_as_reasoned(fired, asked, check, fires, why):
    (codes,) = fired([asked])
    assert (f"clinical.{check}" in codes) == fires, why


# A value that cannot stand is for the checks that reject it, however extreme its score.
@pytest.mark.parametrize("asked", ["systolic=301", "pulse=351", "respiratory_rate=121"])
def test_an_impossible_value_is_never_clinical(fired, asked):
    (codes,) = fired([asked])
    assert f"impossible.{asked.split('=')[0]}" in codes
    assert not any(code.startswith("clinical.") for code in codes)
