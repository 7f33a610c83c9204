"""The same answers by another route: data-frame engines, a library of units, one of statistics."""

import numpy as np
import pandas as pd
import pint
import polars as pl
import pytest
import vitalproof as vp
from scipy import constants, stats
from vitalproof._quantities import unit_named

# Ten checks and more as an analyst would write them, in operators that pandas and polars share.
# What is missing compares false in pandas, and is taken as false in polars.
RULES = {
    "impossible.systolic": lambda f: f("systolic") > 300,
    "impossible.mean_pressure": lambda f: (f("mean") > 275) | ((f("mean") < 1) & (f("mean") != 0)),
    "impossible.temperature": lambda f: (f("temp") > 47) | ((f("temp") < 10) & (f("temp") != 0)),
    "impossible.coma_verbal": lambda f: (
        ((f("verbal") < 1) | (f("verbal") > 5))
        & ~((f("eye") == 0) & (f("verbal") == 0) & (f("motor") == 0))
    ),
    "unlikely.systolic": lambda f: outside(f("systolic"), 40, 260) & (f("systolic") <= 300),
    "unlikely.diastolic": lambda f: outside(f("diastolic"), 20, 160) & (f("diastolic") <= 250),
    "unlikely.mean_pressure": lambda f: (
        outside(f("mean"), 25, 200) & (f("mean") <= 275) & (f("mean") >= 1)
    ),
    "unlikely.saturation": lambda f: outside(f("saturation"), 50, 100) & (f("saturation") <= 100),
    "zero.temperature": lambda f: f("temp") == 0,
    "pressure.order": lambda f: (
        (f("systolic") <= f("diastolic"))
        & ~((f("systolic") == 0) & (f("diastolic") == 0))
        & (f("systolic") <= 300)
        & (f("diastolic") <= 250)
    ),
    "pressure.narrow": lambda f: (
        (f("systolic") - f("diastolic") < 10)
        & (f("systolic") > f("diastolic"))
        & (f("systolic") >= 40)
        & (f("systolic") <= 260)
    ),
    "pressure.wide": lambda f: (
        (f("systolic") - f("diastolic") > 140)
        & (f("diastolic") > 0)
        & (f("systolic") <= 300)
        & (f("diastolic") <= 250)
    ),
    "pressure.diastolic_zero": lambda f: (f("diastolic") == 0) & (f("systolic") > 0),
    "coma.parts_zero": lambda f: (
        (f("eye") == 0) & (f("verbal") == 0) & (f("motor") == 0) & (f("total") > 0)
    ),
    "contradiction.alert_with_pressure": lambda f: (
        (f("total") == 15) & (f("systolic") >= 0) & (f("systolic") < 50)
    ),
}


def outside(value, low, high):
    return (value != 0) & ((value < low) | (value > high))


def icu(folder, systolic: str, diastolic: str) -> pd.DataFrame:
    """The stays' readings, a row a time."""
    long = pd.read_csv(folder / "icu-2012.csv")
    wide = long.pivot_table(
        index=["RecordID", "Time"], columns="Parameter", values="Value", aggfunc="last"
    ).reset_index()
    wide["Time"] = pd.to_timedelta(wide["Time"] + ":00")
    names = {
        "RecordID": "report",
        "Time": "time",
        systolic: "systolic",
        diastolic: "diastolic",
        "MAP": "mean",
        "SaO2": "saturation",
        "Temp": "temp",
        "GCS": "total",
        "HR": "pulse",
    }
    return wide[list(names)].rename(columns=names)


def crash2(folder) -> pd.DataFrame:
    names = {"entryid": "report", "sbp": "systolic", "gcseye": "eye", "gcsverbal": "verbal"}
    names |= {"gcsmotor": "motor", "gcs": "total", "rr": "breaths", "hr": "pulse"}
    return pd.read_csv(folder / "crash2-trauma.csv")[list(names)].rename(columns=names)


def nhanes(folder) -> pd.DataFrame:
    names = {"ID": "report", "BPSys": "systolic", "BPDia": "diastolic", "Pulse": "pulse"}
    return pd.read_csv(folder / "nhanes-2009-2012.csv")[list(names)].rename(columns=names)


MEANINGS = {
    "mean": "mean_pressure",
    "temp": "temperature",
    "eye": "coma_eye",
    "verbal": "coma_verbal",
    "motor": "coma_motor",
    "total": "coma_total",
    "breaths": "respiratory_rate",
}
SETS = {
    "icu-2012, by catheter": lambda folder: icu(folder, "SysABP", "DiasABP"),
    "icu-2012, by cuff": lambda folder: icu(folder, "NISysABP", "NIDiasABP"),
    "NHANES": nhanes,
    "CRASH-2": crash2,
}


