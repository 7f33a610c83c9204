"""That the benchmarks still run and agree with each other, on small data. No time is asserted."""

import os
import subprocess
import sys

import pytest
from bench.data import DataFile, frame_text, made
from bench.measuring import Settings
from bench.run import ROWS
from bench.standard_xml import walked_by
from conftest import SOURCE, built
from sanitizer import sanitizer_of, setting
from support import written

TOOLS = ("data", "one_report", "run", "stages", "walk")


@pytest.fixture(autouse=True)
def benchmarks(build):
    if setting(build, "VITALPROOF_BENCH") == "OFF":
        pytest.skip("built with VITALPROOF_BENCH=OFF")


def test_every_row_is_measured_and_told(build, program, tmp_path):
    if sanitizer_of(build):
        pytest.skip("a build under a sanitizer is not measured")
    for tool in TOOLS:
        built(build / "tests" / "bin" / f"bench_{tool}")
    into = tmp_path / "performance.md"
    words = ["--quick", "--build", build, "--work", tmp_path / "work", "--into", into]
    ran = subprocess.run(
        [sys.executable, "-m", "bench.run", *map(str, words)],
        cwd=SOURCE,
        env={**os.environ, "PYTHONPATH": str(SOURCE / "tests")},
        capture_output=True,
        text=True,
        timeout=600,
    )
    assert ran.returncode == 0, ran.stderr
    page = into.read_text(encoding="utf-8")
    assert page.count("\n## ") == 1 + len(ROWS)  # the goals, and each row
    goals = page.split("## Goals")[1].split("\n## ")[0].splitlines()
    told = [line for line in goals if line.endswith(("| met |", "| **missed** |"))]
    assert len(told) == 22
    assert "the figures below mean nothing" in page
    assert str(SOURCE) not in page and str(tmp_path) not in page
    assert not (tmp_path / "work").exists()


def test_answers_that_differ_end_the_run(build, tmp_path):
    """A parser that counts other groups than were written: no time is told."""
    settings = Settings(build, tmp_path, 1, 1, 1, 1, 1, (1,), 1)
    file = made(settings, "xml", 50_000, written_frame(tmp_path))
    assert walked_by(settings, "expat", file) > 0
    other = DataFile(file.path, file.account | {"sets": file.account["sets"] + 1})
    with pytest.raises(RuntimeError, match="expat counts otherwise"):
        walked_by(settings, "expat", other)


def written_frame(folder):
    return written(folder, frame_text(), "frame.xml")
