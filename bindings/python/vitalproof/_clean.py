"""clean: values kept, nulled or converted by a stated policy, and a ledger of every change."""

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from vitalproof import _core
from vitalproof._catalogue import checks
from vitalproof._catalogue import signs as known_signs
from vitalproof._columns import values_of, with_values
from vitalproof._frames import Frame, is_missing
from vitalproof._ledger import Change, Ledger
from vitalproof._limits import InForce, core_limits
from vitalproof._policy import Given, Policy
from vitalproof._results import Flags, Understanding
from vitalproof._verbs import Choices, Mapped, Opened, flags_of


@dataclass
class Cleaned:
    """A cleaned frame, of the kind that was given, and the ledger of what was changed in it."""

    frame: Any
    ledger: Ledger
    policy: dict[str, str | Mapping[str, str]]
    understanding: Understanding
    notes: list[str]


def clean(
    frame: Any,
    *,
    policy: Given | None = None,
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
    meant so. Conversions come first; what then still cannot stand is nulled. Where a check speaks
    of several values, each may have its own: `{"coma.parts_zero": {"coma_eye": "null"}}`.

    Only cells of vital signs change. The frame that is given never does. Units, columns and types
    stay, but a column of NumPy integers, which has no room for a missing value, becomes nullable or
    float64, and is refused where that would lose a digit.
    """
    rules = Policy(policy)
    by = Choices(columns, units, dates, time_zone, judge_units, threads)
    opened = Opened(frame, by)
    # Decided once: what is converted must not change how a column is read.
    fixed = dataclasses.replace(by, units=opened.understanding.units, judge_units=False)
    changes: dict[tuple[int, int], Change] = {}
    notes = list(opened.notes)
    result = _converted(opened, frame, rules, limits, changes)
    if to_null := rules.codes("null"):
        again = opened if result is frame else Opened(result, fixed)
        flags = flags_of(again, to_null, limits)
        notes += [
            f"{code} nulls nothing: {why}"
            for code, why in flags.not_asked.items()
            if code in rules.rules
        ]
        result = _nulled(again, result, flags, rules, changes)
    ordered = [changes[key] for key in sorted(changes)]
    ledger = Ledger(ordered, opened.frame, opened.understanding, _reports_of(opened, ordered))
    return Cleaned(result, ledger, rules.rules, opened.understanding, notes)


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
    rules: Policy,
    limits: InForce,
    changes: dict[tuple[int, int], Change],
) -> Any:
    codes = rules.codes("convert")
    if not codes:
        return frame
    in_force = core_limits(limits)
    in_force.keep_only(codes)
    places = _columns_of_signs(opened.understanding)
    for row, code, sign, held in _core.offered_values(opened.table, in_force):
        shared = opened.understanding.columns[places[sign]].is_ == "pressures"
        if shared or rules.action(code, sign) != "convert":
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
    flags: Flags,
    rules: Policy,
    changes: dict[tuple[int, int], Change],
) -> Any:
    places = _columns_of_signs(opened.understanding)
    nulled: dict[tuple[int, int], list[tuple[str, str]]] = {}
    for code in flags:
        for row in np.flatnonzero(flags[code].fired).tolist():
            for sign in checks[code].signs:
                if sign in places and rules.action(code, sign) == "null":
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
        for row, value in zip(rows, values_of(frame.column(at), rows), strict=True):
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
        for row, value in zip(rows, values_of(column, rows), strict=True):
            change = changes[row, at]
            if change.was is None:
                change.was = value
        replaced[at] = with_values(column, rows, [changes[row, at].became for row in rows])
    return frame.replaced(replaced) if replaced else data


def _reports_of(opened: Opened, changes: Sequence[Change]) -> dict[int, str | None]:
    for at, column in enumerate(opened.understanding.columns):
        if column.is_ == "report":
            rows = sorted({c.row for c in changes})
            values = values_of(opened.frame.column(at), rows)
            return {
                row: None if is_missing(value) else str(value)
                for row, value in zip(rows, values, strict=True)
            }
    return {}
