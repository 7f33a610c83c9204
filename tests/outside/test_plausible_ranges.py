"""Our limits for single readings against three published tables of plausible ranges.

The tables were made to clean intensive-care data: what lies outside is dropped or replaced. Ours
decide what is asked of a person, so they differ, and every difference is listed with its reason. A
limit that moves, on either side, fails until its line here is thought over again.

- mimic3: YerevaNN/mimic3-benchmarks, variable_ranges.csv, OUTLIER LOW and HIGH (dropped).
- mimic3_valid: the same table, VALID LOW and HIGH (clipped to), against `believable`.
- icu: eth-mds/ricu, the minima and maxima of its concept dictionary.
- clif: clifpy, the outlier thresholds of its ICU format.
"""

import csv

import pytest

# As published: sign, low, high.
PUBLISHED = {
    "mimic3": {
        "systolic": (0, 375),
        "diastolic": (0, 375),
        "mean_pressure": (0, 375),
        "pulse": (0, 390),
        "respiratory_rate": (0, 330),
        "saturation": (0, 150),
        "glucose": (0, 2200),
        "temperature": (14.2, 47),
        "coma_eye": (1, 4),
        "coma_verbal": (1, 5),
        "coma_motor": (1, 6),
        "coma_total": (3, 15),
    },
    "mimic3_valid": {
        "systolic": (0, 375),
        "diastolic": (0, 375),
        "mean_pressure": (14, 330),
        "pulse": (0, 350),
        "respiratory_rate": (0, 300),
        "saturation": (0, 100),
        "glucose": (33, 2000),
        "temperature": (26, 45),
        "coma_eye": (1, 4),
        "coma_verbal": (1, 5),
        "coma_motor": (1, 6),
        "coma_total": (3, 15),
    },
    "icu": {
        "systolic": (0, 300),
        "diastolic": (0, 200),
        "mean_pressure": (0, 250),
        "pulse": (0, 300),
        "respiratory_rate": (0, 120),
        "saturation": (50, 100),
        "exhaled_co2": (10, 60),
        "temperature": (32, 42),
        "glucose": (0, 1000),
        "coma_eye": (1, 4),
        "coma_verbal": (1, 5),
        "coma_motor": (1, 6),
        "coma_total": (3, 15),
    },
    "clif": {
        "systolic": (0, 300),
        "diastolic": (0, 200),
        "mean_pressure": (0, 250),
        "pulse": (0, 300),
        "respiratory_rate": (0, 60),
        "saturation": (50, 100),
        "glucose": (0, 2000),
        "temperature": (32, 44),
        "coma_eye": (1, 4),
        "coma_verbal": (1, 5),
        "coma_motor": (1, 6),
        "coma_total": (3, 15),
    },
}

# Our table that stands against each.
OURS = {"mimic3": "possible", "mimic3_valid": "believable", "icu": "possible", "clif": "possible"}

# What the files call the signs.
MIMIC3_NAMES = {
    "systolic": "Systolic blood pressure",
    "diastolic": "Diastolic blood pressure",
    "mean_pressure": "Mean blood pressure",
    "pulse": "Heart rate",
    "respiratory_rate": "Respiratory rate",
    "saturation": "Oxygen saturation",
    "glucose": "Glucose",
    "temperature": "Temperature",
    "coma_eye": "Glascow coma scale eye opening",
    "coma_verbal": "Glascow coma scale verbal response",
    "coma_motor": "Glascow coma scale motor response",
    "coma_total": "Glascow coma scale total",
}
ICU_NAMES = {
    "systolic": "sbp",
    "diastolic": "dbp",
    "mean_pressure": "map",
    "pulse": "hr",
    "respiratory_rate": "resp",
    "saturation": "spo2",
    "exhaled_co2": "etco2",
    "temperature": "temp",
    "glucose": "glu",
    "coma_eye": "egcs",
    "coma_verbal": "vgcs",
    "coma_motor": "mgcs",
    "coma_total": "tgcs",
}
CLIF_NAMES = {
    "systolic": "sbp",
    "diastolic": "dbp",
    "mean_pressure": "map",
    "pulse": "heart_rate",
    "respiratory_rate": "respiratory_rate",
    "saturation": "spo2",
    "glucose": "glucose_fingerstick",
    "temperature": "temp_c",
    "coma_eye": "gcs_eye",
    "coma_verbal": "gcs_verbal",
    "coma_motor": "gcs_motor",
    "coma_total": "gcs_total",
}