@pytest.fixture(scope="module")
def fired_somewhere():
    fired: dict[str, int] = {}
    yield fired
    print({code: count for code, count in fired.items() if count})


def applies(rule, names: list[str]) -> bool:
    class Missing(Exception):
        pass

    def column(name):
        if name not in names:
            raise Missing
        return pl.col(name)

    try:
        rule(column)
    except Missing:
        return False
    return True


@pytest.mark.parametrize("name", SETS)
def test_needs_shared_data_two_engines_flag_the_same_rows(shared_data, fired_somewhere, name):
    frame = SETS[name](shared_data)
    columns = {header: is_ for header, is_ in MEANINGS.items() if header in frame}
    flags = vp.flag(frame, columns=columns, judge_units=False)
    lazy = pl.from_pandas(frame, nan_to_null=True)
    asked = 0
    for code, rule in RULES.items():
        if not applies(rule, list(frame)):
            continue
        by_pandas = rule(frame.__getitem__).to_numpy(dtype=bool)
        by_polars = lazy.select(rule(pl.col).fill_null(False)).to_series().to_numpy()
        np.testing.assert_array_equal(by_pandas, by_polars, code)
        np.testing.assert_array_equal(flags[code].fired, by_pandas, code)
        fired_somewhere[code] = fired_somewhere.get(code, 0) + int(by_pandas.sum())
        asked += 1
    assert asked >= 3


def test_needs_shared_data_ten_of_these_checks_fired(shared_data, fired_somewhere):
    if len(fired_somewhere) < len(RULES):
        pytest.skip("the tests above did not run")
    assert sum(count > 0 for count in fired_somewhere.values()) >= 10


UNITS = pint.UnitRegistry()
CONVERSIONS = [
    ("systolic", "mmHg", "kPa", 120.0, "mmHg", "kPa"),
    ("systolic", "kPa", "mmHg", 16.0, "kPa", "mmHg"),
    ("exhaled_co2", "mmHg", "kPa", 40.0, "mmHg", "kPa"),
    ("temperature", "[degF]", "Cel", 98.6, "degF", "degC"),
    ("temperature", "Cel", "[degF]", 36.6, "degC", "degF"),
    ("saturation", "fraction", "%", 0.97, "dimensionless", "percent"),
]


@pytest.mark.parametrize("case", CONVERSIONS, ids=lambda c: f"{c[0]} {c[1]} to {c[2]}")
def test_conversions_are_those_of_pint(case):
    sign, source, target, value, pint_source, pint_target = case
    quantity = vp.Quantity(value, unit_named(source))
    expected = UNITS.Quantity(value, pint_source).to(pint_target).magnitude
    assert vp.convert(quantity, target, sign).value == pytest.approx(expected, rel=1e-6)


def test_conversions_are_those_of_scipys_constants():
    kilopascals = vp.convert(120 * vp.mmHg, "kPa", "systolic").value
    assert kilopascals == pytest.approx(120 * constants.mmHg / 1000, rel=1e-6)
    celsius = vp.convert(98.6 * vp.degF, "Cel", "temperature").value
    assert celsius == pytest.approx(constants.convert_temperature(98.6, "F", "C"), rel=1e-9)


def test_glucose_is_converted_by_its_molar_mass():
    # C6H12O6, 180.156 g/mol: IUPAC atomic weights.
    mass = 6 * 12.011 + 12 * 1.008 + 6 * 15.999
    converted = vp.convert(90 * vp.mg_per_dL, "mmol/L", "glucose").value
    assert converted == pytest.approx(90 * 10 / mass, rel=1e-4)


def test_needs_shared_data_last_digits_of_a_machine_and_of_two_observers(shared_data):
    """The statistic of the tutorial, on a study for which R has worked it out."""
    frame = pd.read_csv(shared_data / "systolic-two-observers-and-machine.csv")
    wanted = {"J": 252.8039, "R": 257.5098, "S": 8.0196}
    values = {m: last_digits(frame, m) for m in wanted}
    for method, statistic in wanted.items():
        assert stats.chisquare(values[method]).statistic == pytest.approx(statistic, abs=1e-4)


def last_digits(frame: pd.DataFrame, method: str) -> np.ndarray:
    columns = {name.lower(): name for name in frame}
    taken = frame[frame[columns["meth"]] == method][columns["y"]]
    return np.bincount(taken.to_numpy(dtype=int) % 10, minlength=10)
