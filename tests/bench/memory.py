"""Peak memory of an audit, by the size of its input."""

import statistics

from bench.audits import audited
from bench.data import csv_file
from bench.document import Goal, Row, short, table
from bench.measuring import Settings

WORK = "memory of an audit"
MOST = 64  # MB
FLAT = 1.1
ONCE_FROM = 10**9  # bytes, which take a minute


def measure(settings: Settings) -> Row:
    sizes, peaks, lines = settings.memory_bytes, [], []
    for size in sizes:
        with csv_file(settings, size) as file:
            rounds = settings.rounds if size < ONCE_FROM else 1
            ran = [audited(settings, file, threads=2)[0] for _ in range(rounds)]
        peaks.append(max(one.peak_bytes for one in ran) / 1e6)
        seconds = statistics.median(one.seconds for one in ran)
        lines.append(
            [
                in_words(size),
                f"{file.account['sets']:,}",
                str(rounds),
                f"{peaks[-1]:.1f}",
                short(seconds),
                short(file.bytes / seconds / 1e6),
            ]
        )
    growth = max(peaks) / peaks[0]
    return Row(
        WORK,
        [
            Goal(
                f"itself, {in_words(sizes[0])} to {in_words(sizes[-1])}",
                max(peaks),
                MOST,
                "MB",
                True,
            ),
            Goal(f"its peak at {in_words(sizes[0])}", growth, FLAT, "times", True),
        ],
        "Two threads, all checks, findings written; what the system counts as the process's most "
        "resident memory, the highest of the rounds; seconds are their median.\n\n"
        + table(["CSV", "sets", "rounds", "peak, MB", "seconds", "MB/s"], lines)
        + "\n",
        "The table shows whether memory levels off as the input grows; which part of the program "
        "holds it is not measured here.",
    )


def in_words(size: int) -> str:
    for unit, of_bytes in (("GB", 10**9), ("MB", 10**6), ("kB", 10**3)):
        if size >= of_bytes:
            return f"{size / of_bytes:g} {unit}"
    return f"{size} B"
