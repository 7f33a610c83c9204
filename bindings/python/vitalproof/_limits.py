"""The limits in force: figures an agency may set, each with its unit and source."""

import warnings
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any

from vitalproof import _core
from vitalproof._quantities import Quantity


@dataclass(frozen=True)
class Limit:
    """One figure. `set_by` names what set it; None is the default."""

    value: float
    unit: str
    source: str
    set_by: str | None

    def __str__(self) -> str:
        return f"{self.value:g} {self.unit}"


class Limits(Mapping[str, Mapping[str, Limit]]):
    """Limits by table, then by name: `limits["impossible.systolic"]["high"]`.

    Files are TOML as `vitalproof limits` prints it; later ones win. Keywords set tables, with a
    double underscore for the dot: `Limits(pressure__narrow={"under": "12 mmHg"})`. A figure carries
    its unit. `without` turns off kinds, families or checks by name. What is unknown or has no unit
    is a ValueError that says what to write.
    """

    def __init__(
        self,
        *files: str | PathLike[str],
        without: str | Iterable[str] = (),
        **tables: Mapping[str, Any],
    ) -> None:
        self._core = _core.Limits()
        for file in files:
            self._core.apply(Path(file).read_text(encoding="utf-8"), str(file))
        if tables:
            self._core.apply(_as_toml(tables), "given")
        for name in [without] if isinstance(without, str) else without:
            self._core.turn_off(name, "without")
        for code, by in self._core.off().items():
            if _core.is_never_left_out(code):
                warnings.warn(f"{by} turns off {code}, the gravest question of all", stacklevel=2)
        self._tables: dict[str, dict[str, Limit]] = {}
        for table, name, value, unit, source, set_by in self._core.entries():
            self._tables.setdefault(table, {})[name] = Limit(value, unit, source, set_by or None)

    def __getitem__(self, table: str) -> Mapping[str, Limit]:
        if table not in self._tables:
            known = _core.suggestion(table, list(self._tables))
            raise KeyError(f'there is no table "{table}".{known}')
        return self._tables[table]

    def __iter__(self) -> Iterator[str]:
        return iter(self._tables)

    def __len__(self) -> int:
        return len(self._tables)

    @property
    def off(self) -> dict[str, str]:
        """The checks that are turned off, and by what."""
        return self._core.off()

    def toml(self) -> str:
        """As a limits file, which reads back to the same limits."""
        return self._core.toml()

    def __repr__(self) -> str:
        changed = sum(
            limit.set_by is not None for table in self.values() for limit in table.values()
        )
        return f"<Limits: {changed} figures set, {len(self.off)} checks off>"


InForce = Limits | str | PathLike[str] | None


def core_limits(limits: InForce) -> "_core.Limits":
    """The compiled form of what a caller gives: limits, a file of them, or nothing."""
    if limits is None:
        return _core.Limits()
    own = limits if isinstance(limits, Limits) else Limits(limits)
    return own._core.copy()


def _as_toml(tables: Mapping[str, Mapping[str, Any]]) -> str:
    lines = ["schema = 1"]
    for table, figures in tables.items():
        lines.append(f"[{table.replace('__', '.')}]")
        for name, figure in figures.items():
            lines.append(f"{name} = {_toml_value(figure)}")
    return "\n".join(lines) + "\n"


def _toml_value(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Quantity):
        return toml_text(f"{value.value!r} {value.unit.symbol}")
    return toml_text(value) if isinstance(value, str) else repr(value)


def toml_text(text: str) -> str:
    """A basic string of TOML."""
    escaped = "".join(f"\\u{ord(c):04X}" if c < " " or c in '"\\\x7f' else c for c in text)
    return f'"{escaped}"'