# Reasons that a practitioner would give; common practice, no source, unless one is named.
MEAN_ZERO = "a mean of zero is no measurement in any patient; a zero has a check of its own"
MEAN_BETWEEN = "lies between a diastolic of up to 250 and a systolic of up to 300"
MEAN_TOP = "a mean lies below a systolic of at most 300"
CUFF_TOP = "cuffs end at or below 300: a higher systolic is a slip"
DIASTOLIC_TOP = "diastolic pressures over 200 are seen in pheochromocytoma and eclampsia: asked"
DIASTOLIC_SLIP = "no cuff shows a diastolic over 250"
PULSE_TOP = "infants' tachycardias pass 300: asked, not rejected"
PULSE_SLIP = "over 350 is artefact or a slip"
BREATHS_TOP = "newborns in distress breathe over 60 and up to 100"
BREATHS_SLIP = "nobody breathes over 120 a minute: artefact, or the pulse in the wrong field"
SATURATION_LOW = "true in drowning, arrest and methaemoglobin; asked under 50, not rejected"
SATURATION_SHARE = "more than all is no share"
CO2_LOW = "true in arrest, embolism and a tube in the oesophagus: the gravest reading of all"
CO2_TOP = "true in severe asthma, COPD and opioid overdose"
COLD = "people have survived 13.7 and 11.8 °C (from memory): rejecting cold rejects survivors"
HEAT = "heat stroke and stimulants pass 42; the national standard ends at 50 (NEMSIS v3.5.0)"
GLUCOSE_TOP = "hyperosmolar states pass 1000; the national standard ends at 2000 (NEMSIS v3.5.0)"
GLUCOSE_END = "the national standard ends at 2000 (NEMSIS v3.5.0)"
ASKED_LOW = "seen in arrest and late shock, else a slip: asked, never replaced"
ASKED_HIGH = "seldom true, oftener a slip: asked, never replaced"
METER = "meters read 20 to 600; beyond they show LO or HI"

# (table, sign, end): (ours, theirs, why). Every end that differs, and no other.
DIFFERENCES = {
    ("mimic3", "systolic", "high"): (300, 375, CUFF_TOP),
    ("mimic3", "diastolic", "high"): (250, 375, DIASTOLIC_SLIP),
    ("mimic3", "mean_pressure", "low"): (1, 0, MEAN_ZERO),
    ("mimic3", "mean_pressure", "high"): (275, 375, MEAN_TOP),
    ("mimic3", "pulse", "high"): (350, 390, PULSE_SLIP),
    ("mimic3", "respiratory_rate", "high"): (120, 330, BREATHS_SLIP),
    ("mimic3", "saturation", "high"): (100, 150, SATURATION_SHARE),
    ("mimic3", "glucose", "high"): (2000, 2200, GLUCOSE_END),
    ("mimic3", "temperature", "low"): (10, 14.2, COLD),
    ("mimic3_valid", "systolic", "low"): (40, 0, ASKED_LOW),
    ("mimic3_valid", "systolic", "high"): (260, 375, ASKED_HIGH),
    ("mimic3_valid", "diastolic", "low"): (20, 0, ASKED_LOW),
    ("mimic3_valid", "diastolic", "high"): (160, 375, ASKED_HIGH),
    ("mimic3_valid", "mean_pressure", "low"): (25, 14, ASKED_LOW),
    ("mimic3_valid", "mean_pressure", "high"): (200, 330, ASKED_HIGH),
    ("mimic3_valid", "pulse", "low"): (20, 0, ASKED_LOW),
    ("mimic3_valid", "pulse", "high"): (250, 350, ASKED_HIGH),
    ("mimic3_valid", "respiratory_rate", "low"): (4, 0, ASKED_LOW),
    ("mimic3_valid", "respiratory_rate", "high"): (70, 300, ASKED_HIGH),
    ("mimic3_valid", "saturation", "low"): (50, 0, ASKED_LOW),
    ("mimic3_valid", "glucose", "low"): (20, 33, METER),
    ("mimic3_valid", "glucose", "high"): (600, 2000, METER),
    ("mimic3_valid", "temperature", "low"): (30, 26, ASKED_LOW),
    ("mimic3_valid", "temperature", "high"): (42.5, 45, ASKED_HIGH),
    ("icu", "diastolic", "high"): (250, 200, DIASTOLIC_TOP),
    ("icu", "mean_pressure", "low"): (1, 0, MEAN_ZERO),
    ("icu", "mean_pressure", "high"): (275, 250, MEAN_BETWEEN),
    ("icu", "pulse", "high"): (350, 300, PULSE_TOP),
    ("icu", "saturation", "low"): (0, 50, SATURATION_LOW),
    ("icu", "exhaled_co2", "low"): (0, 10, CO2_LOW),
    ("icu", "exhaled_co2", "high"): (150, 60, CO2_TOP),
    ("icu", "temperature", "low"): (10, 32, COLD),
    ("icu", "temperature", "high"): (47, 42, HEAT),
    ("icu", "glucose", "high"): (2000, 1000, GLUCOSE_TOP),
    ("clif", "diastolic", "high"): (250, 200, DIASTOLIC_TOP),
    ("clif", "mean_pressure", "low"): (1, 0, MEAN_ZERO),
    ("clif", "mean_pressure", "high"): (275, 250, MEAN_BETWEEN),
    ("clif", "pulse", "high"): (350, 300, PULSE_TOP),
    ("clif", "respiratory_rate", "high"): (120, 60, BREATHS_TOP),
    ("clif", "saturation", "low"): (0, 50, SATURATION_LOW),
    ("clif", "temperature", "low"): (10, 32, COLD),
    ("clif", "temperature", "high"): (47, 44, HEAT),
}


