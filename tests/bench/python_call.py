"""The Python call over NumPy columns, beside the kernel in the same process on the same arrays.

Both leave the same bits: what fired and what could be asked, as whole columns. What the call costs
beyond the kernel is the difference of the two, a thousandth of either: a round takes the fastest of
several of each, since what else the machine does only ever adds to a time.
"""

import statistics
from collections.abc import Callable

import numpy as np
import vitalproof as vp
from bench.document import Goal, Row, times_table
from bench.kernel import SIGNS, Columns, Kernel
from bench.measuring import Settings, in_turns, seconds_of

WORK = "Python call over NumPy columns"
CALLS_OF_ROUND = 7
FEW = 256
# Scales of it run both ways, so that Python takes it as words alone.
NOT_AS_NUMBERS = "responsiveness"


def measure(settings: Settings) -> Row:
    kernel = Kernel(settings)
    columns = Columns(kernel, settings.rows, settings.seed)
    used = [name for name in SIGNS if name != NOT_AS_NUMBERS]
    given = columns.given(followed=False, only=set(used))
    frame = {name: columns.signs[name] for name in used}
    checks = [kernel.codes.index(code) for code in vp.flag(first_rows(frame)).codes]
    require_same_bits(kernel, given, checks, vp.flag(frame, threads=1))

    few = first_rows(frame)

    def kept() -> float:
        held = []
        seconds = seconds_of(lambda: held.append(kernel.flags(given, checks)))
        held.pop().forget()
        return seconds

    def called() -> float:
        held = []
        return seconds_of(lambda: held.append(vp.flag(frame, threads=1)))

    times = in_turns(
        settings.rounds,
        {
            "call": lambda: fastest(called),
            "kept": lambda: fastest(kept),
            "counted": lambda: seconds_of(lambda: kernel.examine(given, checks)),
            "understood": lambda: seconds_of(lambda: vp.understand(frame)),
            "few": lambda: fastest(lambda: seconds_of(lambda: vp.flag(few, threads=1))),
        },
    )
    pairs = zip(times.seconds["call"], times.seconds["kept"], strict=True)
    beyond = statistics.median(1000 * (call - kept) for call, kept in pairs)
    return Row(
        WORK,
        [Goal("the kernel leaving the same columns of flags", beyond, 1, "ms", at_most=True)],
        f"`vitalproof.flag` of {settings.rows:,} rows of {len(used)} signs as float64, "
        f"{len(checks)} checks, one thread; responsiveness is left out, which Python takes as "
        "words alone. The bits are those of the kernel, called in the same process on the same "
        f"arrays. Of these two a round's time is the fastest of {CALLS_OF_ROUND}.\n\n"
        + times_table(times, LABELS, "kept"),
        f"Of the call, {1000 * times['understood']:.1f} ms go by before the kernel begins: columns "
        "are understood and their units settled by their first values. What does not grow with the "
        f"rows comes to {1000 * times['few']:.1f} ms in all, which is a call of {FEW} rows; the "
        "rest of the difference lies in how the flags are kept, and in what the machine does "
        "meanwhile.",
    )


def fastest(once: Callable[[], float]) -> float:
    return min(once() for _ in range(CALLS_OF_ROUND))


def first_rows(frame: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    return {name: array[:FEW] for name, array in frame.items()}


def require_same_bits(kernel: Kernel, given, checks: list[int], flags: vp.Flags) -> None:
    expected = kernel.flags(given, checks)
    for at, code in enumerate(flags.codes):
        flag = flags[code]
        fired = np.unpackbits(expected.fired(at), bitorder="little")[: given.rows].astype(bool)
        asked = np.unpackbits(expected.evaluated(at), bitorder="little")[: given.rows].astype(bool)
        # A check that needs no sign is asked of every row that has any.
        if (flag.fired != fired).any() or (flag.evaluated & ~asked).any():
            raise RuntimeError(f"the call and the kernel disagree about {code}")
    expected.forget()


LABELS = {
    "call": "the call",
    "kept": "the kernel, flags kept",
    "counted": "the kernel, findings counted",
    "understood": "`vitalproof.understand`: what comes before the kernel",
    "few": f"the call of {FEW} rows",
}
