"""Changes of clocks in both hemispheres: which local times are skipped, and which come twice.

Source: the IANA time zone database, read by Python's own zoneinfo. The program reads it through
another library.
"""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from support import findings, written

# A day on which the clocks of a zone change, forward and back, of the last years. From memory; that
# something changes on each of them is asserted.
CHANGES = [
    ("America/New_York", "2026-03-08", "2025-11-02"),
    ("America/Los_Angeles", "2025-03-09", "2025-11-02"),
    ("America/St_Johns", "2025-03-09", "2025-11-02"),
    ("America/Santiago", "2025-09-07", "2025-04-05"),
    ("Europe/London", "2026-03-29", "2025-10-26"),
    ("Europe/Berlin", "2026-03-29", "2025-10-26"),
    ("Australia/Sydney", "2025-10-05", "2026-04-05"),
    ("Australia/Lord_Howe", "2025-10-05", "2026-04-05"),  # by half an hour
    ("Pacific/Auckland", "2025-09-28", "2026-04-05"),
    ("Pacific/Chatham", "2025-09-28", "2026-04-05"),
    ("America/Asuncion", "2023-10-01", "2024-03-23"),
    ("Africa/Casablanca", "2025-04-06", "2025-02-23"),  # for Ramadan
]
KINDS = {"clock.no_such_time": "skipped", "clock.time_twice": "twice"}


def doubt_of(local: datetime, zone: ZoneInfo) -> str:
    """By going to UTC and back: a skipped time does not return, one that comes twice has two
    offsets."""
    early, late = (local.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if early.utcoffset() == late.utcoffset():
        return "none"
    there_and_back = early.astimezone(UTC).astimezone(zone).replace(tzinfo=None)
    return "twice" if there_and_back == local else "skipped"


@pytest.mark.parametrize(("name", "forward", "back"), CHANGES)
def test_times_that_a_change_of_clocks_makes_doubtful_are_named(
    audit, tmp_path, name, forward, back
):
    zone = ZoneInfo(name)
    expected = {}
    lines = ["report,taken_at,pulse"]
    for day in (forward, back):
        midnight = datetime.fromisoformat(day)
        # A report a time, every five minutes of the day: none is out of order.
        for step in range(24 * 12):
            local = midnight + timedelta(minutes=5 * step)
            stamp = local.isoformat(timespec="seconds")
            lines.append(f"r{stamp},{stamp},80")
            expected[f"r{stamp}"] = doubt_of(local, zone)
    assert {"skipped", "twice"} <= set(expected.values())
    path = written(tmp_path, "\n".join(lines) + "\n")
    ran = audit(path, "--time-zone", name, "--as-of", "2030-01-01T00:00Z")
    assert ran.status == 0
    found = {f["report"]: KINDS[f["check"]] for f in findings(ran.into) if f["check"] in KINDS}
    assert found == {r: doubt for r, doubt in expected.items() if doubt != "none"}
