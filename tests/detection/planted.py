"""Slips of the hand, one a set: each kind plants itself where it can be made, and says what it hid.

`plant(one, dice)` answers the set with the slip and the texts it replaced, or None where the slip
cannot be made: no such reading, or the same number after as before.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from detection.real_charts import Set

Planted = tuple[Set, dict[str, str]]
Dice = random.Random

DIGIT_SIGNS = (
    "systolic",
    "diastolic",
    "pulse",
    "respiratory_rate",
    "saturation",
    "glucose",
    "temperature",
)


@dataclass(frozen=True)
class Kind:
    name: str
    words: str
    plant: Callable[[Set, Dice], Planted | None]
    # What the goals are stated for; None where no goal is.
    found: float | None = None
    first: float | None = None


def number(one: Set, sign: str) -> float:
    """As it stands; NaN where there is none or where it is a zero, which no slip of these makes."""
    try:
        value = float(one[sign])
    except (KeyError, ValueError):
        return float("nan")
    return value if value > 0 else float("nan")


def typed(sign: str, value: float) -> str:
    """As a hand charts it: temperatures to a tenth, all else whole."""
    return f"{value:.1f}" if sign == "temperature" else f"{value:.0f}"


def rounded(one: Set, sign: str) -> float:
    """The number as a hand charts it, which is what a slip is made of."""
    value = number(one, sign)
    return float(typed(sign, value)) if value > 0 else value


def replaced(one: Set, new: dict[str, str]) -> Planted | None:
    """The set with other texts; a reading that a slip touches is first rounded as a hand would."""
    was = {sign: typed(sign, number(one, sign)) for sign in new if number(one, sign) > 0}
    if all(new[sign] == was.get(sign, "") for sign in new):
        return None
    changed = {**one, **new}
    return {sign: text for sign, text in changed.items() if text != ""}, was


def of_one_sign(slip: Callable[[str, str, Dice], str | None], signs=DIGIT_SIGNS):
    """Plants a slip in the digits of one reading, whichever the dice choose."""

    def plant(one: Set, dice: Dice) -> Planted | None:
        there = [sign for sign in signs if number(one, sign) > 0]
        if not there:
            return None
        sign = dice.choice(there)
        new = slip(sign, typed(sign, number(one, sign)), dice)
        return None if new is None else replaced(one, {sign: new})

    return plant


def swapped(a: str, b: str):
    def plant(one: Set, dice: Dice) -> Planted | None:
        if not (number(one, a) > 0 and number(one, b) > 0):
            return None
        return replaced(one, {a: typed(b, number(one, b)), b: typed(a, number(one, a))})

    return plant


def two_numbers(between: str):
    def plant(one: Set, dice: Dice) -> Planted | None:
        systolic, diastolic = number(one, "systolic"), number(one, "diastolic")
        if not (systolic > 0 and diastolic >= 10):
            return None
        both = typed("systolic", systolic) + between + typed("diastolic", diastolic)
        return replaced(one, {"systolic": both, "diastolic": ""})

    return plant


def in_kilopascal(one: Set, dice: Dice) -> Planted | None:
    there = [s for s in ("systolic", "diastolic", "mean_pressure") if number(one, s) > 0]
    if "systolic" not in there or "diastolic" not in there:
        return None
    return replaced(one, {s: f"{rounded(one, s) * 0.133322:.1f}" for s in there})


def changed_by(more: bool, slip: Callable[[str, str, Dice], str | None]):
    """Only where the number changes by more than a quarter, or only where it does not."""

    def filtered(sign: str, text: str, dice: Dice) -> str | None:
        new = slip(sign, text, dice)
        if new is None or float(new) == float(text):
            return None
        by = abs(float(new) - float(text)) / float(text)
        return new if (by > 0.25) == more else None

    return filtered


def transposed(sign: str, text: str, dice: Dice) -> str | None:
    digits = text.replace(".", "")
    at = dice.randrange(len(digits) - 1) if len(digits) > 1 else None
    if at is None or digits[at] == digits[at + 1]:
        return None
    return pointed(text, digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :])


def dropped(sign: str, text: str, dice: Dice) -> str | None:
    digits = text.replace(".", "")
    at = dice.randrange(len(digits))
    left = digits[:at] + digits[at + 1 :]
    return pointed(text, left) if left.strip("0") else None


def doubled(sign: str, text: str, dice: Dice) -> str | None:
    digits = text.replace(".", "")
    at = dice.randrange(len(digits))
    return pointed(text, digits[: at + 1] + digits[at:])


def one_too_many(sign: str, text: str, dice: Dice) -> str:
    """Any digit anywhere, but not one like those beside it, nor a zero before or behind all."""
    digits = text.replace(".", "")
    at = dice.randrange(len(digits) + 1)
    beside = digits[max(0, at - 1) : at + 1]
    ends = "0" if at in (0, len(digits)) else ""
    digit = dice.choice([d for d in "0123456789" if d not in beside + ends])
    return pointed(text, digits[:at] + digit + digits[at:])


def two_wrong(sign: str, text: str, dice: Dice) -> str | None:
    digits = list(text.replace(".", ""))
    if len(digits) < 2:
        return None
    for at in dice.sample(range(len(digits)), 2):
        digits[at] = dice.choice([d for d in "123456789" if d != digits[at]])
    return pointed(text, "".join(digits))


def pointed(like: str, digits: str) -> str:
    """The digits with the point where `like` has it, counted from the end."""
    behind = len(like) - like.index(".") - 1 if "." in like else 0
    return digits if behind == 0 else f"{digits[:-behind] or '0'}.{digits[-behind:]}"


def times_ten(sign: str, text: str, dice: Dice) -> str:
    return text.replace(".", "") if "." in text else text + "0"


def by_ten(sign: str, text: str, dice: Dice) -> str | None:
    return f"{float(text) / 10:.2f}".rstrip("0").rstrip(".")


def last_digit_off(sign: str, text: str, dice: Dice) -> str | None:
    digits = text.replace(".", "")
    last = int(digits[-1]) + (
        1 if digits[-1] == "0" else -1 if digits[-1] == "9" else dice.choice((-1, 1))
    )
    return pointed(text, digits[:-1] + str(last))


def letter(sign: str, text: str, dice: Dice) -> str | None:
    places = [i for i, c in enumerate(text) if c in "01"]
    if not places:
        return None
    at = dice.choice(places)
    return text[:at] + ("O" if text[at] == "0" else "l") + text[at + 1 :]


def one_field_too_far(one: Set, dice: Dice) -> Planted | None:
    row = ("systolic", "diastolic", "pulse", "respiratory_rate", "saturation")
    pairs = [(a, b) for a, b in pairwise(row) if number(one, a) > 0 and b not in one]
    if not pairs:
        return None
    a, b = dice.choice(pairs)
    return replaced(one, {a: "", b: typed(a, number(one, a))})


def unit(sign: str, convert: Callable[[float], float], pattern: str):
    def plant(one: Set, dice: Dice) -> Planted | None:
        value = rounded(one, sign)
        return replaced(one, {sign: format(convert(value), pattern)}) if value > 0 else None

    return plant


EASY = {"found": 0.97, "first": 0.90}
DIGITS = {"found": 0.85, "first": 0.70}

KINDS = [
    Kind(
        "swapped_pressure",
        "systolic and diastolic swapped",
        swapped("systolic", "diastolic"),
        **EASY,
    ),
    Kind(
        "swapped_pulse_saturation", "pulse and saturation swapped", swapped("pulse", "saturation")
    ),
    Kind(
        "unit_fahrenheit",
        "°F typed as °C",
        unit("temperature", lambda c: c * 1.8 + 32, ".1f"),
        **EASY,
    ),
    Kind(
        "unit_celsius",
        "°C taken for °F and converted",
        unit("temperature", lambda c: (c - 32) / 1.8, ".1f"),
        **EASY,
    ),
    Kind(
        "unit_glucose",
        "mmol/L typed as mg/dL",
        unit("glucose", lambda g: g / 18.0156, ".1f"),
        **EASY,
    ),
    Kind("unit_pressure", "kPa typed as mmHg", in_kilopascal, **EASY),
    Kind("fraction", "a fraction typed as %", unit("saturation", lambda s: s / 100, ".2f"), **EASY),
    Kind("times_ten", "a zero too many, or no point", of_one_sign(times_ten), **EASY),
    Kind("by_ten", "a point too far left", of_one_sign(by_ten), **EASY),
    Kind("two_numbers", "120/80 in one cell", two_numbers("/"), **EASY),
    Kind("run_together", "12080 in one cell", two_numbers(""), **EASY),
    Kind(
        "transposed",
        "two digits transposed, by more than 25 %",
        of_one_sign(changed_by(True, transposed)),
        **DIGITS,
    ),
    Kind(
        "dropped",
        "a digit dropped, by more than 25 %",
        of_one_sign(changed_by(True, dropped)),
        **DIGITS,
    ),
    Kind(
        "doubled",
        "a digit doubled, by more than 25 %",
        of_one_sign(changed_by(True, doubled)),
        **DIGITS,
    ),
    Kind("letter", "O or l for a digit", of_one_sign(letter)),
    Kind("wrong_field", "one field too far", one_field_too_far),
    Kind(
        "transposed_little",
        "two digits transposed, by up to 25 %",
        of_one_sign(changed_by(False, transposed)),
    ),
    Kind("last_digit", "last digit off by one", of_one_sign(last_digit_off)),
    Kind(
        "one_too_many",
        "a digit too many, by more than 25 %",
        of_one_sign(changed_by(True, one_too_many)),
    ),
    Kind(
        "two_wrong",
        "two digits wrong, by more than 25 %",
        of_one_sign(changed_by(True, two_wrong)),
    ),
]
