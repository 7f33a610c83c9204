"""The ledger of a cleaned frame: every value that was changed, and the way back."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from vitalproof import _core
from vitalproof._catalogue import checks
from vitalproof._columns import as_type, type_of, with_values
from vitalproof._frames import Frame, frame_of
from vitalproof._results import Understanding

LEDGER_COLUMNS = (
    "row",
    "report",
    "column",
    "sign",
    "unit",
    "was",
    "became",
    "check",
    "also",
    "source",
)


@dataclass
class Change:
    """One changed value. `became` is None where it was nulled; `codes` are the checks behind it."""

    row: int
    at: int
    signs: list[str]
    was: Any
    became: Any
    codes: list[str]


class Ledger:
    """Every value that was changed, one a line: what it was, what it became, and why.

    Numbers stand as texts that read back to the last bit. A text that may hold more than a vital
    sign shows its length alone; `restore` has it all the same. It is a table: `to_pandas()`,
    `to_arrow()`, or anything that takes Arrow.
    """

    def __init__(
        self,
        changes: Sequence[Change],
        frame: Frame,
        understanding: Understanding,
        reports: Mapping[int, str | None],
    ) -> None:
        self._changes = changes
        self._names = frame.names
        self._dtypes = {c.at: type_of(frame.column(c.at)) for c in changes}
        self._units = {at: c.unit for at, c in enumerate(understanding.columns)}
        self._reports = reports

    def __len__(self) -> int:
        return len(self._changes)

    def records(self) -> list[dict[str, Any]]:
        return [
            {
                "row": c.row,
                "report": self._reports.get(c.row),
                "column": self._names[c.at],
                "sign": " ".join(c.signs),
                "unit": self._units[c.at],
                "was": _shown(c.was),
                "became": None if c.became is None else _shown(c.became),
                "check": c.codes[0],
                "also": " ".join(c.codes[1:]) or None,
                "source": checks[c.codes[0]].source,
            }
            for c in self._changes
        ]

    def __iter__(self) -> Iterator[dict[str, Any]]:
        return iter(self.records())

    def restore(self, cleaned: Any) -> Any:
        """The frame as it was before it was cleaned: its values, and the types of its columns."""
        frame = frame_of(cleaned)
        changed = {}
        for at in sorted({c.at for c in self._changes}):
            of_column = [c for c in self._changes if c.at == at]
            column = with_values(
                frame.column(at), [c.row for c in of_column], [c.was for c in of_column]
            )
            changed[at] = as_type(column, self._dtypes[at])
        return frame.replaced(changed) if changed else cleaned

    def to_pandas(self) -> Any:
        import pandas

        return pandas.DataFrame(self.records(), columns=list(LEDGER_COLUMNS))

    def to_arrow(self) -> Any:
        import pyarrow

        fields = [(n, pyarrow.int64() if n == "row" else pyarrow.string()) for n in LEDGER_COLUMNS]
        return pyarrow.Table.from_pylist(self.records(), schema=pyarrow.schema(fields))

    def to_polars(self) -> Any:
        import polars

        schema = {n: polars.Int64 if n == "row" else polars.String for n in LEDGER_COLUMNS}
        return polars.DataFrame(self.records(), schema=schema)

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self.to_arrow().__arrow_c_stream__(requested_schema)

    def __repr__(self) -> str:
        return f"<Ledger: {len(self)} values changed>"


def restore(cleaned: Any, ledger: Any) -> Any:
    """The original values from a cleaned frame and its ledger as a table, read back from anywhere.

    Types of columns are those of the cleaned frame. The ledger itself (`Ledger.restore`) brings
    back types as well, and what a table cannot tell: lists and columns of objects, which do not say
    what they hold, and texts that may not be shown.
    """
    frame = frame_of(cleaned)
    by_column: dict[str, dict[int, str]] = {}
    for line in _lines_of(ledger):
        by_column.setdefault(line["column"], {})[int(line["row"])] = line["was"]
    changed = {}
    for name, was in by_column.items():
        at = frame.names.index(name)
        column = frame.column(at)
        read = _reader_for(column, name)
        changed[at] = with_values(column, list(was), [read(text) for text in was.values()])
    return frame.replaced(changed) if changed else cleaned


def _shown(value: Any) -> str:
    """A number as it reads back; a text as far as it may be shown."""
    return _core.shown(value) if isinstance(value, str) else repr(value)


def _lines_of(ledger: Any) -> Sequence[Mapping[str, Any]]:
    if isinstance(ledger, Ledger):
        return ledger.records()
    for way in ("to_pylist", "to_dicts"):  # pyarrow, polars
        if hasattr(ledger, way):
            return list(getattr(ledger, way)())
    if hasattr(ledger, "to_dict"):  # pandas
        return list(ledger.to_dict("records"))
    return list(ledger)


def _reader_for(column: Any, name: str) -> Callable[[str], Any]:
    """How a ledger's text becomes a value of the column."""
    holds = str(type_of(column)).lower()
    if "float" in holds or "double" in holds:
        return float
    if "int" in holds:
        return int
    if "str" in holds or "utf8" in holds or holds.startswith("<u"):
        return _read_text
    raise TypeError(
        f'column "{name}" does not say what it holds, so that the table alone cannot tell what '
        "was there: use the ledger's own restore()"
    )


def _read_text(text: Any) -> str:
    if not isinstance(text, str):
        raise TypeError('the ledger\'s column "was" holds texts: read it as such')
    if _core.shown(text) != text:
        raise ValueError("a text that may not be shown is not in the table: use restore()")
    return text
