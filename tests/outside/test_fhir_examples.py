"""HL7's published FHIR R4 examples of vital signs: their facts retyped, and what is read of them.

The facts stand on https://hl7.org/fhir/R4/ in the example files named beside each; the files
themselves are not part of the project. What decides nothing here (narrative, category, reference
ranges, performer) is left out.
"""

import json
from math import isclose

import pytest

LOINC = "http://loinc.org"
UCUM = "http://unitsofmeasure.org"
EXAMPLE = {"reference": "Patient/example"}


def coded(*codes, system=LOINC):
    return {"coding": [{"system": system, "code": code} for code in codes]}


def measured(value, code, unit=None):
    return {"value": value, "unit": unit or code, "system": UCUM, "code": code}


def observation(identifier, code, day="1999-07-02", **more):
    return {
        "resourceType": "Observation",
        "id": identifier,
        "status": "final",
        "code": code,
        "subject": EXAMPLE,
        "effectiveDateTime": day,
    } | more


def component(code, **more):
    return {"code": code} | more


def absent(code, system="http://terminology.hl7.org/CodeSystem/data-absent-reason"):
    return coded(code, system=system)


SYSTOLIC = {
    "coding": [
        {"system": LOINC, "code": "8480-6"},
        {"system": "http://snomed.info/sct", "code": "271649006"},
        {"system": "http://acme.org/devices/clinical-codes", "code": "bp-s"},
    ]
}
SYSTOLIC_107 = component(SYSTOLIC, valueQuantity=measured(107, "mm[Hg]", "mmHg"))

# (the example, what is read of it by sign; None: a reading without a number)
EXAMPLES = {
    # observation-example-heart-rate.json: 44 beats/minute on 1999-07-02
    "heart-rate": (
        observation(
            "heart-rate", coded("8867-4"), valueQuantity=measured(44, "/min", "beats/minute")
        ),
        {"pulse": 44},
    ),
    # observation-example-respiratory-rate.json: 26 breaths/minute
    "respiratory-rate": (
        observation(
            "respiratory-rate",
            coded("9279-1"),
            valueQuantity=measured(26, "/min", "breaths/minute"),
        ),
        {"respiratory_rate": 26},
    ),
    # observation-example-body-temperature.json: 36.5 C
    "body-temperature": (
        observation("body-temperature", coded("8310-5"), valueQuantity=measured(36.5, "Cel", "C")),
        {"temperature": 36.5},
    ),
    # observation-example-mbp.json: mean 80 mm[Hg]
    "mbp": (
        observation("mbp", coded("8478-0"), valueQuantity=measured(80, "mm[Hg]")),
        {"mean_pressure": 80},
    ),
    # observation-example-satO2.json: 95 %, by two LOINC codes and a device's
    "satO2": (
        observation(
            "satO2",
            {
                "coding": [
                    {"system": LOINC, "code": "2708-6"},
                    {"system": LOINC, "code": "59408-5"},
                    {"system": "urn:iso:std:iso:11073:10101", "code": "150456"},
                ]
            },
            day="2014-12-05T09:30:10+01:00",
            valueQuantity=measured(95, "%"),
        ),
        {"saturation": 95},
    ),
    # observation-example-bloodpressure.json: 107/60 on 2012-09-17
    "blood-pressure": (
        observation(
            "blood-pressure",
            coded("85354-9"),
            day="2012-09-17",
            component=[
                SYSTOLIC_107,
                component(coded("8462-4"), valueQuantity=measured(60, "mm[Hg]", "mmHg")),
            ],
        ),
        {"systolic": 107, "diastolic": 60},
    ),
    # observation-example-bloodpressure-dar.json: no diastolic, for it was not performed
    "blood-pressure-dar": (
        observation(
            "blood-pressure-dar",
            coded("85354-9"),
            day="2012-09-17",
            component=[
                SYSTOLIC_107,
                component(coded("8462-4"), dataAbsentReason=absent("not-performed")),
            ],
        ),
        {"systolic": 107},
    ),
    # observation-example-bloodpressure-cancel.json: cancelled, neither half was asked for
    "blood-pressure-cancel": (
        observation(
            "blood-pressure-cancel",
            coded("85354-9"),
            day="2012-09-17",
            status="cancelled",
            component=[
                component(SYSTOLIC, dataAbsentReason=absent("not-asked")),
                component(coded("8462-4"), dataAbsentReason=absent("not-asked")),
            ],
        ),
        None,
    ),
    # observation-example-f001-glucose.json: 6.3 mmol/l from 2013-04-02T09:30:10+01:00
    "f001": (
        {
            "resourceType": "Observation",
            "id": "f001",
            "status": "final",
            "code": coded("15074-8"),
            "subject": {"reference": "Patient/f001"},
            "effectivePeriod": {"start": "2013-04-02T09:30:10+01:00"},
            "valueQuantity": measured(6.3, "mmol/L", "mmol/l"),
        },
        {"glucose": 6.3 * 18.0156},
    ),
    # observation-example-f202-temperature.json: entered in error
    "f202": (
        observation(
            "f202",
            coded("8310-5"),
            status="entered-in-error",
            valueQuantity={
                "value": 39,
                "unit": "degrees C",
                "system": "http://snomed.info/sct",
                "code": "258710007",
            },
        ),
        None,
    ),
    # observation-example-glasgow.json: 13 by 5 (motor), 4 (verbal) and 4 (eyes). That LOINC's
    # answers stand beside the codes of the example's own is from memory.
    "glasgow": (
        observation(
            "glasgow",
            coded("9269-2"),
            day="2014-12-11T04:44:16Z",
            valueQuantity={"value": 13, "system": UCUM, "code": "{score}"},
            component=[
                component(
                    coded(part),
                    valueCodeableConcept={
                        "coding": [
                            {"system": "http:/acme.ec/codes", "code": points},
                            {"system": LOINC, "code": answer},
                        ],
                        "text": text,
                    },
                )
                for part, points, answer, text in (
                    ("9268-4", "5", "LA6566-9", "5 (Localizes painful stimuli)"),
                    ("9270-0", "4", "LA6560-2", "4 (Confused, disoriented)"),
                    ("9267-6", "4", "LA6556-0", "4 (Opens eyes spontaneously)"),
                )
            ],
        ),
        {"coma_total": 13, "coma_motor": 5, "coma_verbal": 4, "coma_eye": 4},
    ),
    # observation-example-vitals-panel.json: its members are other resources
    "vitals-panel": (
        observation(
            "vitals-panel",
            coded("85353-1"),
            hasMember=[{"reference": "Observation/heart-rate"}],
        ),
        None,
    ),
    # observation-example.json: a body weight of 185 lbs
    "example": (
        observation("example", coded("29463-7"), valueQuantity=measured(185, "[lb_av]", "lbs")),
        None,
    ),
}


