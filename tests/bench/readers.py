"""`python -m bench.readers polars|duckdb FILE THREADS`: a CSV file read into columns, and no more.

Prints the seconds that took, without the start of Python and of the library, and what the columns
hold, as JSON. Each library reads in the way that was the fastest of its own.
"""

import json
import os
import sys
import time

# What an audit's account can be held against: columns in which every charted cell is a number.
COUNTED = ("systolic", "pulse", "temperature")


def by_polars(path: str, threads: int) -> dict:
    os.environ["POLARS_MAX_THREADS"] = str(threads)
    import polars as pl

    assert pl.thread_pool_size() == threads
    began = time.perf_counter()
    # So many rows that a letter among the numbers is met before the types are settled.
    frame = pl.read_csv(path, infer_schema_length=10_000)
    seconds = time.perf_counter() - began
    return {
        "seconds": seconds,
        "rows": frame.height,
        "numbers": {name: frame[name].count() for name in COUNTED},
        "tenths": {name: round(10 * frame[name].sum()) for name in COUNTED},
    }


def by_duckdb(path: str, threads: int) -> dict:
    import duckdb

    connection = duckdb.connect(config={"threads": threads})
    # Rows in whatever order they come, which spares its threads the waiting.
    connection.execute("set preserve_insertion_order = false")
    began = time.perf_counter()
    connection.execute("create table vitals as select * from read_csv(?)", [path])
    seconds = time.perf_counter() - began
    asked = ", ".join(f"count({name}), sum({name})" for name in COUNTED)
    rows, *of_columns = connection.execute(f"select count(*), {asked} from vitals").fetchone()
    return {
        "seconds": seconds,
        "rows": rows,
        "numbers": dict(zip(COUNTED, of_columns[::2], strict=True)),
        "tenths": {
            name: round(10 * total) for name, total in zip(COUNTED, of_columns[1::2], strict=True)
        },
    }


if __name__ == "__main__":
    library, file, threads = sys.argv[1:]
    print(json.dumps({"polars": by_polars, "duckdb": by_duckdb}[library](file, int(threads))))
