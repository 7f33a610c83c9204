"""clean: values kept, nulled or converted by a stated policy, and a ledger of every change."""

import dataclasses
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from vitalproof import _core
from vitalproof._catalogue import Check, checks
from vitalproof._catalogue import signs as known_signs
from vitalproof._frames import Frame, frame_of, is_missing
from vitalproof._limits import InForce, core_limits
from vitalproof._results import Understanding
from vitalproof._verbs import Choices, Mapped, Opened, flags_of

# What cannot stand as charted goes; all else stays.
DEFAULT_POLICY = {"reject": "null"}
ACTIONS = ("keep", "null", "convert")

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
        self._dtypes = {c.at: _dtype(frame.column(c.at)) for c in changes}
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
            column = _replaced(
                frame.column(at), [c.row for c in of_column], [c.was for c in of_column]
            )
            changed[at] = _as_dtype(column, self._dtypes[at])
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


@dataclass
class Cleaned:
    """A cleaned frame, of the kind that was given, and the ledger of what was changed in it."""

    frame: Any
    ledger: Ledger
    policy: dict[str, str]
    understanding: Understanding
    notes: list[str]


def clean(
    frame: Any,
    *,
    policy: Mapping[str, str] | None = None,
    limits: InForce = None,
    columns: Mapped | None = None,
    units: Mapping[str, str] | None = None,
    dates: str | None = None,
    time_zone: str | None = None,
    judge_units: bool = True,
    threads: int | None = None,
) -> Cleaned:
    """The frame with values nulled or converted by the policy, and a ledger of every change.

    `policy` says keep, null or convert for what is asked, a kind, a family or a check; the closest
    name counts. It is laid over the default, `{"reject": "null"}`: only the values that a reject
    speaks of are nulled, and where it compares two, both, since neither is known to be the wrong
    one. `{"unit": "convert"}` gives values that make sense in another unit as if they had been
    meant so. Conversions come first; what then still cannot stand is nulled.

    Only cells of vital signs change. The frame that is given never does. Units, columns and types
    stay, but a column of NumPy integers, which has no room for a missing value, becomes nullable or
    float64, and is refused where that would lose a digit.
    """
    rules = DEFAULT_POLICY | dict(policy or {})
    actions = {code: _action(check, rules) for code, check in checks.items()}
    _require_known(rules)
    by = Choices(columns, units, dates, time_zone, judge_units, threads)
    opened = Opened(frame, by)
    # Decided once: what is converted must not change how a column is read.
    fixed = dataclasses.replace(by, units=opened.understanding.units, judge_units=False)
    changes: dict[tuple[int, int], Change] = {}
    result = _converted(opened, frame, actions, limits, changes)
    if any(action == "null" for action in actions.values()):
        again = opened if result is frame else Opened(result, fixed)
        result = _nulled(again, result, actions, limits, changes)
    ordered = [changes[key] for key in sorted(changes)]
    ledger = Ledger(ordered, opened.frame, opened.understanding, _reports_of(opened, ordered))
    return Cleaned(result, ledger, rules, opened.understanding, opened.notes)


def restore(cleaned: Any, ledger: Any) -> Any:
    """The original values from a cleaned frame and its ledger as a table, read back from anywhere.

    Types of columns are those of the cleaned frame; the ledger itself (`Ledger.restore`) brings
    back types as well, and texts that a table may not show.
    """
    frame = frame_of(cleaned)
    by_column: dict[str, dict[int, str]] = {}
    for line in _lines_of(ledger):
        by_column.setdefault(line["column"], {})[int(line["row"])] = line["was"]
    changed = {}
    for name, was in by_column.items():
        at = frame.names.index(name)
        column = frame.column(at)
        read = _reader_for(column)
        changed[at] = _replaced(column, list(was), [read(text) for text in was.values()])
    return frame.replaced(changed) if changed else cleaned


def _require_known(rules: Mapping[str, str]) -> None:
    known = {name for check in checks.values() for name in _names_from_closest(check)}
    for name, action in rules.items():
        if action not in ACTIONS:
            raise ValueError(f'"{action}" for {name} is none of {", ".join(ACTIONS)}')
        if name not in known:
            suggested = _core.suggestion(name, sorted(known))
            raise ValueError(f'the policy names "{name}", which is no check.{suggested}')


