"""The column benchmarks' library, and the invented columns that it works on."""

import ctypes

import numpy as np
from bench.measuring import Settings
from vitalproof import signs

SIGNS = list(signs)


class Given(ctypes.Structure):
    _fields_ = [
        ("signs", ctypes.c_void_p * len(SIGNS)),
        ("reports", ctypes.c_void_p),
        ("seconds", ctypes.c_void_p),
        ("rows", ctypes.c_size_t),
    ]


class Columns:
    """Invented columns, sets of one report behind each other."""

    def __init__(self, kernel: "Kernel", rows: int, seed: int) -> None:
        self.rows = rows
        self.signs = {name: np.empty(rows) for name in SIGNS}
        self.reports = np.empty(rows, np.uint64)
        self.seconds = np.empty(rows, np.int64)
        pointers = (ctypes.c_void_p * len(SIGNS))(*(a.ctypes.data for a in self.signs.values()))
        kernel.library.bench_invent(
            pointers, self.reports.ctypes, self.seconds.ctypes, ctypes.c_size_t(rows),
            ctypes.c_uint64(seed),
        )  # fmt: skip

    def arrays(self) -> list[np.ndarray]:
        return [*self.signs.values(), self.reports, self.seconds]

    def leave_out(self, share: float, seed: int) -> None:
        """Makes that share of all values missing, whatever sign they are of."""
        chance = np.random.default_rng(seed)
        for values in self.signs.values():
            values[chance.random(self.rows) < share] = np.nan

    def given(self, *, followed: bool, only: set[str] | None = None) -> Given:
        """For the kernel; `followed` says which rows are of one report, and when they were taken;
        `only` leaves out all other signs."""
        used = SIGNS if only is None else only
        pointers = [a.ctypes.data if name in used else None for name, a in self.signs.items()]
        places = (self.reports.ctypes.data, self.seconds.ctypes.data) if followed else (None, None)
        return Given((ctypes.c_void_p * len(SIGNS))(*pointers), *places, self.rows)


class Kernel:
    def __init__(self, settings: Settings) -> None:
        self.library = ctypes.CDLL(str(settings.tool("columns").with_suffix(".so")))
        self.library.bench_check_code.restype = ctypes.c_char_p
        self.library.bench_check_looks_at.restype = ctypes.c_char
        self.library.bench_read.restype = ctypes.c_uint64
        for name in ("bench_flags", "bench_fired", "bench_evaluated"):
            getattr(self.library, name).restype = ctypes.c_void_p
        checks = range(self.library.bench_check_count())
        self.codes = [self.library.bench_check_code(check).decode() for check in checks]
        self.looks_at = [self.library.bench_check_looks_at(check).decode() for check in checks]

    def places(self, looks_at: str) -> list[int]:
        """Checks by what they look at: `s` one set, `n` its neighbours, `r` the whole report."""
        return [check for check, at in enumerate(self.looks_at) if at in looks_at]

    def read(self, arrays: list[np.ndarray]) -> int:
        return sum(
            self.library.bench_read(array.ctypes, ctypes.c_size_t(array.size)) for array in arrays
        )

    def examine(self, given: Given, checks: list[int]) -> np.ndarray:
        return self._count(self.library.bench_examine, given, checks)

    def branches(self, given: Given, checks: list[int]) -> np.ndarray:
        return self._count(self.library.bench_branches, given, checks)

    def _count(self, call, given: Given, checks: list[int]) -> np.ndarray:
        on = np.zeros(len(self.codes), np.uint8)
        on[checks] = 1
        fired = np.zeros(len(self.codes), np.uint64)
        call(ctypes.byref(given), on.ctypes, fired.ctypes)
        return fired

    def flags(self, given: Given, checks: list[int]) -> "KeptFlags":
        chosen = np.array(checks, np.uint64)
        held = self.library.bench_flags(
            ctypes.byref(given), chosen.ctypes, ctypes.c_size_t(len(checks))
        )
        return KeptFlags(self.library, held, checks, given.rows)


class KeptFlags:
    """Packed bits of chosen checks over all rows."""

    def __init__(self, library, held: int, checks: list[int], rows: int) -> None:
        self.library = library
        self.held = ctypes.c_void_p(held)
        self.checks = checks
        self.bytes = (rows + 7) // 8

    def fired(self, at: int) -> np.ndarray:
        return self._bits(self.library.bench_fired, at)

    def evaluated(self, at: int) -> np.ndarray:
        return self._bits(self.library.bench_evaluated, self.checks[at])

    def _bits(self, call, at: int) -> np.ndarray:
        start = call(self.held, ctypes.c_size_t(at))
        return np.ctypeslib.as_array(
            ctypes.cast(start, ctypes.POINTER(ctypes.c_uint8)), (self.bytes,)
        )

    def forget(self) -> None:
        self.library.bench_forget(self.held)
