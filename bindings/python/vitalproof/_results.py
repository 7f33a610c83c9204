"""What the verbs answer: flags, findings, and how columns were understood."""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from vitalproof import _core
from vitalproof._catalogue import checks


class UnitWarning(UserWarning):
    """A column's numbers speak against its unit: it was read in another, or should be looked at."""


@dataclass(frozen=True)
class ColumnMeaning:
    """What a column is taken to hold. `is_` is a sign, a fact, a role, or `ignored`."""

    header: str
    is_: str
    sign: str | None
    unit: str | None
    unit_stated: bool
    doubt: str | None
    remark: str


class Understanding:
    """How the columns of a frame were understood; print it to see them."""

    def __init__(self, core: "_core.Understanding") -> None:
        self._core = core
        self.columns = [
            ColumnMeaning(
                column["header"],
                column["is"],
                column["sign"],
                column["unit"],
                column["unit_stated"],
                column["doubt"],
                column["remark"],
            )
            for column in core.columns()
        ]

    @property
    def units(self) -> dict[str, str]:
        """The unit of each column of a vital sign, by its header."""
        return {c.header: c.unit for c in self.columns if c.unit}

    @property
    def assumptions(self) -> list[str]:
        """What was assumed, as the program says it."""
        lines = self._core.assumptions("frame").splitlines()[1:]
        return [line.strip() for line in lines]

    def __str__(self) -> str:
        return self._core.text("the frame")

    __repr__ = __str__


class Flag:
    """One check over the rows: where it fired, and where it could be evaluated.

    It is a column of Arrow: true where the check fired, null where a sign it needs is missing.
    """

    def __init__(self, flags: "_core.Flags", at: int, code: str) -> None:
        self._flags, self._at, self.code = flags, at, code

    @property
    def fired(self) -> np.ndarray:
        """A boolean for each row."""
        return _unpacked(self._flags.fired(self._at), self._flags.rows)

    @property
    def evaluated(self) -> np.ndarray:
        """Whether all that the check needs was there, for each row."""
        return _unpacked(self._flags.evaluated(self._at), self._flags.rows)

    @property
    def packed(self) -> np.ndarray:
        """The bits as they are, eight rows a byte, not copied."""
        return self._flags.fired(self._at)

    def count(self) -> int:
        return int(np.bitwise_count(self._flags.fired(self._at)).sum())

    def __len__(self) -> int:
        return self._flags.rows

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> np.ndarray:
        return self.fired.astype(dtype or np.bool_, copy=False)

    def __arrow_c_array__(self, requested_schema: object = None) -> tuple[object, object]:
        return self._flags.arrow(self._at)

    def __repr__(self) -> str:
        return f"<Flag {self.code}: {self.count()} of {len(self)} rows>"


class Flags:
    """Boolean columns by check code, aligned with the rows of the frame.

    `flags["pressure.order"].fired` is an array; the whole is a table of Arrow, so that
    `polars.DataFrame(flags)`, `pyarrow.table(flags)` and others take it as it is. `not_asked` says
    which checks are left out, and why. `notes` says what could not be used.
    """

    def __init__(
        self,
        core: "_core.Flags",
        understanding: Understanding,
        notes: Sequence[str],
        not_asked: dict[str, str],
        index: Any = None,
    ) -> None:
        self._core = core
        self._places = {code: at for at, code in enumerate(core.codes())}
        self._index = index
        self.understanding = understanding
        self.notes = list(notes)
        self.not_asked = MappingProxyType(not_asked)

    @property
    def codes(self) -> list[str]:
        return list(self._places)

    @property
    def rows(self) -> int:
        return self._core.rows

    def __len__(self) -> int:
        return self.rows

    def __contains__(self, code: object) -> bool:
        return code in self._places

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __getitem__(self, code: str) -> Flag:
        if code not in self._places:
            why = self.not_asked.get(code)
            hint = f" was not asked: {why}" if why else _core.suggestion(code, list(checks))
            raise KeyError(f'"{code}"{hint}' if why else f'there is no flag "{code}".{hint}')
        return Flag(self._core, self._places[code], code)

    def counts(self) -> dict[str, int]:
        """How often each check fired, those that did."""
        counted = {code: self[code].count() for code in self}
        return {code: count for code, count in counted.items() if count}

    def any(self, asks: str | None = None) -> np.ndarray:
        """The rows on which any check fired, or any that asks so much: reject, query, notice."""
        rows = np.zeros((self.rows + 7) // 8, dtype=np.uint8)
        for code, at in self._places.items():
            if asks is None or checks[code].asks == asks:
                rows |= self._core.fired(at)
        return _unpacked(rows, self.rows)

    def __arrow_c_array__(self, requested_schema: object = None) -> tuple[object, object]:
        return self._core.arrow(None)

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self._core.stream()

    def to_arrow(self) -> Any:
        import pyarrow

        return pyarrow.record_batch(self)

    def to_polars(self) -> Any:
        import polars

        return polars.DataFrame(self)

    def to_pandas(self) -> Any:
        """Nullable booleans, with the index of the frame."""
        import pandas

        columns = {
            code: pandas.arrays.BooleanArray(self[code].fired, ~self[code].evaluated)
            for code in self
        }
        return pandas.DataFrame(columns, index=self._index)

    def __repr__(self) -> str:
        return f"<Flags: {len(self.codes)} checks over {self.rows} rows>"


class Findings:
    """Findings as a table, one a row, in the order of reports, sets and the catalogue.

    `row` is the row of the frame, from 0 (null for a finding about a whole column), `set` the set's
    number in its report. The words are those of the program, and so is the fingerprint. What was
    probably meant, `perhaps`, is for a reviewer alone.
    """

    def __init__(
        self,
        core: "_core.Findings",
        understanding: Understanding | None = None,
        notes: Sequence[str] = (),
    ) -> None:
        self._core = core
        self.understanding = understanding
        self.notes = list(notes)

    def __len__(self) -> int:
        return self._core.rows

    def records(self) -> list[dict[str, Any]]:
        """A dictionary for each finding, without any other library."""
        return self._core.records()

    def __iter__(self) -> Iterator[dict[str, Any]]:
        return iter(self.records())

    def __getitem__(self, at: int) -> dict[str, Any]:
        return self._core.record(range(len(self))[at])

    def counts(self) -> dict[str, int]:
        """How many there are of each check."""
        counted: dict[str, int] = {}
        for finding in self:
            counted[finding["check"]] = counted.get(finding["check"], 0) + 1
        return counted

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self._core.stream()

    def to_arrow(self) -> Any:
        import pyarrow

        return pyarrow.table(self)

    def to_polars(self) -> Any:
        import polars

        return polars.DataFrame(self)

    def to_pandas(self) -> Any:
        import pandas

        return pandas.DataFrame(self.records(), columns=list(_core.finding_columns()))

    def __repr__(self) -> str:
        return f"<Findings: {len(self)}>"


def _unpacked(bits: np.ndarray, rows: int) -> np.ndarray:
    return np.unpackbits(bits, count=rows, bitorder="little").view(np.bool_)


def index_of(frame: Any) -> Any:
    pandas = sys.modules.get("pandas")
    known = pandas is not None and isinstance(frame, pandas.DataFrame)
    return frame.index if known else None