def _names_from_closest(check: Check) -> tuple[str, ...]:
    return check.code, check.family, check.kind, check.asks


def _action(check: Check, rules: Mapping[str, str]) -> str:
    for name in _names_from_closest(check):
        if name in rules:
            return rules[name]
    return "keep"


def _columns_of_signs(understanding: Understanding) -> dict[str, int]:
    """Where the readings of a sign stand; a pressure's halves may share a column."""
    places: dict[str, int] = {}
    for at, column in enumerate(understanding.columns):
        if column.is_ == "pressures":
            places |= {sign: at for sign in ("systolic", "diastolic", "mean_pressure")}
    places |= {c.sign: at for at, c in enumerate(understanding.columns) if c.sign}
    return places


def _converted(
    opened: Opened,
    frame: Any,
    actions: Mapping[str, str],
    limits: InForce,
    changes: dict[tuple[int, int], Change],
) -> Any:
    codes = [code for code, action in actions.items() if action == "convert"]
    if not codes:
        return frame
    in_force = core_limits(limits)
    in_force.keep_only(codes)
    places = _columns_of_signs(opened.understanding)
    for row, code, sign, held in _core.offered_values(opened.table, in_force):
        if code not in codes or opened.understanding.columns[places[sign]].is_ == "pressures":
            continue
        at = places[sign]
        unit = opened.understanding.columns[at].unit or ""
        value = _core.convert(sign, held, known_signs[sign].unit, unit)
        change = changes.setdefault((row, at), Change(row, at, [sign], None, value, []))
        change.codes.append(code)
    return _applied(opened.frame, frame, changes, list(changes))


def _nulled(
    opened: Opened,
    frame: Any,
    actions: Mapping[str, str],
    limits: InForce,
    changes: dict[tuple[int, int], Change],
) -> Any:
    codes = [code for code, action in actions.items() if action == "null"]
    flags = flags_of(opened, codes, limits)
    places = _columns_of_signs(opened.understanding)
    nulled: dict[tuple[int, int], list[tuple[str, str]]] = {}
    for code in flags:
        for row in np.flatnonzero(flags[code].fired).tolist():
            for sign in checks[code].signs:
                if sign in places:
                    nulled.setdefault((row, places[sign]), []).append((code, sign))
    present = _present(opened.frame, nulled)
    for key in present:
        signs = list(dict.fromkeys(sign for _, sign in nulled[key]))
        codes_here = list(dict.fromkeys(code for code, _ in nulled[key]))
        codes_here.sort(key=lambda code: checks[code].priority)
        if key in changes:
            changes[key].became = None
            changes[key].codes[:0] = codes_here
        else:
            changes[key] = Change(key[0], key[1], signs, None, None, codes_here)
    return _applied(opened.frame, frame, changes, present)


def _present(frame: Frame, keys: Mapping[tuple[int, int], Any]) -> list[tuple[int, int]]:
    """Those of the cells that hold something."""
    present = []
    for at in sorted({at for _, at in keys}):
        rows = sorted(row for row, of in keys if of == at)
        for row, value in zip(rows, _taken(frame.column(at), rows), strict=True):
            if not is_missing(value) and value != "":
                present.append((row, at))
    return present


def _applied(
    frame: Frame,
    data: Any,
    changes: dict[tuple[int, int], Change],
    keys: Sequence[tuple[int, int]],
) -> Any:
    replaced = {}
    for at in sorted({at for _, at in keys}):
        rows = sorted(row for row, of in keys if of == at)
        column = frame.column(at)
        for row, value in zip(rows, _taken(column, rows), strict=True):
            change = changes[row, at]
            if change.was is None:
                change.was = value
        replaced[at] = _replaced(column, rows, [changes[row, at].became for row in rows])
    return frame.replaced(replaced) if replaced else data


def _reports_of(opened: Opened, changes: Sequence[Change]) -> dict[int, str | None]:
    for at, column in enumerate(opened.understanding.columns):
        if column.is_ == "report":
            rows = sorted({c.row for c in changes})
            values = _taken(opened.frame.column(at), rows)
            return {
                row: None if is_missing(value) else str(value)
                for row, value in zip(rows, values, strict=True)
            }
    return {}


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


# Columns of every kind: some of their values, and the column with some replaced.


