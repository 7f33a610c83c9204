"""Spikes and changes in real series of readings: how many there are for a thousand readings.

Sources: PhysioNet/Computing in Cardiology Challenge 2012 (icu-2012.csv, intensive care, typed and
validated by nurses) and a bedside monitor's numerics (monitor-numerics.csv), as ../shared/data has
them.
"""

import csv

import pytest
from public_tables import SETS
from support import findings, written


def without_zeros(table, into):
    """A monitor writes 0.0 for a sign it does not measure: common practice, no source."""
    with table.open(encoding="utf-8", newline="") as file:
        header, *rows = csv.reader(file)
    lines = [header] + [[row[0]] + ["" if c == "0.0" else c for c in row[1:]] for row in rows]
    return written(into, "\n".join(",".join(line) for line in lines) + "\n", "monitor.csv")


@pytest.mark.parametrize("name", ["icu-2012.csv", "monitor-numerics.csv"])
def test_spikes_and_changes_are_rare_in_real_series(audit, shared_data, tmp_path, name):
    path = shared_data / name
    if not path.is_file():
        pytest.skip(f"needs ../shared/data/{name}, which is not part of the project")
    is_icu = name.startswith("icu")
    mapping = written(tmp_path, "schema = 1\n" + SETS[name], "columns.toml")
    ran = audit(path if is_icu else without_zeros(path, tmp_path), "--mapping", mapping)
    found = [f for f in findings(ran.into) if f["check"].startswith(("spike.", "change."))]
    readings = ran.account()["readings"]
    rate = 1000 * len(found) / readings
    print(f"\n{name}: {len(found)} spikes and changes in {readings} readings, {rate:.2f} per 1,000")
    assert readings > 3000
    assert all(f["asks"] == "notice" for f in found)
    # Thirty-six were read by hand, all that the first file has: more than one in a thousand would
    # be another kind of check.
    assert rate < 1
    assert found or not is_icu
