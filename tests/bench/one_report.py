"""One report examined in process, as a charting server would."""

import json
import subprocess

from bench.document import Goal, Row, table
from bench.measuring import Settings, Times

WORK = "one report of 8 sets examined in process"


def measure(settings: Settings) -> Row:
    words = [settings.tool("one_report"), str(settings.rounds), str(settings.repeats)]
    ran = subprocess.run(words, stdout=subprocess.PIPE, check=True)
    rounds = [json.loads(line) for line in ran.stdout.splitlines()]
    times = Times({way: [r[way]["seconds"] for r in rounds] for way in rounds[0]})
    allocations = {way: max(r[way]["allocations"] for r in rounds) for way in rounds[0]}
    lines = [
        [said, f"{1e6 * times[way]:.2f}", f"{allocations[way]:g}"] for way, said in LABELS.items()
    ]
    best = 1e6 * times["one by one"]
    return Row(
        WORK,
        [
            Goal("itself, filled and examined", best, 2, "µs", at_most=True),
            Goal("itself, allocations without a finding", allocations["one by one"], 0, "", True),
        ],
        "Reports without a finding, each filled anew from the caller's own data, which is part of "
        "the time; allocations are counted by an `operator new` of the benchmark's own.\n\n"
        + table(["", "µs a report", "allocations a report"], lines)
        + "\n",
        f"The kernel works on rows by 32 and costs the same for one as for 32: a report by itself "
        f"leaves most of a word empty, and costs {best - 1e6 * times['in blocks']:.2f} µs more "
        f"than one among others. Filling the report is {1e6 * times['filled']:.2f} µs of each.",
    )


LABELS = {
    "filled": "a report filled, not examined",
    "one by one": "an examiner kept: `add`, then `finish`",
    "in blocks": "an examiner kept: `add`; `finish` behind 64 reports",
    "by one call": "`examine(report)`",
}
