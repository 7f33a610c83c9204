"""Every check over columns, beside merely reading the same memory."""

from bench.document import Goal, Row, short, table, times_table
from bench.kernel import SIGNS, Columns, Kernel
from bench.measuring import Settings, Times, in_turns, seconds_of

WORK = "columns, every set and neighbourhood check"
PART = 10  # of the rows, where one check is looked at alone
MISSING = (0, 10, 60)  # percent
WANTED = 60  # million rows a second, checks of one set alone
DEAREST = 8


def measure(settings: Settings) -> Row:
    kernel = Kernel(settings)
    columns = Columns(kernel, settings.rows, settings.seed)
    alone, followed = columns.given(followed=False), columns.given(followed=True)
    sets, around = kernel.places("s"), kernel.places("n")
    every = kernel.places("sn")
    require_same_answers(kernel, alone, followed)
    times = in_turns(
        settings.rounds,
        {
            "read": lambda: seconds_of(lambda: kernel.read(columns.arrays())),
            "lanes": lambda: seconds_of(lambda: kernel.examine(alone, [])),
            "neighbours": lambda: seconds_of(lambda: kernel.examine(followed, [])),
            "sets": lambda: seconds_of(lambda: kernel.examine(followed, sets)),
            "half": lambda: seconds_of(lambda: kernel.examine(followed, every[::2])),
            "all": lambda: seconds_of(lambda: kernel.examine(followed, every)),
            "branches": lambda: seconds_of(lambda: kernel.branches(alone, sets)),
        },
    )
    beyond = times.ratio("all", "read") / (1 + len(every) / 40)
    few = Columns(kernel, max(1, settings.rows // PART), settings.seed)
    gaps = {share: with_gaps(settings, kernel, share) for share in MISSING}
    goals = [Goal(f"(1 + {len(every)} / 40) times reading the memory", beyond, 1.6, at_most=True)]
    goals += [
        Goal(
            f"checks of one set alone, {share} % missing",
            settings.rows / PART / of_share["columns"] / 1e6,
            WANTED,
            "million rows/s",
        )
        for share, of_share in gaps.items()
    ]
    return Row(
        WORK,
        goals,
        text_of(settings, kernel, times, len(sets), len(around))
        + gaps_text(settings, gaps)
        + dearest(settings, kernel, few),
        bound_of(times, len(every), settings.rows) + gaps_bound(settings, gaps),
    )


def with_gaps(settings: Settings, kernel: Kernel, share: int) -> Times:
    """The checks of one set where that share of the values is missing."""
    columns = Columns(kernel, settings.rows // PART, settings.seed)
    columns.leave_out(share / 100, settings.seed)
    given, sets = columns.given(followed=False), kernel.places("s")
    if (kernel.examine(given, sets) != kernel.branches(given, sets)).any():
        raise RuntimeError(f"columns and branches disagree with {share} % missing")
    arrays = list(columns.signs.values())
    return in_turns(
        settings.rounds,
        {
            "columns": lambda: seconds_of(lambda: kernel.examine(given, sets)),
            "read": lambda: seconds_of(lambda: kernel.read(arrays)),
            "branches": lambda: seconds_of(lambda: kernel.branches(given, sets)),
        },
    )


def gaps_text(settings: Settings, gaps: dict[int, Times]) -> str:
    rows = settings.rows // PART
    lines = [
        [f"{share} %", *(short(rows / times[way] / 1e6) for way in ("columns", "read", "branches"))]
        for share, times in gaps.items()
    ]
    head = ["missing", "by columns", "values merely read", "row by row with branches"]
    return (
        f"{rows:,} rows, the checks of one set alone, findings counted alike; million rows a "
        "second:\n\n" + table(head, lines) + "\n"
    )


def gaps_bound(settings: Settings, gaps: dict[int, Times]) -> str:
    rows = settings.rows // PART
    most = max(rows / times["read"] / 1e6 for times in gaps.values())
    return (
        f" {WANTED} million rows a second are {len(SIGNS) * 8 * WANTED / 1000:.1f} GB/s of values, "
        f"and merely to read them came to {short(most)} million rows a second here."
    )


def require_same_answers(kernel: Kernel, alone, followed) -> None:
    """The kernel's counts against a loop over rows with a branch for every question."""
    sets = kernel.places("s")
    expected = kernel.branches(alone, sets)
    found = kernel.examine(followed, kernel.places("sn"))
    if not expected.any() or (found[sets] != expected[sets]).any():
        raise RuntimeError("columns and branches disagree about the findings")
    if not found[kernel.places("n")].any():
        raise RuntimeError("no check of a neighbourhood found anything")


LABELS = {
    "read": "the memory merely read",
    "lanes": "put into lanes, no check",
    "neighbours": "neighbours found too, no check",
    "sets": "every check of a set",
    "half": "every second check",
    "all": "every check",
    "branches": "the checks of a set, row by row with branches",
}


def each_costs(times: Times, checks: int) -> float:
    """A check's share of the time of reading."""
    return (times.ratio("all", "read") - times.ratio("neighbours", "read")) / checks


def text_of(settings: Settings, kernel: Kernel, times: Times, sets: int, around: int) -> str:
    rate = settings.rows / times["all"] / 1e6
    spared = times.ratio("all", "read") - times.ratio("half", "read")
    return (
        f"{settings.rows:,} rows of {len(SIGNS)} signs as float64, the report "
        f"and the time of each row; {sets} checks of one set and {around} of a set among its "
        "neighbours, on one thread, findings counted. The memory read is all of these arrays, each "
        "word loaded once. Row by row with branches gives the same counts.\n\n"
        + times_table(times, LABELS, "read")
        + f"\n{short(rate)} million rows a second. Each further check costs "
        f"{100 * each_costs(times, sets + around):.2f} % of reading the memory once, or "
        f"{1000 * each_costs(times, sets + around) * times['read'] / settings.rows * 1e9:.0f} ps a "
        f"row (2.5 % would be 1/40); turning every second check off spares {short(spared)} times "
        "reading.\n\n"
    )


def dearest(settings: Settings, kernel: Kernel, columns: Columns) -> str:
    """What single checks cost beyond none, on fewer rows."""
    given = columns.given(followed=True)
    ways = {"none": lambda: seconds_of(lambda: kernel.examine(given, []))}
    for check in kernel.places("sn"):
        ways[kernel.codes[check]] = lambda c=check: seconds_of(lambda: kernel.examine(given, [c]))
    times = in_turns(settings.rounds, ways)
    fastest = {code: min(seconds) for code, seconds in times.seconds.items()}
    costs = {code: fastest[code] - fastest["none"] for code in ways if code != "none"}
    order = sorted(costs, key=lambda code: -costs[code])[:DEAREST]
    lines = [[f"`{code}`", f"{costs[code] / columns.rows * 1e12:.0f}"] for code in order]
    return (
        f"Checks turned on alone, {columns.rows:,} rows, beyond none, each by its "
        f"fastest round; the dearest {DEAREST}. What several look at is worked out once, so "
        "together they may cost less.\n\n" + table(["check", "ps a row"], lines)
    )


def bound_of(times: Times, checks: int, rows: int) -> str:
    lanes = times.ratio("lanes", "read")
    neighbours = times.ratio("neighbours", "read") - lanes
    asked = times.ratio("all", "read") - times.ratio("neighbours", "read")
    return (
        f"Of the {short(times.ratio('all', 'read'))} times that reading takes, "
        f"{short(lanes)} put values into lanes and say which are missing, {short(neighbours)} find "
        f"each row's neighbours, and {short(asked)} ask {checks} checks. The checks work on lanes "
        "in the first-level cache: their bound is instructions, not memory. Where reading is "
        "quick, a check's share of it is large."
    )
