"""Public data in the long form, end to end: readings, sets and rows as Python reads them."""

import csv
from collections import Counter
from math import isclose

import pytest

INTENSIVE_CARE = """\
schema = 1
[signs]
NISysABP = { sign = "systolic" }
NIDiasABP = { sign = "diastolic" }
NIMAP = { sign = "mean_pressure" }
MAP = { is = "ignored" }
"""
INTENSIVE_CARE_SIGNS = {
    "NISysABP": "systolic",
    "NIDiasABP": "diastolic",
    "NIMAP": "mean_pressure",
    "HR": "pulse",
    "RespRate": "respiratory_rate",
    "Temp": "temperature",
    "Glucose": "glucose",
    "GCS": "coma_total",
    "SaO2": "saturation",
}

STUDY = """\
schema = 1
[columns]
USUBJID = {{ is = "report" }}
VSTESTCD = {{ is = "sign_name" }}
{value} = {{ is = "value" }}
{unit} = {{ is = "value_unit" }}
VSDTC = {{ is = "time" }}
"""
STUDY_SIGNS = {
    "SYSBP": "systolic",
    "DIABP": "diastolic",
    "PULSE": "pulse",
    "TEMP": "temperature",
}


def records(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def sets_of(rows):
    """Sets by the rule of the long form: `rows` are line, report, time, sign and value."""
    sets = []
    last = None
    for line, report, time, sign, value in rows:
        if last != (report, time) or sign in sets[-1][2]:
            sets.append((report, line, {}))
            last = (report, time)
        sets[-1][2][sign] = value
    return sets


@pytest.fixture
def read(tool, tmp_path):
    """The sets of a file as the program reads it with a mapping, and its account of rows."""

    def run(path, mapping):
        given = tmp_path / "mapping.toml"
        given.write_text(mapping, encoding="utf-8")
        *lines, rows = tool("vitalproof_readings", f"{path}\t{given}")
        sets = {}
        for line in lines:
            report, of_set, sign, value = line.split("\t")
            sets.setdefault((report, int(of_set)), {})[sign] = value
        return [(*key, of) for key, of in sets.items()], tuple(map(int, rows.split("\t")[1:]))

    return run


def number(text):
    try:
        return float(text)
    except ValueError:
        return None


def require_same(sets, expected):
    assert [s[:2] for s in sets] == [e[:2] for e in expected]
    for (_, line, got), (_, _, wanted) in zip(sets, expected, strict=True):
        assert got.keys() == wanted.keys(), line
        for sign, value in wanted.items():
            assert (number(got[sign]) is None) == (value is None), (line, sign)
            assert value is None or isclose(float(got[sign]), value, abs_tol=1e-9), (line, sign)


def test_needs_shared_data_intensive_care_is_read_as_python_reads_it(read, shared_data):
    path = shared_data / "icu-2012.csv"
    if not path.is_file():
        pytest.skip("needs ../shared/data/icu-2012.csv, which is not part of the project")
    rows = records(path)
    vital = [
        (line, r["RecordID"], r["Time"], INTENSIVE_CARE_SIGNS[r["Parameter"]], number(r["Value"]))
        for line, r in enumerate(rows, start=2)
        if r["Parameter"] in INTENSIVE_CARE_SIGNS and r["Value"]
    ]
    sets, accounted = read(path, INTENSIVE_CARE)
    require_same(sets, sets_of(vital))
    assert accounted == (len(vital), 0, len(rows) - len(vital))
    assert len(vital) > 100_000


@pytest.fixture
def study(shared_data):
    path = shared_data / "cdisc-pilot-vital-signs.csv"
    if not path.is_file():
        pytest.skip(f"needs ../shared/data/{path.name}, which is not part of the project")
    return path


ORIGINAL = STUDY.format(value="VSORRES", unit="VSORRESU")
STANDARD = STUDY.format(value="VSSTRESN", unit="VSSTRESU")


def test_needs_shared_data_a_study_is_read_as_python_reads_it(read, study):
    rows = records(study)
    vital = [
        (line, r["USUBJID"], r["VSDTC"], STUDY_SIGNS[r["VSTESTCD"]], number(r["VSSTRESN"]))
        for line, r in enumerate(rows, start=2)
        if r["VSSTRESN"]
    ]
    sets, accounted = read(study, STANDARD)
    require_same(sets, sets_of(vital))
    assert accounted == (len(vital), 0, len(rows) - len(vital))


def test_needs_shared_data_original_and_standard_units_of_a_study_agree(read, study):
    original, accounted = read(study, ORIGINAL)
    standard, accounted_too = read(study, STANDARD)
    assert accounted == accounted_too
    assert [s[:2] for s in original] == [s[:2] for s in standard]
    counted = Counter()
    for (_, line, as_taken), (_, _, as_standard) in zip(original, standard, strict=True):
        assert as_taken.keys() == as_standard.keys(), line
        for sign, value in as_taken.items():
            # The study gives its standard values with two decimals.
            apart = abs(float(value) - float(as_standard[sign]))
            assert apart <= (0.0051 if sign == "temperature" else 0), (line, sign)
            counted[sign] += 1
            counted["converted"] += apart > 0
    assert counted["temperature"] > 1000
    assert counted["systolic"] > 3000
    assert counted["converted"] > 500