@pytest.fixture(scope="module")
def limits(tool) -> dict[str, dict[str, tuple[float, float]]]:
    """Our tables: {"possible": {"systolic": (low, high)}}."""
    tables: dict[str, dict[str, tuple[float, float]]] = {"possible": {}, "believable": {}}
    for table, sign, *rest in (line.split("\t") for line in tool("vitalproof_tables")):
        if table in tables:
            _, low, high = rest
            tables[table][sign] = (float(low), float(high))
    return tables


@pytest.mark.parametrize("table", PUBLISHED)
def test_every_difference_from_a_published_range_has_its_reason(limits, table):
    differences = {}
    for sign, published in PUBLISHED[table].items():
        ours = limits[OURS[table]][sign]
        for end, mine, theirs in zip(("low", "high"), ours, published, strict=True):
            if mine != theirs:
                differences[table, sign, end] = (mine, theirs)
    reasoned = {key: pair for key, (*pair, _) in DIFFERENCES.items() if key[0] == table}
    assert differences == {key: tuple(pair) for key, pair in reasoned.items()}


# Zero is true in arrest for these; a table that begins higher rejects the sickest patients.
@pytest.mark.parametrize(
    "sign",
    ["systolic", "diastolic", "pulse", "ecg_rate", "respiratory_rate", "exhaled_co2"],
)
def test_a_zero_that_arrest_makes_true_is_possible(limits, sign):
    assert limits["possible"][sign][0] == 0


def test_what_is_believable_is_possible(limits):
    for sign, (low, high) in limits["believable"].items():
        assert limits["possible"][sign][0] <= low < high <= limits["possible"][sign][1]


def rows(path, delimiter=","):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter=delimiter))


def as_published(names, rows_by_name, low, high):
    return {
        sign: (float(rows_by_name[name][low]), float(rows_by_name[name][high]))
        for sign, name in names.items()
    }


def test_needs_shared_data_the_published_ranges_are_retyped_rightly(shared_data):
    mimic3 = {
        row["LEVEL2"]: row for row in rows(shared_data / "mimic3_benchmark_variable_ranges.csv")
    }
    icu = {
        row["concept"]: row for row in rows(shared_data / "icu_concept_dictionary_ranges.tsv", "\t")
    }
    clif = {
        row["variable"]: row
        for row in rows(shared_data / "clif_icu_format_vitals_outlier.tsv", "\t")
    }
    assert {
        "mimic3": as_published(MIMIC3_NAMES, mimic3, "OUTLIER LOW", "OUTLIER HIGH"),
        "mimic3_valid": as_published(MIMIC3_NAMES, mimic3, "VALID LOW", "VALID HIGH"),
        "icu": as_published(ICU_NAMES, icu, "min", "max"),
        "clif": as_published(CLIF_NAMES, clif, "min", "max"),
    } == PUBLISHED
