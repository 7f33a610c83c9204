"""One table in every kind of frame, for tests that hold them against each other."""

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa

# Five sets of two reports: a pair the wrong way round, an impossible value, blanks.
VALUES = {
    "report": [1, 1, 1, 2, 2],
    "systolic": [120.0, 72.0, None, 1139.0, 110.0],
    "diastolic": [80.0, 118.0, 70.0, None, 60.0],
    "pulse": [80, 75, None, 0, 300],
    "temperature": [36.5, 37.0, 36.9, None, 36.0],
}


def as_floats(values) -> np.ndarray:
    return np.array([np.nan if v is None else v for v in values], dtype=np.float64)


def numpy_frame() -> dict[str, np.ndarray]:
    return {
        name: np.array(values) if name == "report" else as_floats(values)
        for name, values in VALUES.items()
    }


def pandas_frame() -> pd.DataFrame:
    return pd.DataFrame(numpy_frame())


def arrow_frame() -> pa.Table:
    return pa.table(VALUES)


class Capsule:
    """Nothing but the protocol."""

    def __init__(self, table: pa.Table) -> None:
        self._table = table

    def __arrow_c_stream__(self, requested_schema=None):
        return self._table.__arrow_c_stream__(requested_schema)


class ArrayCapsule:
    """A single record batch, by the protocol."""

    def __init__(self, table: pa.Table) -> None:
        (self._batch,) = table.combine_chunks().to_batches()

    def __arrow_c_array__(self, requested_schema=None):
        return self._batch.__arrow_c_array__(requested_schema)


def structured_frame() -> np.ndarray:
    columns = numpy_frame()
    frame = np.zeros(5, dtype=[(n, c.dtype) for n, c in columns.items()])
    for name, column in columns.items():
        frame[name] = column
    return frame


FRAMES = {
    "dict of NumPy": numpy_frame,
    "dict of lists": lambda: dict(VALUES),
    "dict of texts": lambda: {
        n: ["" if v is None else str(v) for v in values] for n, values in VALUES.items()
    },
    "structured NumPy": structured_frame,
    "pandas": pandas_frame,
    "pandas of floats in one block": lambda: pd.DataFrame(
        np.column_stack([as_floats(v) for v in VALUES.values()]), columns=list(VALUES)
    ),
    "pandas nullable": lambda: arrow_frame().to_pandas(
        types_mapper={pa.int64(): pd.Int64Dtype(), pa.float64(): pd.Float64Dtype()}.get
    ),
    "pandas of Arrow": lambda: arrow_frame().to_pandas(types_mapper=pd.ArrowDtype),
    "pandas of objects": lambda: pd.DataFrame(VALUES, dtype=object),
    "polars": lambda: pl.DataFrame(VALUES),
    "polars in pieces": lambda: pl.concat(
        [pl.DataFrame(VALUES)[:2], pl.DataFrame(VALUES)[2:]], rechunk=False
    ),
    "pyarrow": arrow_frame,
    "pyarrow batch": lambda: arrow_frame().to_batches()[0],
    "pyarrow in pieces": lambda: pa.concat_tables([arrow_frame()[:2], arrow_frame()[2:]]),
    "pyarrow slice": lambda: pa.concat_tables([arrow_frame(), arrow_frame()]).combine_chunks()[5:],
    "pyarrow float32": lambda: arrow_frame().cast(
        pa.schema([(n, pa.int32() if n == "report" else pa.float32()) for n in VALUES])
    ),
    "stream capsule": lambda: Capsule(arrow_frame()),
    "array capsule": lambda: ArrayCapsule(arrow_frame()),
}
