"""The catalogue: every check and every vital sign, as objects to read."""

from collections.abc import Iterable
from dataclasses import dataclass
from types import MappingProxyType

from vitalproof import _core


@dataclass(frozen=True)
class Sign:
    """A vital sign, with the unit its values are held in and its codes."""

    name: str
    label: str
    unit: str
    ucum: str
    loinc: str
    element: str


@dataclass(frozen=True)
class Check:
    """What a check says about itself.

    `asks` is reject (cannot stand as charted), query (ask the crew) or notice (worth a reviewer's
    eye). `signs` are the readings it speaks of. `looks_at` is a set, a set among its neighbours, a
    whole report (then `flag` cannot ask it, and `examine` does), or a batch.
    """

    code: str
    title: str
    asks: str
    priority: int
    kind: str
    subject: str
    signs: tuple[str, ...]
    looks_at: str
    question: str
    expected: str
    why: str
    source: str
    context: str

    @property
    def family(self) -> str:
        return self.code.partition(".")[0]

    def __str__(self) -> str:
        lines = [f"{self.code} ({self.asks}, {self.kind}): {self.title}", self.why]
        lines += [self.context] if self.context else []
        return "\n".join([*lines, f"Asks: {self.question}", f"Source: {self.source}"])


signs = MappingProxyType({sign["name"]: Sign(**sign) for sign in _core.signs()})
checks = MappingProxyType(
    {check["code"]: Check(**check | {"signs": tuple(check["signs"])}) for check in _core.checks()}
)

# Where the C++ library `date` looks for the zones that times without an offset are placed in.
zone_database = "/usr/share/zoneinfo"

ASKS = ("reject", "query", "notice")


def chosen_checks(names: str | Iterable[str] | None) -> list[str]:
    """The codes that names stand for: codes, families, kinds, or what is asked."""
    if names is None:
        return list(checks)
    wanted = [names] if isinstance(names, str) else list(names)
    known: set[str] = set()
    for check in checks.values():
        known.update(names_from_closest(check))
    for name in wanted:
        if name not in known:
            raise ValueError(
                f'there is no check, family or kind "{name}".'
                + _core.suggestion(name, sorted(known))
            )
    return [
        code
        for code, check in checks.items()
        if set(names_from_closest(check)).intersection(wanted)
    ]


def names_from_closest(check: Check) -> tuple[str, ...]:
    """What a check may be called by, from its code to what it asks."""
    return check.code, check.family, check.kind, check.asks
