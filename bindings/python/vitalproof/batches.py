"""The same over batches, for data that does not fit in memory or lies in another engine.

A report must not be cut in two: its sets are judged beside each other. The helpers keep the rows of
the last report of a batch back until the next one has come, and put them before it. They refuse
(`SplitReportError`) a report that comes again after it was done: sort by report first, or in Spark
bring the rows of a report into one partition. Units are never judged by a batch's numbers, since
each might say otherwise: state them.

They need pyarrow. A batch is anything that hands out Arrow's capsules.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from vitalproof import _core
from vitalproof._catalogue import chosen_checks
from vitalproof._verbs import examine, flag

# A report with more sets than this is a mistake in the column that names it.
MOST_ROWS = 1_000_000


class SplitReportError(ValueError):
    """A report came again after its rows had been judged."""


def whole_reports(batches: Iterable[Any], report: str | None = None) -> Iterator[Any]:
    """The rows of batches as tables of pyarrow, none of which ends within a report.

    `report` is the column that names the report; by default it is found by its name. Without such a
    column each row is for itself, and batches stay as they are. Remembers 16 bytes a report to tell
    one that comes again.
    """
    import pyarrow

    kept: list[Any] = []
    done = _core.SeenNames()
    for batch in batches:
        table = _table_of(pyarrow, batch)
        if not len(table):
            continue
        name = report if report is not None else _report_column(table)
        if name is None:
            yield table
            continue
        cut = _start_of_last_report(table, name)
        if cut == 0 and kept and _continues(kept[-1], table, name):
            kept.append(table)
            if sum(len(part) for part in kept) > MOST_ROWS:
                raise ValueError(f'one report of column "{name}" has over {MOST_ROWS} rows')
            continue
        ready = pyarrow.concat_tables([*kept, table.slice(0, cut)])
        if len(ready):
            _close(ready, name, done)
            yield ready
        kept = [table.slice(cut)]
    if kept:
        ready = pyarrow.concat_tables(kept)
        name = report if report is not None else _report_column(ready)
        _close(ready, name or "", done)
        yield ready


def dataset_batches(dataset: Any, **scanning: Any) -> Iterator[Any]:
    """Batches of a dataset of pyarrow, one file after another in their order.

    A scanner over the whole runs ahead of whoever is slower than the disk, until all of it lies in
    memory. `scanning` are options of the scanner, such as columns or a filter.
    """
    for fragment in dataset.get_fragments():
        yield from fragment.to_batches(**{"batch_readahead": 1} | scanning)


def flag_batches(
    batches: Iterable[Any],
    *,
    checks: str | Iterable[str],
    report: str | None = None,
    **options: Any,
) -> Iterator[Any]:
    """Tables of pyarrow with a boolean column for each check behind their own columns.

    A column is true where the check fired and null where it could not be evaluated. `options` are
    those of `flag`. Every table has the same columns: a check that is not asked is null throughout.
    """
    codes = chosen_checks(checks)
    for table in whole_reports(batches, report):
        yield with_flags(table, codes, **options)


def examine_batches(
    batches: Iterable[Any], *, report: str | None = None, **options: Any
) -> Iterator[Any]:
    """The findings of each part as tables of pyarrow; `row` counts over all parts."""
    import pyarrow
    import pyarrow.compute

    before = 0
    for table in whole_reports(batches, report):
        found = examine(table, judge_units=False, **options).to_arrow()
        rows = pyarrow.compute.add(found.column("row"), before)
        yield found.set_column(found.schema.get_field_index("row"), "row", rows)
        before += len(table)


def with_flags(frame: Any, checks: str | Iterable[str], **options: Any) -> Any:
    """A frame of pyarrow or polars with a boolean column for each check behind its own.

    For polars' `map_batches`, which hands over whole frames unless it is told to stream.
    """
    import pyarrow

    codes = chosen_checks(checks)
    flags = flag(frame, checks=codes, judge_units=False, **options)
    table = _table_of(pyarrow, frame)
    flagged = flags.to_arrow()
    for code in codes:
        column = (
            flagged.column(code)
            if code in flags
            else pyarrow.nulls(len(table), type=pyarrow.bool_())
        )
        table = table.append_column(code, column)
    if type(frame).__module__.partition(".")[0] == "polars":
        import polars

        return polars.from_arrow(table)
    return table


def spark_mapper(
    checks: str | Iterable[str], report: str | None = None, **options: Any
) -> Callable[[Iterator[Any]], Iterator[Any]]:
    """A function for `mapInArrow`. Bring each report into one partition and sort by it first:

    frame.repartition("report").sortWithinPartitions("report", "time").mapInArrow(mapper, schema)
    """
    codes = chosen_checks(checks)

    def mapper(batches: Iterator[Any]) -> Iterator[Any]:
        for table in flag_batches(batches, checks=codes, report=report, threads=1, **options):
            yield from table.to_batches()

    return mapper


def spark_schema(fields: str, checks: str | Iterable[str]) -> str:
    """The schema of what `spark_mapper` gives, behind the fields of the frame as Spark writes them
    ("report string, sbp double")."""
    return ", ".join([fields, *(f"`{code}` boolean" for code in chosen_checks(checks))])


def _table_of(pyarrow: Any, batch: Any) -> Any:
    if isinstance(batch, pyarrow.Table):
        return batch
    if isinstance(batch, pyarrow.RecordBatch):
        return pyarrow.Table.from_batches([batch])
    return pyarrow.table(batch)


def _report_column(table: Any) -> str | None:
    meant = _core.understand(list(table.column_names), None, {})
    return next((c["header"] for c in meant.columns() if c["is"] == "report"), None)


def _start_of_last_report(table: Any, name: str) -> int:
    """The row from which all rows are of the last row's report."""
    import numpy as np
    import pyarrow.compute

    column = table.column(name)
    last = column[-1]
    if not last.is_valid:
        return len(table) - 1
    same = pyarrow.compute.fill_null(pyarrow.compute.equal(column, last), False)
    others = np.flatnonzero(~np.asarray(same))
    return int(others[-1]) + 1 if len(others) else 0


def _continues(earlier: Any, later: Any, name: str) -> bool:
    last, first = earlier.column(name)[-1], later.column(name)[0]
    return bool(last.is_valid and first.is_valid and last == first)


def _close(table: Any, name: str, done: "_core.SeenNames") -> None:
    import pyarrow.compute

    for value in pyarrow.compute.unique(table.column(name)).to_pylist():
        if value is not None and not done.add(str(value)):
            raise SplitReportError(
                f'report "{value}" comes again after its rows were judged: sort by "{name}" first'
            )
