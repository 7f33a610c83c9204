"""The audit of a CSV file, beside two libraries that merely read it into columns."""

from bench import audits
from bench.data import DataFile, csv_file
from bench.document import Goal, Row, short, times_table
from bench.measuring import Settings, Times, in_turns, run_python
from bench.readers import COUNTED

WORK = "audit of a CSV, all checks, findings written"
READERS = ("polars", "duckdb")
NAMES = {"polars": "polars", "duckdb": "DuckDB"}


def read_by(library: str, file: DataFile, threads: int) -> float:
    answer = run_python("bench.readers", library, file.path, threads)
    expected = {
        "rows": file.account["sets"],
        **{part: {n: file.account[part][n] for n in COUNTED} for part in ("numbers", "tenths")},
    }
    seconds = answer.pop("seconds")
    if answer != expected:
        raise RuntimeError(f"{library} reads otherwise: {answer}, and there are {expected}")
    return seconds


def measure(settings: Settings) -> Row:
    with csv_file(settings, settings.csv_bytes) as file:
        ways = audits.ways(settings, file)
        for library in READERS:
            for threads in (1, 2):
                ways[f"{library} {threads}"] = lambda lib=library, n=threads: read_by(lib, file, n)
        found = audits.found_in(settings, file)
        return row_of(in_turns(settings.rounds, ways), file, found)


def row_of(times: Times, file: DataFile, found: int) -> Row:
    goals = [
        Goal(
            f"{NAMES[library]} merely reading it, {in_words(threads)}",
            times.ratio(f"{library} {threads}", f"audit {threads}"),
            1,
        )
        for threads in (1, 2)
        for library in READERS
    ]
    goals.append(Goal("itself, two threads against one", times.ratio("audit 1", "audit 2"), 1.6))
    rate = file.bytes / times["audit 1"] / 1e6
    reading = file.bytes / times["read"] / 1e9
    goals.append(Goal(f"where reading gives {short(reading)} GB/s, one thread", rate, 300, "MB/s"))
    bare = times["parts"] + times["written"]
    labels = {
        f"{name} {threads}": f"{said}, {in_words(threads)}"
        for name, said in (("audit", "audit"), *NAMES.items())
        for threads in (1, 2)
    }
    return Row(
        WORK,
        goals,
        f"{file.bytes / 1e6:,.0f} MB, {file.account['sets']:,} sets of {file.account['reports']:,} "
        f"reports, {100 * found / file.account['sets']:.1f} findings to 100 sets. The audit is "
        "timed from the start of its process to its end; the libraries without the start of "
        "Python. polars: `read_csv`; DuckDB: `create table ... read_csv`, in memory, rows in any "
        "order. Rows, numbers and their sums in three columns are those that were written; the "
        "audit's account has every row examined.\n\n"
        + times_table(times, labels, "audit 1")
        + f"\n{short(rate)} MB/s on one thread. "
        + audits.stages_text(times, "rows", file),
        audits.threads_bound(times, times["reports"], "Reading is")
        + f"To part the rows and to write as many bytes takes {short(bare)} s without any work "
        f"between, {short(100 * bare / times['polars 1'])} % of what polars takes to read the "
        "file. What a library that merely reads is spared stands in the lines behind the parting "
        "of rows: each cell as a reading with its unit and what else may stand there, the sets of "
        "a report together, the checks, what was probably meant, and each finding in words.",
    )


def in_words(threads: int) -> str:
    return "one thread" if threads == 1 else "two threads"
