"""Ten checks that all can express: the kernel, chunked NumPy, polars, DuckDB and pandas.

Each counts, by check, the rows in which it fires, on one thread, from columns in memory in its own
natural form: NaN is missing for the kernel, NumPy and pandas, null for polars and DuckDB. The
limits are the catalogue's defaults; equal counts show that they are the same.
"""

import duckdb
import numpy as np
import pandas as pd
import polars as pl
from bench.document import Goal, Row, short, times_table
from bench.kernel import Columns, Kernel
from bench.measuring import Settings, Times, in_turns, seconds_of

WORK = "ten checks that all can express"
CHUNK = 256 * 1024  # rows; two columns of it lie in the second-level cache

# In the syntax that NumPy, pandas and polars share, over columns by their names.
EXPRESSIONS = {
    "impossible.pulse": "(pulse < 0) | (pulse > 350)",
    "impossible.temperature": "((temperature < 10) & (temperature != 0)) | (temperature > 47)",
    "unlikely.pulse": "((pulse > 0) & (pulse < 20)) | ((pulse > 250) & (pulse <= 350))",
    "unlikely.respiratory_rate": "((respiratory_rate > 0) & (respiratory_rate < 4))"
    " | ((respiratory_rate > 70) & (respiratory_rate <= 120))",
    "unlikely.saturation": "(saturation > 0) & (saturation < 50)",
    "unlikely.diastolic": "((diastolic > 0) & (diastolic < 20))"
    " | ((diastolic > 160) & (diastolic <= 250))",
    "pressure.order": "(systolic <= diastolic) & (diastolic > 0) & (diastolic <= 250)"
    " & (systolic >= 0)",
    "pressure.narrow": "(systolic - diastolic < 10) & (systolic > diastolic)"
    " & (systolic >= 40) & (systolic <= 260)",
    "pressure.mean_outside_mixed": "((mean_pressure < diastolic) | (mean_pressure > systolic))"
    " & (systolic > diastolic) & (diastolic >= 0) & (diastolic <= 250) & (systolic <= 300)"
    " & (mean_pressure >= 1) & (mean_pressure <= 275)",
    "coma.sum": "(abs(coma_total - (coma_eye + coma_verbal + coma_motor)) > 0)"
    " & ((coma_eye != 0) | (coma_verbal != 0) | (coma_motor != 0))",
}
SIGNS = [
    *("systolic", "diastolic", "mean_pressure", "pulse", "respiratory_rate", "saturation"),
    *("temperature", "coma_eye", "coma_verbal", "coma_motor", "coma_total"),
]
COMPILED = {code: compile(text, code, "eval") for code, text in EXPRESSIONS.items()}
Counts = dict[str, int]


def by_numpy(arrays: dict[str, np.ndarray]) -> Counts:
    counts = dict.fromkeys(EXPRESSIONS, 0)
    rows = len(arrays["pulse"])
    for start in range(0, rows, CHUNK):
        chunk = {name: array[start : start + CHUNK] for name, array in arrays.items()}
        for code, expression in COMPILED.items():
            counts[code] += int(np.count_nonzero(eval(expression, {}, chunk)))
    return counts


def by_pandas(frame: pd.DataFrame) -> Counts:
    columns = {name: frame[name] for name in SIGNS}
    return {code: int(eval(text, {}, columns).sum()) for code, text in COMPILED.items()}


def by_polars(frame: pl.DataFrame) -> Counts:
    columns = {name: pl.col(name) for name in SIGNS}
    asked = [eval(text, {}, columns).sum().alias(code) for code, text in COMPILED.items()]
    return {
        code: int(n) for code, n in frame.lazy().select(asked).collect().row(0, named=True).items()
    }


def as_sql(expression: str) -> str:
    for python, sql in (("==", "="), ("!=", "<>"), ("|", "or"), ("&", "and"), ("~", "not ")):
        expression = expression.replace(python, sql)
    return expression


