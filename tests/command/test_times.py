"""Times as exports hold them: what the program says of their form, and what it writes."""

import csv
import subprocess

import pytest
from support import written

ALL_WELL, WRONG_USAGE = 0, 2


def taken_at(ran, check: str = "impossible.pulse") -> list[str]:
    """The times of a check's findings; a pulse of 900 gives each set one of the first."""
    with (ran.into / "findings.csv").open(encoding="utf-8", newline="") as file:
        return [row["taken_at"] for row in csv.DictReader(file) if row["check"] == check]


@pytest.fixture
def columns(program):
    def run(*arguments) -> subprocess.CompletedProcess:
        command = [program, "columns", *map(str, arguments)]
        return subprocess.run(command, capture_output=True, text=True, timeout=60)

    return run


def test_the_order_of_day_and_month_is_found_and_said(audit, columns, tmp_path):
    week = written(
        tmp_path, "report,time,pulse\n1,03/04/2026 2:32 PM,900\n1,03/25/2026 12:05 AM,900\n"
    )
    ran = audit(week)
    assert taken_at(ran) == ["2026-03-04T14:32:00", "2026-03-25T00:05:00"]
    said = "read as month/day/year, because line 3 says 03/25/2026"
    assert f"time: {said}" in ran.out
    assert said in columns(week).stdout


def test_an_order_that_cannot_be_found_is_asked_for(audit, columns, tmp_path):
    week = written(tmp_path, "report,time,pulse\n1,03/04/2026 14:32,900\n")
    ran = audit(week, into="open")
    assert ran.status == ALL_WELL
    assert taken_at(ran) == [""]
    assert ran.account()["rows_examined"] == 1
    for text in (ran.out, ran.err, columns(week).stdout):
        assert "--dates day-first or --dates month-first" in text
    assert "1 undecided date, first in line 2" in ran.err
    stated = audit(week, "--dates", "day-first", into="stated")
    assert taken_at(stated) == ["2026-04-03T14:32:00"]
    assert stated.err == ""
    assert stated.account()["times"] == {"dates": "day-first"}
    assert ran.account()["times"] == {}
    assert "read as day/month/year, as --dates says" in stated.out
    assert "month/day/year" in columns(week, "--dates", "month-first").stdout


def test_a_date_that_contradicts_the_order_is_counted(audit, tmp_path):
    week = written(tmp_path, "report,time,pulse\n1,03/25/2026 14:32,900\n1,04/03/2026 10:00,900\n")
    ran = audit(week, "--dates", "day-first")
    assert taken_at(ran) == ["", "2026-03-04T10:00:00"]
    assert "1 unreadable time, first in line 2" in ran.err


@pytest.mark.parametrize("order", ["us", "Day-First", ""])
def test_an_unknown_order_is_wrong_usage(columns, tmp_path, order):
    week = written(tmp_path, "report,time,pulse\n1,2026-03-25T14:32,80\n")
    ran = columns(week, f"--dates={order}")
    assert ran.returncode == WRONG_USAGE
    assert "day-first" in ran.stderr + ran.stdout


def test_a_date_and_a_time_column_are_joined(audit, columns, tmp_path):
    week = written(
        tmp_path, "report,Vitals Date,Vitals Time,pulse\n1,25-Mar-2026,1432,900\n1,,10:00,900\n"
    )
    ran = audit(week)
    assert taken_at(ran) == ["2026-03-25T14:32:00", ""]
    assert "1 dateless time, first in line 3" in ran.err
    shown = columns(week).stdout
    assert "date of the set, for times without their own, written with the month's name" in shown
    assert "time of the set, written hours and minutes" in shown


def test_times_of_day_alone_are_said_to_be_elapsed(audit, tmp_path):
    ran = audit(written(tmp_path, "report,time,pulse\n1,26:10,900\n"))
    assert taken_at(ran) == ["26:10"]
    assert "are read as hours and minutes since a start that is not said" in ran.out


def test_a_pipe_is_read_as_a_file_is(program, tmp_path):
    text = "report,time,pulse\n1,03/04/2026 14:32,900\n1,25/03/2026 14:32,900\n"
    ran = subprocess.run(
        [program, "columns", "/dev/stdin"], input=text, capture_output=True, text=True, timeout=60
    )
    assert "read as day/month/year, because line 3 says 25/03/2026" in ran.stdout


def test_a_zone_gives_times_their_offset(audit, columns, tmp_path):
    week = written(
        tmp_path,
        "report,time,pulse\n1,2026-03-25T14:32,900\n"
        "1,2026-03-25T14:32Z,900\n1,2026-03-08T02:30,900\n",
    )
    ran = audit(week, "--time-zone", "America/New_York", into="zone")
    assert taken_at(ran) == [
        "2026-03-08T02:30:00",
        "2026-03-25T14:32:00+00:00",
        "2026-03-25T14:32:00-04:00",
    ]
    assert taken_at(ran, "clock.no_such_time") == ["2026-03-08T02:30:00"]
    assert "1 doubtful local time, first in line 4" in ran.err
    assert "times without an offset are of America/New_York" in ran.out
    assert ran.account()["times"] == {"time_zone": "America/New_York"}
    assert "America/New_York" in columns(week, "--time-zone", "America/New_York").stdout
    plain = audit(week, into="plain")
    assert "2026-03-25T14:32:00" in taken_at(plain)
    assert plain.err == ""


def test_an_unknown_zone_is_wrong_usage_with_a_suggestion(audit, columns, tmp_path):
    week = written(tmp_path, "report,time,pulse\n1,2026-03-25T14:32,80\n")
    ran = audit(week, "--time-zone", "America/Newyork")
    assert ran.status == WRONG_USAGE
    assert 'no time zone "America/Newyork". Did you mean "America/New_York"?' in ran.err
    assert not ran.into.exists()
    assert columns(week, "--time-zone", "Mars").returncode == WRONG_USAGE


def test_help_shows_the_options_of_times(program):
    for command in ("audit", "columns"):
        ran = subprocess.run(
            [program, command, "--help"], capture_output=True, text=True, timeout=60
        )
        assert "--dates" in ran.stdout and "--time-zone" in ran.stdout
