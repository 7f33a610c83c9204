"""The batch of calls: each story is asked about as its key says, the calls beside it are not."""

import subprocess
import sys
from collections import defaultdict
from pathlib import Path

import pytest
from support import findings, rows_of

BATCHES = Path(__file__).resolve().parents[2] / "fixtures" / "batches"


def test_the_committed_batch_is_what_its_program_makes(tmp_path):
    command = [sys.executable, BATCHES / "calls.py", "--into", tmp_path]
    subprocess.run(command, check=True, timeout=60)
    for name in ("calls.csv", "calls-key.csv"):
        assert (tmp_path / name).read_bytes() == (BATCHES / name).read_bytes(), name


@pytest.fixture(scope="module")
def key():
    return {row["report"]: row for row in rows_of(BATCHES / "calls-key.csv")}


@pytest.fixture
def found(audit):
    ran = audit(BATCHES / "calls.csv", "--without", "clinical")
    assert ran.account()["rows_examined"] == ran.account()["rows_read"] > 200
    by_report = defaultdict(set)
    for f in findings(ran.into):
        by_report[f["report"]].add(f["check"])
    return by_report


def test_each_story_is_found_and_nothing_else_is_said_of_it(found, key):
    assert len(key) == 20
    for report, row in key.items():
        must, may = set(row["must"].split()), set(row["may"].split())
        assert must <= found[report], row["story"]
        assert found[report] <= must | may, row["story"]


def test_calls_without_a_story_are_asked_nothing(found, key):
    assert {r: checks for r, checks in found.items() if r not in key} == {"": {"clock.device"}}


def test_an_arrest_with_a_pulse_that_came_back_is_no_reject(audit):
    ran = audit(BATCHES / "calls.csv")
    assert [f for f in findings(ran.into) if f["asks"] == "reject"] == []


def test_every_check_that_a_story_is_about_is_in_the_batch(key):
    told = {check for row in key.values() for check in row["must"].split()}
    families = {check.split(".")[0] for check in told}
    assert {"clock", "gap", "holds", "repeated", "tube", "ending", "standard"} <= families
