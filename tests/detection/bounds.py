"""How well the best guess could do: what was lost with a digit, told by one who knows more than any
audit does.

He knows that a digit was left out and of which reading, and how readings of that very source lie
among people and beside their neighbours, from the half that is not measured on. He names the number
that is likeliest then; how often it is the one that was meant is a bound for an explanation, which
must find out the slip as well.
"""

from collections import Counter, defaultdict
from math import log

from detection.detecting import Case
from detection.planted import pointed, typed
from detection.real_charts import Report, Set

Steps = dict[str, Counter[float]]
STEPS_APART = (5.0, 60.0)  # minutes: at once, within the hour, later


class Knowing:
    """Of one source: how often each value of a sign is charted, and each step to the next."""

    def __init__(self, reports: list[Report]) -> None:
        self.values: dict[str, Counter[str]] = defaultdict(Counter)
        self.steps: dict[tuple[str, int], Counter[float]] = defaultdict(Counter)
        for report in reports:
            last: dict[str, tuple[int | None, float]] = {}
            for at, one in zip(report.minutes, report.sets, strict=True):
                for sign, text in one.items():
                    value = float(typed(sign, float(text)))
                    self.values[sign][typed(sign, value)] += 1
                    if sign in last:
                        step = round(abs(value - last[sign][1]), 1)
                        self.steps[sign, far(last[sign][0], at)][step] += 1
                    last[sign] = (at, value)

    def of_value(self, sign: str, text: str) -> float:
        seen = self.values[sign]
        return log((seen[text] + 0.1) / (seen.total() + 100))

    def of_step(self, sign: str, apart: int, step: float) -> float:
        """Smoothed over its like: a step between the next smaller and the next larger by a few."""
        seen = self.steps[sign, apart]
        unit = 0.1 if sign == "temperature" else 1.0
        near = [seen[round(step + i * unit, 1)] for i in (-2, -1, 0, 1, 2) if step + i * unit >= 0]
        return log((sum(near) / len(near) + 0.05) / (seen.total() + 100))


def far(a: int | None, b: int | None) -> int:
    """Which class of distance in time."""
    if a is None or b is None:
        return len(STEPS_APART)
    return sum(abs(b - a) > most for most in STEPS_APART)


def with_a_digit_more(text: str) -> set[str]:
    digits = text.replace(".", "")
    more = {digits[:i] + str(d) + digits[i:] for i in range(len(digits) + 1) for d in range(10)}
    return {pointed(text, one) for one in more if one[0] != "0" or "." in text}


def neighbours(report: Report, at: int, sign: str) -> list[tuple[int, float]]:
    found = []
    for step in (-1, 1):
        i = at + step
        while 0 <= i < len(report.sets):
            if number := value_of(report.sets[i], sign):
                found.append((far(report.minutes[at], report.minutes[i]), number))
                break
            i += step
    return found


def value_of(one: Set, sign: str) -> float:
    try:
        return float(one.get(sign, ""))
    except ValueError:
        return 0.0


def best_guess(knowing: Knowing, report: Report, case: Case) -> str:
    """Of a case whose slip is a digit left out."""
    ((sign, text),) = case.planted.items()
    beside = neighbours(report, case.set - 1, sign)

    def likely(guess: str) -> float:
        steps = (
            knowing.of_step(sign, apart, round(abs(float(guess) - value), 1))
            for apart, value in beside
        )
        return knowing.of_value(sign, guess) + sum(steps)

    return max(sorted(with_a_digit_more(text)), key=likely)


def is_right(knowing: Knowing, report: Report, case: Case) -> bool:
    ((_, was),) = case.hid.items()
    return float(best_guess(knowing, report, case)) == float(was)
