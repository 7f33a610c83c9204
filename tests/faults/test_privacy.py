"""Names, dates of birth and addresses planted in every field that an audit does not need, and then
looked for in everything it writes.

The people are invented. Vital signs are charted so that every report has findings: an output
without any would leak nothing.
"""

import csv
import html
import io
import json
import re
import xml.etree.ElementTree as ElementTree

import pytest
from standard_reports import document, report, vitals
from support import findings, rows_of, written

# Like no word of the trade, and in the forms that charts have them.
NAMES = ["Quillhaven", "Ottilie Zorbanek", "WEXCOMBE, Ed", "O'Brannock", "Ĵurgis", "Ng"]
BIRTHS = ["1950-05-07", "05/07/1950", "7.5.1950", "5/7/50", "07-May-1950"]
PLACES = ["9 Wexcombe St", "Apt 4B", "Little Marlowe", "ZZ9 4QX", "Old Mill Ln 12"]
CONTACTS = ["ed@quillhaven.example", "zorbanek_o"]
SECRETS = NAMES + BIRTHS + PLACES + CONTACTS

# Parts that would give a person away by themselves.
TELLING = [
    "Quillhaven", "Ottilie", "Zorbanek", "Wexcombe", "Brannock", "urgis", "1950", "5/7/50",
    "7.5.19", "-May-", "Marlowe", "4QX", "Old Mill", "Apt 4B",
]  # fmt: skip


# The summary, and no file, quotes a date of a column of times to say how its dates are read.
DATE_QUOTED = re.compile(r"line [\d,]+ says \S+")


def everything_written(ran) -> str:
    """The outputs as they are, and as a reader would see them."""
    texts = [DATE_QUOTED.sub("", ran.out), ran.err]
    for file in ran.into.iterdir():
        text = file.read_text(encoding="utf-8")
        texts += [text, html.unescape(text)]
        texts.append(re.sub(r"\\u([0-9a-f]{4})", lambda code: chr(int(code[1], 16)), text))
    return "\n".join(texts).casefold()


def require_private(ran, *, asked: int = 1) -> None:
    assert len(findings(ran.into)) >= asked
    text = everything_written(ran)
    assert not [secret for secret in (*SECRETS, *TELLING) if is_in(secret.casefold(), text)]


def is_in(secret: str, text: str) -> bool:
    """Whether it stands there as a word: "Ng" is not in "missing"."""
    return secret in text and re.search(rf"(?<!\w){re.escape(secret)}(?!\w)", text) is not None


# Tables.

NEEDED = ["report", "crew", "time", "systolic", "diastolic", "pulse", "respiratory rate", "glucose"]
GOOD = ["26-1", "M1", "2026-03-01T10:00Z", "72", "118", "300", "0", "9999"]
NOT_NEEDED = [
    "patient name", "last name", "first name", "dob", "date of birth", "address", "city", "zip",
    "phone", "email", "narrative", "mrn", "next of kin", "employer", "notes", "chief complaint",
    "complaint", "arrest", "ventilated", "airway", "pressure method", "pulse method", "source",
    "disposition", "age", "unit", "temperature method",
]  # fmt: skip


def table(header: list[str], *rows: list[str]) -> str:
    text = io.StringIO()
    csv.writer(text).writerows([header, *rows])
    return text.getvalue()


@pytest.mark.parametrize("secret", SECRETS)
def test_nothing_of_the_columns_beside_the_signs_is_written(audit, tmp_path, secret):
    header = NEEDED + NOT_NEEDED
    week = table(header, *([*GOOD, *([secret] * len(NOT_NEEDED))] for _ in range(3)))
    require_private(audit(written(tmp_path, week)), asked=3)


