"""Frames of every kind, looked at column by column.

Each kind of frame answers four questions: what its columns are called, what a column holds, the
values of some rows, and the frame with some values replaced. No library is imported that the caller
has not imported.
"""

import sys
from collections.abc import Mapping, Sequence
from typing import Any, Protocol

import numpy as np

from vitalproof import _core

TICKS = {
    "D": (86400, 1),
    "h": (3600, 1),
    "m": (60, 1),
    "s": (1, 1),
    "ms": (1, 10**3),
    "us": (1, 10**6),
    "ns": (1, 10**9),
}


class Frame(Protocol):
    """A table, whatever library it is of."""

    names: list[str]

    def column(self, at: int) -> Any:
        """The column as its library has it."""

    def core_column(self, at: int) -> "_core.Column":
        """The column as the runners look at it."""

    def replaced(self, columns: Mapping[int, Any]) -> Any:
        """The frame with other columns in the place of some; the frame itself stays as it is."""


def frame_of(data: Any) -> Frame:
    """Tells what kind of frame it is."""
    pandas, polars, pyarrow = (sys.modules.get(m) for m in ("pandas", "polars", "pyarrow"))
    if pandas is not None and isinstance(data, pandas.DataFrame):
        return PandasFrame(data)
    if polars is not None and isinstance(data, polars.LazyFrame):
        raise TypeError("this is a lazy frame: collect() it, or see vitalproof.batches")
    if polars is not None and isinstance(data, polars.DataFrame):
        return PolarsFrame(data)
    if pyarrow is not None and isinstance(data, pyarrow.Table | pyarrow.RecordBatch):
        return ArrowFrame(data)
    if isinstance(data, np.ndarray) and data.dtype.names:
        return StructuredFrame(data)
    if isinstance(data, Mapping):
        return MappingFrame(data)
    if hasattr(data, "__arrow_c_stream__") or hasattr(data, "__arrow_c_array__"):
        return CapsuleFrame(data)
    raise TypeError(
        f"{type(data).__name__} is no frame: give a data frame, an Arrow table, or a mapping from "
        "names to columns"
    )


class PandasFrame:
    def __init__(self, data: Any) -> None:
        self.data = data
        self.names = [str(label) for label in data.columns]

    def column(self, at: int) -> Any:
        return self.data.iloc[:, at]

    def core_column(self, at: int) -> "_core.Column":
        return core_column(self.column(at))

    def replaced(self, columns: Mapping[int, Any]) -> Any:
        frame = self.data.copy(deep=False)
        for at, column in columns.items():
            frame.isetitem(at, column)
        return frame


class PolarsFrame:
    def __init__(self, data: Any) -> None:
        self.data = data
        self.names = list(data.columns)

    def column(self, at: int) -> Any:
        return self.data.to_series(at)

    def core_column(self, at: int) -> "_core.Column":
        return core_column(self.column(at))

    def replaced(self, columns: Mapping[int, Any]) -> Any:
        return self.data.with_columns(list(columns.values()))


class ArrowFrame:
    def __init__(self, data: Any) -> None:
        self.data = data
        self.names = list(data.schema.names)

    def column(self, at: int) -> Any:
        return self.data.column(at)

    def core_column(self, at: int) -> "_core.Column":
        return core_column(self.column(at))

    def replaced(self, columns: Mapping[int, Any]) -> Any:
        frame = self.data
        for at, column in columns.items():
            frame = frame.set_column(at, self.names[at], column)
        return frame


class MappingFrame:
    def __init__(self, data: Mapping[Any, Any]) -> None:
        self.data = data
        self.names = [str(name) for name in data]
        self.columns = list(data.values())

    def column(self, at: int) -> Any:
        return self.columns[at]

    def core_column(self, at: int) -> "_core.Column":
        return core_column(self.columns[at])

    def replaced(self, columns: Mapping[int, Any]) -> Any:
        return {
            name: columns.get(at, column) for at, (name, column) in enumerate(self.data.items())
        }


class StructuredFrame:
    def __init__(self, data: np.ndarray) -> None:
        self.data = data
        self.names = list(data.dtype.names or ())

    def column(self, at: int) -> np.ndarray:
        return self.data[self.names[at]]

    def core_column(self, at: int) -> "_core.Column":
        return core_column(self.column(at))

    def replaced(self, columns: Mapping[int, Any]) -> Any:
        frame = self.data.copy()
        for at, column in columns.items():
            if column.dtype != frame.dtype[at]:
                raise ValueError(
                    f'column "{self.names[at]}" of {frame.dtype[at]} has no room for a missing '
                    "value: give it as float64"
                )
            frame[self.names[at]] = column
        return frame


