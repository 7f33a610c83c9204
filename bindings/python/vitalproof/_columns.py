"""Columns of every kind: some of their values, and the column with some of them replaced."""

import sys
from collections.abc import Sequence
from typing import Any

import numpy as np


def values_of(column: Any, rows: Sequence[int]) -> list[Any]:
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


def with_values(column: Any, rows: Sequence[int], values: Sequence[Any]) -> Any:
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


def type_of(column: Any) -> Any:
    return getattr(column, "dtype", getattr(column, "type", None))


def as_type(column: Any, dtype: Any) -> Any:
    if dtype is None or type_of(column) == dtype:
        return column
    if hasattr(column, "astype"):
        return column.astype(dtype)
    return column.cast(dtype)
