"""Peak memory of an audit, by the size of its input."""

from bench.audits import audited
from bench.data import csv_file
from bench.document import Goal, Row, short, table
from bench.measuring import Settings

WORK = "memory of an audit"
MOST = 64  # MB
FLAT = 1.1


def measure(settings: Settings) -> Row:
    sizes, peaks, lines = settings.memory_bytes, [], []
    for size in sizes:
        with csv_file(settings, size) as file:
            ran = audited(settings, file, threads=2)
        peaks.append(ran.peak_bytes / 1e6)
        lines.append(
            [
                in_words(size),
                f"{file.account['sets']:,}",
                f"{peaks[-1]:.1f}",
                short(ran.seconds),
                short(file.bytes / ran.seconds / 1e6),
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
        "resident memory. Each size once.\n\n"
        + table(["CSV", "sets", "peak, MB", "seconds", "MB/s"], lines)
        + "\n",
        "The peaks above are what stops it; which part holds the memory is not measured here.",
    )


def in_words(size: int) -> str:
    for unit, of_bytes in (("GB", 10**9), ("MB", 10**6), ("kB", 10**3)):
        if size >= of_bytes:
            return f"{size / of_bytes:g} {unit}"
    return f"{size} B"
