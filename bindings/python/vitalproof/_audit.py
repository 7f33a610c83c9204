"""audit: what the program does with files, from Python."""

import json
import shutil
import tempfile
import weakref
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from os import PathLike, fspath
from pathlib import Path
from typing import Any

from vitalproof import _core
from vitalproof._limits import InForce, core_limits


class Audit:
    """An audit that has run: its folder, its account, and its findings.

    `status` is the program's: 0 done, 3 an input could not be used (what could be was). `summary`
    and `troubles` are what the program prints.
    """

    def __init__(self, status: int, summary: str, troubles: str, into: Path) -> None:
        self.status, self.summary, self.troubles, self.into = status, summary, troubles, into

    @property
    def account(self) -> dict[str, Any]:
        """audit.json: rows read, what was found, the limits in force, digests of the inputs."""
        return dict(json.loads((self.into / "audit.json").read_text(encoding="utf-8")))

    def findings(self) -> Iterator[dict[str, Any]]:
        """One after another, as findings.jsonl holds them."""
        with (self.into / "findings.jsonl").open(encoding="utf-8") as lines:
            for line in lines:
                yield json.loads(line)

    @property
    def findings_csv(self) -> Path:
        """The table for a spreadsheet, or for any reader of CSV."""
        return self.into / "findings.csv"

    def __str__(self) -> str:
        return self.summary

    def __repr__(self) -> str:
        return f"<Audit in {self.into}: status {self.status}>"


def audit(
    files: str | PathLike[str] | Iterable[str | PathLike[str]],
    into: str | PathLike[str] | None = None,
    *,
    limits: InForce = None,
    mapping: str | PathLike[str] | None = None,
    dates: str | None = None,
    time_zone: str | None = None,
    as_of: str | datetime | None = None,
    strict_xml: bool = False,
) -> Audit:
    """Audits files of any form the program reads: tables, FHIR, the national XML standard.

    Writes what the program writes into the folder `into`, or into one that goes when the result
    does. Memory does not grow with the files. Control-C ends it with an account of what was read.
    """
    several = [files] if isinstance(files, str | PathLike) else list(files)
    said = None
    if mapping is not None:
        said = (Path(mapping).read_text(encoding="utf-8"), fspath(mapping))
    moment = as_of if as_of is not None else datetime.now(UTC).replace(microsecond=0)
    text = moment.isoformat() if isinstance(moment, datetime) else moment
    own = tempfile.mkdtemp(prefix="vitalproof-") if into is None else None
    folder = Path(own, "audit") if own is not None else Path(fspath(into or ""))
    try:
        status, summary, troubles = _core.audit(
            [fspath(file) for file in several],
            fspath(folder),
            core_limits(limits),
            said,
            dates,
            time_zone,
            text,
            strict_xml,
        )
    except BaseException:
        if own is not None:
            shutil.rmtree(own, ignore_errors=True)
        raise
    audited = Audit(status, summary, troubles, folder)
    if own is not None:
        weakref.finalize(audited, shutil.rmtree, own, ignore_errors=True)
    return audited
