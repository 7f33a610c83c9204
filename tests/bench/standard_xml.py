"""The audit of a file of the national standard, beside two parsers that merely walk it."""

from bench import audits
from bench.data import DataFile, xml_file
from bench.document import Goal, Row, short, times_table
from bench.measuring import Settings, Times, answer_of, in_turns

WORK = "audit of the national standard's XML"
PARSERS = {"libxml2": 3, "expat": 6}


def walked_by(settings: Settings, parser: str, file: DataFile) -> float:
    answer = answer_of([settings.tool("walk"), parser, file.path])
    expected = (file.account["reports"], file.account["sets"])
    if (answer["reports"], answer["groups"]) != expected:
        raise RuntimeError(f"{parser} counts otherwise: {answer}, and there are {expected}")
    return answer["seconds"]


def measure(settings: Settings) -> Row:
    with xml_file(settings, settings.xml_bytes) as file:
        ways = audits.ways(settings, file)
        for parser in PARSERS:
            ways[parser] = lambda p=parser: walked_by(settings, p, file)
        found = audits.found_in(settings, file)
        return row_of(in_turns(settings.rounds, ways), file, found)


LABELS = {
    "audit 1": "audit, one thread",
    "audit 2": "audit, two threads",
    "libxml2": "libxml2, SAX, counting elements of two names",
    "expat": "expat, the same",
}


def row_of(times: Times, file: DataFile, found: int) -> Row:
    goals = [
        Goal(f"{parser} merely walking it", times.ratio(parser, "audit 1"), wanted)
        for parser, wanted in PARSERS.items()
    ]
    goals.append(Goal("itself, two threads against one", times.ratio("audit 1", "audit 2"), 1.6))
    rate = file.bytes / times["audit 1"] / 1e6
    return Row(
        WORK,
        goals,
        f"{file.bytes / 1e6:,.0f} MB, {file.account['reports']:,} reports of "
        f"{file.account['bytes'] / file.account['reports'] / 1000:.0f} kB with "
        f"{file.account['sets']:,} groups of vital signs; every element that the standard requires "
        f"is there; {100 * found / file.account['sets']:.1f} findings to 100 sets. All checks, "
        "findings written; the audit is timed as a process, the parsers without starting and with "
        "the file in memory. Reports and groups are counted alike.\n\n"
        + times_table(times, LABELS, "audit 1")
        + f"\n{short(rate)} MB/s on one thread. "
        + audits.stages_text(times, "reports", file),
        bound_of(times),
    )


def bound_of(times: Times) -> str:
    rest = times["audit 1"] - times["reports"]
    freely = [f"{short(times[p] / rest)} times as fast as {p}" for p in PARSERS]
    return (
        f"Walking takes libxml2 {short(times['libxml2'])} s and expat {short(times['expat'])} s. "
        f"Of the audit's {short(times['audit 1'])} s, {short(times['parts'])} s find where reports "
        f"and their elements lie, {short(times['reports'] - times['parts'])} s read them, and "
        f"{short(rest)} s examine, word and write: were reading free, the audit would be "
        f"{' and '.join(freely)}. "
        + audits.threads_bound(times, times["parts"], "To find reports and what lies in them is")
    )