def _taken(column: Any, rows: Sequence[int]) -> list[Any]:
    pandas, polars = sys.modules.get("pandas"), sys.modules.get("polars")
    if pandas is not None and isinstance(column, pandas.Series):
        return list(column.iloc[list(rows)].tolist())
    if polars is not None and isinstance(column, polars.Series):
        return list(column.gather(list(rows)).to_list())
    if isinstance(column, np.ndarray):
        return list(column[list(rows)].tolist())
    if hasattr(column, "take") and hasattr(column, "to_pylist"):
        import pyarrow

        return list(column.take(pyarrow.array(rows, type=pyarrow.int64())).to_pylist())
    return [column[row] for row in rows]


def _replaced(column: Any, rows: Sequence[int], values: Sequence[Any]) -> Any:
    pandas, polars = sys.modules.get("pandas"), sys.modules.get("polars")
    if pandas is not None and isinstance(column, pandas.Series):
        return _replaced_in_pandas(column, rows, values)
    if polars is not None and isinstance(column, polars.Series):
        return _replaced_in_polars(column, rows, values)
    if isinstance(column, np.ndarray):
        return _replaced_in_numpy(column, rows, values)
    if hasattr(column, "to_pylist"):
        return _replaced_in_arrow(column, rows, values)
    copy = list(column)
    for row, value in zip(rows, values, strict=True):
        copy[row] = value
    return copy


def _needs_floats(integers: bool, values: Sequence[Any]) -> bool:
    return integers and any(isinstance(value, float) for value in values)


def _replaced_in_numpy(column: np.ndarray, rows: Sequence[int], values: Sequence[Any]) -> Any:
    if column.dtype.kind in "iub" and any(v is None or isinstance(v, float) for v in values):
        as_floats = column.astype(np.float64)
        if any(int(a) != int(b) for a, b in zip(as_floats, column, strict=True)):
            raise ValueError(
                "whole numbers that float64 cannot hold have no room for a missing value beside "
                "them: give the column as a nullable type of pandas, polars or pyarrow"
            )
        column = as_floats
    copy = column.copy()
    missing = np.nan if copy.dtype.kind == "f" else None if copy.dtype.kind == "O" else ""
    copy[list(rows)] = [missing if value is None else value for value in values]
    return copy


def _replaced_in_pandas(column: Any, rows: Sequence[int], values: Sequence[Any]) -> Any:
    import pandas

    if isinstance(column.dtype, np.dtype) and column.dtype.kind in "iu":
        column = column.convert_dtypes()  # the nullable type of the same width, without a loss
    if _needs_floats(pandas.api.types.is_integer_dtype(column.dtype), values):
        column = column.astype("Float64")
    if isinstance(column.dtype, np.dtype):
        array: Any = _replaced_in_numpy(column.to_numpy(copy=False), rows, values)
    else:
        array = column.array.copy()
        array[np.asarray(rows)] = pandas.array(list(values), dtype=column.dtype)
    return pandas.Series(array, index=column.index, name=column.name)


def _replaced_in_polars(column: Any, rows: Sequence[int], values: Sequence[Any]) -> Any:
    import polars

    if _needs_floats(column.dtype.is_integer(), values):
        column = column.cast(polars.Float64)
    return column.clone().scatter(list(rows), polars.Series(values, dtype=column.dtype))


def _replaced_in_arrow(column: Any, rows: Sequence[int], values: Sequence[Any]) -> Any:
    import pyarrow
    import pyarrow.compute

    if _needs_floats(pyarrow.types.is_integer(column.type), values):
        column = column.cast(pyarrow.float64())
    mask = np.zeros(len(column), dtype=np.bool_)
    mask[list(rows)] = True
    ordered = [value for _, value in sorted(zip(rows, values, strict=True))]
    new = pyarrow.array(ordered, type=column.type)
    return pyarrow.compute.replace_with_mask(column, pyarrow.array(mask), new)


def _dtype(column: Any) -> Any:
    return getattr(column, "dtype", getattr(column, "type", None))


def _as_dtype(column: Any, dtype: Any) -> Any:
    if dtype is None or _dtype(column) == dtype:
        return column
    if hasattr(column, "astype"):
        return column.astype(dtype)
    return column.cast(dtype)


def _reader_for(column: Any) -> Any:
    """How a ledger's text becomes a value of the column."""
    name = str(_dtype(column)).lower()
    if "float" in name or "double" in name:
        return float
    if "int" in name:
        return int
    return str
