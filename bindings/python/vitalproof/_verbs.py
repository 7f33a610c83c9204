"""understand, flag and examine."""

import os
import warnings
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any

from vitalproof import _core
from vitalproof._catalogue import checks as catalogue
from vitalproof._catalogue import chosen_checks
from vitalproof._frames import Frame, frame_of
from vitalproof._limits import InForce, core_limits, toml_text
from vitalproof._records import Report, VitalSet
from vitalproof._results import Findings, Flags, Understanding, UnitWarning, index_of

Mapped = Mapping[str, "str | Mapping[str, Any] | None"] | str | PathLike[str]


@dataclass(frozen=True)
class Choices:
    """How a frame is to be read where its names do not say."""

    columns: Mapped | None
    units: Mapping[str, str] | None
    dates: str | None
    time_zone: str | None
    judge_units: bool
    threads: int | None


class Opened:
    """A frame with its columns understood, ready for either runner."""

    def __init__(self, frame: Any, by: Choices) -> None:
        self.frame: Frame = frame_of(frame)
        self.threads = by.threads or usable_cpus()
        meant = _core.understand(self.frame.names, _mapping(by.columns), dict(by.units or {}))
        held = {
            column["index"]: self._core_column(column["index"])
            for column in meant.columns()
            if column["is"] != "ignored"
        }
        rows = next(iter(held.values())).rows
        self.table = _core.Table(
            meant, rows, held, by.dates, by.time_zone, by.judge_units, self.threads
        )
        self.understanding = Understanding(self.table.understanding)
        self.notes = self.table.notes()
        for remark in self._remarks_on_units(meant):
            warnings.warn(remark, UnitWarning, stacklevel=4)

    def _core_column(self, at: int) -> "_core.Column":
        try:
            return self.frame.core_column(at)
        except (TypeError, ValueError) as error:
            raise type(error)(f'column "{self.frame.names[at]}": {error}') from error

    def _remarks_on_units(self, before: "_core.Understanding") -> list[str]:
        remarks = []
        for was, now in zip(before.columns(), self.understanding.columns, strict=True):
            if now.doubt is not None:
                remarks.append(
                    f'column "{now.header}" states {now.unit}, and nearly all its numbers fit '
                    f"{now.doubt}: read as stated"
                )
            elif was["unit"] != now.unit:
                remarks.append(f'column "{now.header}": {now.remark}')
        return remarks


def understand(
    frame: Any,
    *,
    columns: Mapped | None = None,
    units: Mapping[str, str] | None = None,
    dates: str | None = None,
    time_zone: str | None = None,
    judge_units: bool = True,
) -> Understanding:
    """How the columns of a frame are understood, without examining anything."""
    by = Choices(columns, units, dates, time_zone, judge_units, None)
    return Opened(frame, by).understanding


def flag(
    frame: Any,
    *,
    checks: str | Iterable[str] | None = None,
    limits: InForce = None,
    columns: Mapped | None = None,
    units: Mapping[str, str] | None = None,
    dates: str | None = None,
    time_zone: str | None = None,
    judge_units: bool = True,
    threads: int | None = None,
) -> Flags:
    """Which checks fired on which rows, as boolean columns aligned with the frame.

    `checks` names codes, families, kinds or what is asked; all by default. `columns` says what
    columns are where names do not: `{"Upper": "systolic", "Sugar": {"sign": "glucose", "unit":
    "mmol/L"}, "Notes": None}`, or a mapping file. `units` gives the unit of a column or sign by its
    UCUM or usual name. Neither is needed where names say it. Without `judge_units` a column without
    a stated unit is always read in the usual one.

    Float64 without gaps is looked at where it lies; other numbers are copied once. Values are never
    changed. Threads change nothing but the time it takes.
    """
    opened = Opened(frame, Choices(columns, units, dates, time_zone, judge_units, threads))
    return flags_of(opened, checks, limits, index_of(frame))


def flags_of(
    opened: Opened, checks: str | Iterable[str] | None, limits: InForce, index: Any = None
) -> Flags:
    in_force = core_limits(limits)
    asked, not_asked = [], {}
    for code in chosen_checks(checks):
        why = _why_not_asked(code, opened.table.has_reports, in_force)
        if why:
            not_asked[code] = why
        else:
            asked.append(code)
    core = opened.table.flag(in_force, asked, opened.threads)
    return Flags(core, opened.understanding, opened.notes, not_asked, index)


def examine(
    what: Any,
    *,
    checks: str | Iterable[str] | None = None,
    limits: InForce = None,
    columns: Mapped | None = None,
    units: Mapping[str, str] | None = None,
    dates: str | None = None,
    time_zone: str | None = None,
    judge_units: bool = True,
    words: bool = True,
    threads: int | None = None,
) -> Findings:
    """The findings of a frame, a set, a report, or several reports, as a table.

    Options are those of `flag`. The checks of a tube are asked whatever is chosen. Without `words`
    the sentences stay empty, which is faster.
    """
    in_force = core_limits(limits)
    if checks is not None:
        in_force.keep_only(chosen_checks(checks))
    reports = _reports_in(what)
    if reports is not None:
        return Findings(_core.examine_reports([r._core for r in reports], in_force))
    opened = Opened(what, Choices(columns, units, dates, time_zone, judge_units, threads))
    core = _core.examine(opened.table, in_force, words, opened.threads)
    return Findings(core, opened.understanding, opened.notes)


def _reports_in(what: Any) -> list[Report] | None:
    if isinstance(what, VitalSet):
        return [Report(sets=[what])]
    if isinstance(what, Report):
        return [what]
    if isinstance(what, list | tuple) and all(isinstance(r, Report) for r in what):
        return list(what)
    return None


def _why_not_asked(code: str, has_reports: bool, in_force: "_core.Limits") -> str:
    looks_at = catalogue[code].looks_at
    if not in_force.is_on(code):
        return "it is turned off"
    if looks_at == "report":
        return "it looks at a whole report; examine asks it"
    if looks_at == "batch":
        of_column = code == "unit.column"
        return f"it looks at a whole {'column; examine' if of_column else 'batch; audit'} asks it"
    if looks_at == "neighbours" and not has_reports:
        return "it looks at the sets around, and no column names the report"
    return ""


def _mapping(columns: Mapped | None) -> str | None:
    """A mapping file's text, made from what a caller gives."""
    if columns is None:
        return None
    if not isinstance(columns, Mapping):
        return Path(columns).read_text(encoding="utf-8")
    lines = ["schema = 1", "[columns]"]
    for header, meaning in columns.items():
        lines.append(f"{toml_text(str(header))} = {_meaning(meaning)}")
    return "\n".join(lines) + "\n"


def _meaning(meaning: "str | Mapping[str, Any] | None") -> str:
    if meaning is None:
        return '{ is = "ignored" }'
    if isinstance(meaning, str):
        if meaning not in SIGNS and meaning not in MEANINGS:
            near = _core.suggestion(meaning, sorted(SIGNS) + sorted(MEANINGS))
            raise ValueError(f'a column cannot be "{meaning}".{near}')
        key = "sign" if meaning in SIGNS else "is"
        return f"{{ {key} = {toml_text(meaning)} }}"
    parts = [f"{key} = {toml_text(str(value))}" for key, value in meaning.items()]
    return "{ " + ", ".join(parts) + " }"


SIGNS = frozenset(sign["name"] for sign in _core.signs())
MEANINGS = frozenset(_core.column_meanings())


def usable_cpus() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
