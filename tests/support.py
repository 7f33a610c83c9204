"""What the Python suites share beside their fixtures: files written, and tables read."""

import csv
from pathlib import Path


def written(folder: Path, content: str | bytes, name: str = "week.csv") -> Path:
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def rows_of(table: Path) -> list[dict[str, str]]:
    with table.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def findings(into: Path) -> list[dict[str, str]]:
    """The findings an audit wrote into a folder."""
    return rows_of(into / "findings.csv")