@pytest.mark.parametrize("by", [1, 2, -1])
@pytest.mark.parametrize("where", range(len(NEEDED) + 1))
def test_nothing_of_a_person_is_written_where_columns_are_shifted(audit, tmp_path, where, by):
    """Every secret in turn stands between two columns, in rows whose cells are one or two off."""
    header = [*NEEDED[:where], "patient", *NEEDED[where:]]
    lines = []
    for secret in SECRETS:
        cells = [*GOOD[:where], secret, *GOOD[where:]]
        shifted = cells[by:] + cells[:by]
        lines += [cells, shifted]
    ran = audit(written(tmp_path, table(header, *lines)))
    # The report and the crew are written as they stand: that is what they are for.
    identifying = {header.index("report"), header.index("crew")}
    told = {line[i].casefold() for line in lines for i in identifying}
    text = everything_written(ran)
    leaked = [s for s in SECRETS if s.casefold() not in told and is_in(s.casefold(), text)]
    assert not leaked
    assert ran.account()["rows_read"] == 2 * len(SECRETS)


@pytest.mark.parametrize("secret", SECRETS)
def test_nothing_of_a_row_that_cannot_be_read_is_written(audit, tmp_path, secret):
    lines = [
        f"1,c,{secret},72,118,300,0,9,1",
        f",c,{secret}",
        f'1,c,"{secret}',
        f"{secret}\0",
        f"1,\0{secret},1",
        f"1,{secret},",
    ]
    text = "report,crew,systolic,diastolic,pulse\n1,c,72,118,300\n" + "\n".join(lines[:5]) + "\n"
    ran = audit(written(tmp_path, text))
    assert len(rows_of(ran.into / "unread.csv")) >= 4
    require_private(ran)


@pytest.mark.parametrize("secret", SECRETS)
def test_nothing_of_a_persons_rows_in_the_long_form_is_written(audit, tmp_path, secret):
    rows = [
        ["26-1", "10:00", "pulse", "300", "/min"],
        ["26-1", "10:00", secret, "300", "/min"],
        ["26-1", "10:00", "systolic", secret, "mmHg"],
        ["26-1", "10:00", "diastolic", "80", secret],
        ["26-1", secret, "pulse", "301", "/min"],
    ]
    week = table(["report", "time", "sign", "value", "unit"], *rows)
    require_private(audit(written(tmp_path, week)))


def test_nothing_above_a_header_is_written(audit, tmp_path):
    above = "".join(f'"Patient: {secret}"\n' for secret in SECRETS[:15])
    ran = audit(written(tmp_path, above + table(NEEDED, GOOD)))
    require_private(ran)


# The national EMS data standard: every element but the report's number and the unit's call sign.

KEPT = {"eRecord.01", "eResponse.13", "eResponse.14"}


def local(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]


@pytest.fixture(scope="module")
def reports() -> str:
    signs = vitals("14:00:00", systolic="72", diastolic="118", pulse="300", glucose="9999")
    return document(*(report(f"26-{n}", [signs, dict(signs)]) for n in range(3)))


@pytest.mark.parametrize("secret", SECRETS)
def test_nothing_of_any_element_is_written(audit, tmp_path, reports, secret):
    root = ElementTree.fromstring(reports)
    kept: set[int] = set()
    planted = 0
    for care_report in root.iter():
        if local(care_report) != "PatientCareReport":
            continue
        # One group keeps its values, so that there is something to ask.
        groups = [e for e in care_report.iter() if local(e) == "eVitals.VitalGroup"]
        kept |= {id(e) for e in groups[0].iter()}
        care_report.set("UUID", secret)
        for element in care_report.iter():
            if len(element) == 0 and local(element) not in KEPT and id(element) not in kept:
                element.text = secret
                element.attrib.clear()
                element.set("NV", secret)
                element.set("CorrelationID", secret)
                planted += 1
    assert planted > 300
    week = written(tmp_path, ElementTree.tostring(root, encoding="utf-8"), "week.xml")
    ran = audit(week)
    assert ran.account()["rows_examined"] == 6
    require_private(ran, asked=6)


# FHIR: every member of every resource but what refers to the encounter.


def plant(value, secret: str, keep: set[str]):
    """Every string of a resource, but those of the members to keep."""
    if isinstance(value, dict):
        return {k: v if k in keep else plant(v, secret, keep) for k, v in value.items()}
    if isinstance(value, list):
        return [plant(one, secret, keep) for one in value]
    return secret if isinstance(value, str) else value


