"""Unit conversions against UCUM's reference implementation and against pint.

Rates are left out: the library holds them per minute and converts them to nothing, because in
hertz a pulse would be 1.2.
"""

import json
import shutil
import subprocess
from pathlib import Path

import pint
import pytest

UCUM = Path(__file__).parent / "ucum"

# UCUM rounds 1 mmHg to 0.133322 kPa, 2.9e-6 from the conventional 0.133322387415.
SHARE = 5e-6

# Relative error means nothing near 0 of a scale that crosses it.
NEAR_ZERO = 1e-9

GLUCOSE_GRAMS_PER_MOLE = 180.156

# (our names of the units, theirs in UCUM, theirs in pint, values)
CONVERSIONS = {
    "pressure_to_kpa": ("mmHg kPa", "mm[Hg] kPa", "mmHg kPa", range(0, 501)),
    "pressure_to_mmhg": ("kPa mmHg", "kPa mm[Hg]", "kPa mmHg", [n / 10 for n in range(0, 667)]),
    "glucose_to_mmol": ("mg/dL mmol/L", "mg/dL mmol/L", "mg/dL mmol/L", range(0, 2001, 3)),
    "glucose_to_mg": (
        "mmol/L mg/dL",
        "mmol/L mg/dL",
        "mmol/L mg/dL",
        [n / 10 for n in range(1112)],
    ),
    "temperature_to_celsius": (
        "degF degC",
        "[degF] Cel",
        "degF degC",
        [n / 10 for n in range(-400, 1221)],
    ),
    "temperature_to_fahrenheit": (
        "degC degF",
        "Cel [degF]",
        "degC degF",
        [n / 10 for n in range(-400, 501)],
    ),
    "fraction_to_percent": ("fraction percent", "1 %", "1 %", [n / 1000 for n in range(1001)]),
    "percent_to_fraction": ("percent fraction", "% 1", "% 1", [n / 4 for n in range(401)]),
}


def ours(tool, units: str, values) -> list[float]:
    lines = tool("vitalproof_convert", *(f"{value!r} {units}" for value in values))
    return [float(line) for line in lines]


def by_ucum(units: str, values, molecular_weight=None) -> list[float]:
    node = shutil.which("node")
    assert node, "Node is missing: .ci/setup installs it"
    assert (UCUM / "node_modules").is_dir(), "the UCUM package is missing: .ci/setup installs it"
    source, target = units.split()
    asked = [
        {"value": value, "from": source, "to": target, "molecularWeight": molecular_weight}
        for value in values
    ]
    ran = subprocess.run(
        [node, UCUM / "convert.js"],
        input=json.dumps(asked),
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert ran.returncode == 0, ran.stderr
    return json.loads(ran.stdout)


def by_pint(units: str, values, molecular_weight=None) -> list[float]:
    registry = pint.UnitRegistry()
    source, target = (
        {"1": "dimensionless", "%": "percent"}.get(unit, unit) for unit in units.split()
    )
    if molecular_weight is None:
        return [registry.Quantity(float(v), source).to(target).magnitude for v in values]
    mass = registry.Quantity(molecular_weight, "g/mol")
    return [
        registry.Quantity(float(v), source).to(target, "chemistry", mw=mass).magnitude
        for v in values
    ]


def weight_for(name: str) -> float | None:
    return GLUCOSE_GRAMS_PER_MOLE if name.startswith("glucose") else None


@pytest.mark.parametrize("name", CONVERSIONS)
def test_conversion_agrees_with_ucum(tool, name):
    units, theirs, _, values = CONVERSIONS[name]
    expected = by_ucum(theirs, values, weight_for(name))
    assert len(expected) == len(values) > 400
    assert ours(tool, units, values) == pytest.approx(expected, rel=SHARE, abs=NEAR_ZERO)


@pytest.mark.parametrize("name", CONVERSIONS)
def test_conversion_agrees_with_pint(tool, name):
    units, _, theirs, values = CONVERSIONS[name]
    expected = by_pint(theirs, values, weight_for(name))
    # pint carries the conventional millimetre of mercury, as we do: it must agree more closely.
    assert ours(tool, units, values) == pytest.approx(expected, rel=1e-9, abs=NEAR_ZERO)


def test_the_ucum_package_is_the_one_whose_figures_are_quoted():
    package = UCUM / "node_modules" / "@lhncbc" / "ucum-lhc" / "package.json"
    assert json.loads(package.read_text(encoding="utf-8"))["version"] == "7.1.10"


def test_glucose_of_100_mg_per_dl_is_the_published_example(tool):
    # UCUM reference implementation, with molecularWeight 180.156.
    assert ours(tool, "mg/dL mmol/L", [100]) == pytest.approx([5.5507449], abs=5e-8)


# At 760 mmHg 5 % of dry gas is 38 mmHg; at body conditions water vapour takes 47 mmHg (standard
# physiology): 5 % of 713 is 35.65.
@pytest.mark.parametrize(
    ("basis", "vapour", "five_percent"), [("percent_dry", 0, 38.0), ("percent_body", 47, 35.65)]
)
def test_co2_percent_is_a_share_of_the_stated_pressure(tool, basis, vapour, five_percent):
    assert ours(tool, f"{basis} mmHg", [5]) == pytest.approx([five_percent], rel=1e-12)
    shares = [n / 10 for n in range(151)]
    dry_pressure = pint.UnitRegistry().Quantity(760 - vapour, "mmHg")
    expected = [(share / 100 * dry_pressure).magnitude for share in shares]
    assert ours(tool, f"{basis} mmHg", shares) == pytest.approx(expected, rel=1e-12)
