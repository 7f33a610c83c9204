"""What the Python suites share beside their fixtures: files written, and tables read."""

import csv
import json
import re
import subprocess
from pathlib import Path

import pytest


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


def peak_megabytes_of(program: Path, into: Path, feed) -> tuple[float, dict]:
    """Audits what `feed` writes to standard input; the memory it took, and its account."""
    if b"AddressSanitizer" in program.read_bytes() or b"ThreadSanitizer" in program.read_bytes():
        pytest.skip("a sanitizer takes more memory than the program")
    command = [program, "audit", "-", "--into", into, "--quiet", "--without", "clinical"]
    with subprocess.Popen(command, bufsize=0, stdin=subprocess.PIPE) as process:
        feed(process.stdin)
        # Before its input ends: all but what the pipe holds has been read, and it is still there.
        status = Path(f"/proc/{process.pid}/status").read_text(encoding="ascii")
        process.stdin.close()
    assert process.returncode in (0, 3)  # done, or an input that failed
    account = json.loads((into / "audit.json").read_text(encoding="utf-8"))
    (peak,) = re.findall(r"VmHWM:\s+(\d+) kB", status)
    return int(peak) / 1024, account