def coded(system: str, code: str) -> dict:
    return {"coding": [{"system": system, "code": code, "display": "shown"}], "text": "shown"}


def resources(secret: str) -> list[dict]:
    loinc = "http://loinc.org"
    units = "http://unitsofmeasure.org"
    patient = {
        "resourceType": "Patient",
        "id": secret,
        "birthDate": secret,
        "name": [{"family": secret, "given": [secret]}],
        "address": [{"line": [secret], "city": secret}],
        "telecom": [{"value": secret}],
        "contact": [{"name": {"text": secret}}],
    }
    base = {
        "resourceType": "Observation",
        "id": "o1",  # findings name it
        "status": "final",
        "code": coded(loinc, "8867-4"),
        "subject": {"reference": f"Patient/{secret}", "display": secret},
        "encounter": {"reference": "Encounter/26-1", "display": secret},
        "performer": [{"reference": secret, "display": secret}],
        "device": {"display": secret},
        "note": [{"text": secret}],
        "text": {"status": "generated", "div": f"<div>{secret}</div>"},
        "identifier": [{"value": secret}],
        "extension": [{"url": secret, "valueString": secret}],
        "effectiveDateTime": "2026-03-01T10:00:00Z",
        "valueQuantity": {"value": 300, "code": "/min", "system": units, "unit": secret},
    }
    without_value = {k: v for k, v in base.items() if k != "valueQuantity"}
    return [
        patient,
        base,
        {**without_value, "valueString": secret},
        {**without_value, "valueCodeableConcept": coded(loinc, secret)},
        {**without_value, "dataAbsentReason": coded(loinc, secret)},
        {**without_value, "component": [{"code": coded(loinc, secret), "valueString": secret}]},
        {**base, "code": coded(secret, secret)},
        {**base, "code": coded(loinc, secret)},
        {**base, "effectiveDateTime": secret},
        {**base, "status": secret},
        {**base, "valueQuantity": {"value": 300, "code": secret, "unit": secret}},
        plant(base, secret, {"resourceType", "id", "encounter"}),
        {"resourceType": secret, "name": secret},
        {secret: secret},
    ]


@pytest.mark.parametrize("form", ["lines", "bundle"])
@pytest.mark.parametrize("secret", SECRETS)
def test_nothing_of_any_resource_is_written(audit, tmp_path, secret, form):
    made = resources(secret)
    lines = "".join(json.dumps(one, ensure_ascii=False) + "\n" for one in made)
    whole = {"resourceType": "Bundle", "entry": [{"fullUrl": secret, "resource": r} for r in made]}
    text = lines if form == "lines" else json.dumps(whole, ensure_ascii=False)
    ran = audit(written(tmp_path, text))
    assert {row["report"] for row in findings(ran.into)} == {"26-1"}
    require_private(ran)


def test_a_broken_resource_is_not_quoted(audit, tmp_path):
    cut = [json.dumps(one, ensure_ascii=False)[:-3] for one in resources(SECRETS[0])]
    good = json.dumps(resources("x")[1])
    require_private(audit(written(tmp_path, "\n".join([good, *cut]) + "\n")))


# Settings.


def test_nothing_of_a_mapping_or_limits_with_a_mistake_is_written(audit, tmp_path):
    """What is wrong is named by its key, which the user wrote; the value is not repeated."""
    week = written(tmp_path, table(NEEDED, GOOD))
    for option, text in [
        ("--mapping", 'schema = 1\n[columns]\nx = "{}"\n'),
        ("--limits", 'schema = 1\n[possible.systolic]\nhigh = "{}"\n'),
        ("--decisions", '{{"schema": 1, "decisions": [{{"fingerprint": "{}"}}]}}'),
    ]:
        ran = audit(week, option, written(tmp_path, text.format("x" * 40), "settings"))
        assert ran.status == 2 and not ran.into.exists()