class CapsuleFrame:
    """Anything that hands out Arrow's capsules; cleaned it becomes a pyarrow table."""

    def __init__(self, data: Any) -> None:
        self.data = data
        self.table = arrow_table(data)
        if not self.table.has_columns:
            raise TypeError(f"{type(data).__name__} is a single column: give a table")
        self.names = self.table.names

    def as_pyarrow(self) -> ArrowFrame:
        import pyarrow

        if hasattr(self.data, "__arrow_c_stream__"):
            return ArrowFrame(pyarrow.table(self.data))
        return ArrowFrame(pyarrow.Table.from_batches([pyarrow.record_batch(self.data)]))

    def column(self, at: int) -> Any:
        return self.as_pyarrow().column(at)

    def core_column(self, at: int) -> "_core.Column":
        return self.table.column(at)

    def replaced(self, columns: Mapping[int, Any]) -> Any:
        return self.as_pyarrow().replaced(columns)


def arrow_table(data: Any) -> "_core.ArrowTable":
    if hasattr(data, "__arrow_c_stream__"):
        return _core.table_of_stream(data.__arrow_c_stream__())
    return _core.table_of_array(*data.__arrow_c_array__())


def core_column(values: Any) -> "_core.Column":
    """A column as the runners look at it, in place where that can be."""
    pandas = sys.modules.get("pandas")
    if pandas is not None and isinstance(values, pandas.Series | pandas.Index):
        return _pandas_column(values)
    if isinstance(values, np.ma.MaskedArray):
        return _numpy_column(np.ma.filled(values.astype(np.float64), np.nan))
    if isinstance(values, np.ndarray):
        return _numpy_column(values)
    if hasattr(values, "__arrow_c_stream__") or hasattr(values, "__arrow_c_array__"):
        return arrow_table(values).single()
    if isinstance(values, Sequence) and not isinstance(values, str):
        return _sequence_column(values)
    return _numpy_column(np.asarray(values))


def _sequence_column(values: Sequence[Any]) -> "_core.Column":
    if all(isinstance(value, int | float) or value is None for value in values):
        return _core.column_of_numpy(
            np.array([np.nan if value is None else value for value in values], dtype=np.float64)
        )
    return _core.column_of_texts(_texts(values))


def _numpy_column(array: np.ndarray) -> "_core.Column":
    kind = array.dtype.kind
    if kind in "Mm":
        return _numpy_times(array)
    if kind in "OUST":
        return _core.column_of_texts(_texts(array.tolist()))
    if kind == "f" and array.dtype.itemsize not in (4, 8):
        array = array.astype(np.float64)
    if not array.dtype.isnative:
        array = array.astype(array.dtype.newbyteorder("="))
    return _core.column_of_numpy(array)


def _numpy_times(array: np.ndarray) -> "_core.Column":
    unit, count = np.datetime_data(array.dtype)
    if unit not in TICKS:
        raise TypeError(f"times of {array.dtype} are counted in no fixed seconds")
    seconds, parts = TICKS[unit]
    instant = array.dtype.kind == "M"
    kind = "elapsed" if not instant else "day" if unit == "D" else "instant"
    if not array.dtype.isnative:
        array = array.astype(array.dtype.newbyteorder("="))
    return _core.column_of_times(array.view(np.int64), kind, seconds * count, parts)


def _pandas_column(series: Any) -> "_core.Column":
    if isinstance(series.dtype, np.dtype):
        return _numpy_column(series.to_numpy(copy=False))
    if getattr(series.dtype, "tz", None) is not None and hasattr(series, "dt"):
        # Wall clocks of UTC: the numbers that are stored, not an object for each of them.
        instants = series.dt.tz_convert("UTC").dt.tz_localize(None).to_numpy()
        column = _numpy_times(instants)
        column.set_zone(str(series.dtype.tz))
        return column
    pyarrow = sys.modules.get("pyarrow") or _imported("pyarrow")
    if pyarrow is not None:
        return core_column(pyarrow.array(series, from_pandas=True))
    if series.dtype.kind in "iufb":
        return _numpy_column(series.to_numpy(dtype=np.float64, na_value=np.nan))
    return _core.column_of_texts(_texts(series.tolist()))


def _imported(name: str) -> Any:
    try:
        return __import__(name)
    except ImportError:
        return None


def _texts(values: Sequence[Any]) -> list[str | None]:
    return [None if is_missing(value) else _text(value) for value in values]


def _text(value: Any) -> str:
    return value.decode("utf-8", "replace") if isinstance(value, bytes) else str(value)


def is_missing(value: Any) -> bool:
    """None, NaN, not a time, or the missing value of a library."""
    if value is None or type(value).__name__ in ("NAType", "NaTType"):
        return True
    return isinstance(value, float | np.floating) and bool(np.isnan(value))