def query() -> str:
    asked = [
        f'count(*) filter (where {as_sql(text)}) as "{code}"' for code, text in EXPRESSIONS.items()
    ]
    return f"select {', '.join(asked)} from vitals"


def by_duckdb(connection: duckdb.DuckDBPyConnection) -> Counts:
    return dict(zip(EXPRESSIONS, connection.execute(query()).fetchone(), strict=True))


def measure(settings: Settings) -> Row:
    kernel = Kernel(settings)
    columns = Columns(kernel, settings.rows, settings.seed)
    given = columns.given(followed=False, only=set(SIGNS))
    checks = [kernel.codes.index(code) for code in EXPRESSIONS]
    arrays = {name: columns.signs[name] for name in SIGNS}
    pandas_frame = pd.DataFrame(arrays)
    polars_frame = pl.DataFrame(arrays, nan_to_null=True)
    assert pl.thread_pool_size() == 1
    connection = duckdb.connect(config={"threads": 1})
    connection.register("given", polars_frame.to_arrow())
    connection.execute("create table vitals as select * from given")

    def by_kernel() -> Counts:
        fired = kernel.examine(given, checks)
        return {code: int(fired[check]) for code, check in zip(EXPRESSIONS, checks, strict=True)}

    ways = {
        "columns": by_kernel,
        "numpy": lambda: by_numpy(arrays),
        "polars": lambda: by_polars(polars_frame),
        "duckdb": lambda: by_duckdb(connection),
        "pandas": lambda: by_pandas(pandas_frame),
    }
    expected = by_kernel()
    if not all(expected.values()):
        raise RuntimeError(f"a check found nothing: {expected}")
    for name, way in ways.items():
        if (found := way()) != expected:
            raise RuntimeError(f"{name} counts otherwise: {found}, and the kernel {expected}")
    ways["lanes"] = lambda: kernel.examine(given, [])
    ways["read"] = lambda: kernel.read(list(arrays.values()))
    times = in_turns(settings.rounds, {n: lambda w=w: seconds_of(w) for n, w in ways.items()})
    goals = {"numpy": 5, "polars": 3, "duckdb": 3, "pandas": 40}
    return Row(
        WORK,
        [Goal(LABELS[n], times.ratio(n, "columns"), wanted) for n, wanted in goals.items()],
        f"{settings.rows:,} rows of the {len(SIGNS)} signs they look at, one thread each, counts "
        f"by check equal: {', '.join(f'`{code}`' for code in EXPRESSIONS)}. The expressions are "
        "those of `tests/bench/ten_checks.py`, the same text for NumPy, pandas and polars.\n\n"
        + times_table(times, LABELS, "columns"),
        bound_of(times, goals),
    )


def bound_of(times: Times, goals: dict[str, float]) -> str:
    most = {n: times.ratio(n, "read") for n in goals}
    beyond = [f"{wanted} times {LABELS[n]}" for n, wanted in goals.items() if wanted > most[n]]
    freely = [f"{short(times.ratio(n, 'lanes'))} times {LABELS[n]}" for n in goals]
    return (
        f"To load the {len(SIGNS)} columns once and do no more takes {short(times['read'])} s: "
        "what looks at every value can come to at most "
        f"{', '.join(f'{short(most[n])} times {LABELS[n]}' for n in goals)}. "
        + (f"Memory alone forbids {', '.join(beyond)}. " if beyond else "")
        + "To put values into lanes with no check asked is "
        f"{100 * times.ratio('lanes', 'columns'):.0f} % of the time; were the ten checks free, it "
        f"would come to {', '.join(freely)}."
    )


LABELS = {
    "columns": "columns of vitalproof",
    "lanes": "the same, put into lanes and no check asked",
    "read": "the memory merely read",
    "numpy": "NumPy in chunks of 256 Ki rows",
    "polars": "polars, lazy",
    "duckdb": "DuckDB, SQL",
    "pandas": "pandas",
}
