"""Examines vital signs in patient care reports and says what to ask.

Four verbs, over data frames, arrays, Arrow tables and single reports:

    flag(frame)      which checks fired on which rows, as boolean columns
    examine(frame)   the findings, each with its question, as a table
    clean(frame)     the frame with some values nulled or converted, and a ledger of every change
    audit(files)     what the program does with files

A review aid: not a medical device, not for bedside decisions. It asks; people answer.
"""

from vitalproof import batches
from vitalproof._audit import Audit, audit
from vitalproof._catalogue import Check, Sign, checks, signs, zone_database
from vitalproof._clean import Cleaned, clean
from vitalproof._core import version as __version__
from vitalproof._ledger import Ledger, restore
from vitalproof._limits import Limit, Limits
from vitalproof._quantities import (
    Quantity,
    Unit,
    convert,
    degC,
    degF,
    fraction,
    kPa,
    mg_per_dL,
    mmHg,
    mmol_per_L,
    per_minute,
    percent,
    points,
)
from vitalproof._records import Report, VitalSet
from vitalproof._results import Findings, Flag, Flags, Understanding, UnitWarning
from vitalproof._verbs import examine, flag, understand

__all__ = [
    "Audit",
    "Check",
    "Cleaned",
    "Findings",
    "Flag",
    "Flags",
    "Ledger",
    "Limit",
    "Limits",
    "Quantity",
    "Report",
    "Sign",
    "Understanding",
    "Unit",
    "UnitWarning",
    "VitalSet",
    "__version__",
    "audit",
    "batches",
    "checks",
    "clean",
    "convert",
    "degC",
    "degF",
    "examine",
    "flag",
    "fraction",
    "kPa",
    "mg_per_dL",
    "mmHg",
    "mmol_per_L",
    "per_minute",
    "percent",
    "points",
    "restore",
    "signs",
    "understand",
    "zone_database",
]