def readings_of(tool, path):
    *lines, rows = tool("vitalproof_readings", str(path))
    read = {}
    for line in lines:
        report, _, sign, value = line.split("\t")
        read.setdefault(report, {})[sign] = value
    return read, tuple(map(int, rows.split("\t")[1:]))


@pytest.fixture
def examples(tmp_path):
    """All examples, each way that FHIR puts resources together."""
    resources = [resource for resource, _ in EXAMPLES.values()]
    bundle = {
        "resourceType": "Bundle",
        "type": "collection",
        "entry": [{"resource": resource} for resource in resources],
    }
    paths = {}
    for name, text in {
        "bundle.json": json.dumps(bundle),
        "pretty.json": json.dumps(bundle, indent=2),
        "lines.ndjson": "".join(json.dumps(resource) + "\n" for resource in resources),
    }.items():
        paths[name] = tmp_path / name
        paths[name].write_text(text, encoding="utf-8")
    return paths


@pytest.mark.parametrize("form", ["bundle.json", "pretty.json", "lines.ndjson"])
def test_the_published_examples_read_to_their_published_values(tool, examples, form):
    read, rows = readings_of(tool, examples[form])
    expected = {f"Observation/{name}": values for name, (_, values) in EXAMPLES.items() if values}
    assert rows == (len(expected), 0, len(EXAMPLES) - len(expected))
    assert read.keys() == expected.keys()
    for name, values in expected.items():
        assert read[name].keys() == values.keys(), name
        for sign, value in values.items():
            assert isclose(float(read[name][sign]), value, rel_tol=1e-12), (name, sign)


@pytest.mark.parametrize(
    "name", [name for name, (_, values) in EXAMPLES.items() if values is not None]
)
def test_each_published_example_reads_alone(tool, tmp_path, name):
    resource, values = EXAMPLES[name]
    path = tmp_path / "one.json"
    path.write_text(json.dumps(resource, indent=2), encoding="utf-8")
    read, rows = readings_of(tool, path)
    assert rows == (1, 0, 0)
    assert read[f"Observation/{name}"].keys() == values.keys()


def test_the_published_examples_raise_no_reject(audit, examples):
    ran = audit(examples["lines.ndjson"])
    assert ran.status == 0
    account = ran.account()
    assert account["findings"]["reject"] == 0
    assert account["findings"]["query"] == 0
    assert account["inputs"][0]["codes_not_read"] == {"85353-1": 1, "29463-7": 1}
