"""The national EMS data standard's own files in ../shared/data: samples, rules, failing and random
reports; and our fixtures and invented reports against its schemas."""

import re
import shutil
import subprocess
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

import pytest
from standard_reports import NAMESPACE, document, report, vitals
from support import findings, rows_of

SOURCE = Path(__file__).resolve().parents[2]
VERSIONS = ("350", "351")

# What may be asked of the samples, which are clean by the standard's rules: a reason for each that
# a reviewer would accept. Numbers of sets are in the order of their times.
SAMPLE_QUERIES = {
    ("2020-EMS-2-Ped-MVC-Tx_v350", 1, "unlikely.respiratory_rate"): (
        "88 breaths a minute at ten years, hurt as the child is: worth a second look"
    ),
    ("EMS-5-Diabetic-Release_v350", 2, "ending.abnormal_refusal"): (
        "released at 38 breaths a minute: the riskiest ending there is"
    ),
    ("2022-EMS-3-Trauma-Refusal_v350", 1, "ending.abnormal_refusal"): (
        "a refusal with a coma score of 14 after a fall"
    ),
    ("2022-EMS-3-Trauma-Refusal_v350", 1, "pressure.mean_palpated"): (
        "a mean of 113 beside 117/P: a palpated pressure has no mean"
    ),
    ("2023-EMS-5-StemiFlight_v350", (2, 5), "coma.against_responsiveness"): (
        "eyes open, oriented and obeying (15) is alert, not in need of pain"
    ),
}
SAMPLE_QUERIES[("2022-EMS-4-Pediatric-Intubation_v350", 4, "tube.after_move")] = (
    "handed over at 16:43 with a tube, exhaled CO2 last charted and confirmed before 16:33"
)
# 2021 repeats reports of 2020 under another number.
SAMPLE_QUERIES |= {
    (identifier.replace("2020", "2021"), sets, check): reason
    for (identifier, sets, check), reason in SAMPLE_QUERIES.items()
    if identifier.startswith("2020")
}

# Found as what they are: the same sets in two reports.
SAMPLE_QUERIES |= {
    (f"2021-EMS-{report}_v350", first, "repeated.report"): "a scenario of 2020, taken over"
    for report, first in (("2-Ped-MVC-Tx", 4), ("3-Ped-Interfacility", 1), ("4-Newborn-Tx", 4))
}

# The rules on vital signs, and our checks of them.
RULES = {
    "nemSch_e001": "standard.empty",
    "nemSch_e002": "standard.value_and_none",
    "nemSch_e008": "standard.value_and_negative",
    "nemSch_e125": "standard.time_missing",
    "nemSch_e126": "standard.before_notified",
    "nemSch_e127": "standard.before_patient",
    "nemSch_e128": "standard.after_transfer",
    "nemSch_e129": "standard.after_service",
    "nemSch_e130": "standard.prior_after_patient",
    "nemSch_e131": "standard.co2_percent",
    "nemSch_e132": "standard.co2_kilopascal",
    "nemSch_e133": "standard.co2_not_whole",
    "nemSch_e134": "standard.co2_without_unit",
    "nemSch_e135": "standard.coma_qualifiers",
}


@pytest.fixture(scope="session")
def standard(shared_data) -> Path:
    folder = shared_data / "nemsis"
    if not folder.is_dir():
        pytest.skip("needs ../shared/data/nemsis, which is not part of the project")
    return folder


def groups_in(path: Path) -> int:
    """Groups of vital signs, counted by another parser."""
    return sum(
        element.tag.rpartition("}")[2] == "eVitals.VitalGroup"
        for _, element in ElementTree.iterparse(path)
    )


def assert_accounted_for(ran, files) -> None:
    account = ran.account()
    parts = ("examined", "unread", "other")
    assert account["rows_read"] == sum(account[f"rows_{part}"] for part in parts)
    counted = {str(file): groups_in(file) for file in files}
    assert {one["file"]: one["rows_read"] for one in account["inputs"]} == counted


def test_samples_of_shared_data_are_read_whole_and_nothing_is_rejected(audit, standard):
    files = sorted((standard / "samples").glob("*.xml"))
    assert len(files) == 20
    ran = audit(*files)
    assert ran.status == 0 and ran.err == ""
    assert_accounted_for(ran, files)
    assert ran.account()["rows_examined"] == 68
    assert rows_of(ran.into / "unread.csv") == []
    found = findings(ran.into)
    assert not [f for f in found if f["asks"] == "reject"]
    # Clean by the standard's rules: no set out of order, and none carried forward.
    checks = {f["check"] for f in found}
    assert not checks & {"clock.order", "clock.same_time", "repeated.set", "repeated.cuff"}
    asked = {(f["report"], int(f["set"]), f["check"]) for f in found if f["asks"] == "query"}
    reasons = {
        (identifier, number, check): reason
        for (identifier, sets, check), reason in SAMPLE_QUERIES.items()
        for number in (sets if isinstance(sets, tuple) else (sets,))
    }
    assert asked == set(reasons)
    assert all(reasons.values())


def expected_results(standard: Path) -> dict[str, str]:
    text = (standard / "rules" / "expected-results.txt").read_text(encoding="utf-8")
    return dict(re.findall(r"^File: +(\S+)$.*?^Expected Result: +\[(\w+)\]$", text, re.M | re.S))


def test_rules_of_shared_data_fire_in_their_own_file_alone(audit, standard, tmp_path):
    results = expected_results(standard)
    proven = set()
    for file in sorted((standard / "rules").glob("*.xml")):
        ran = audit(file, into=file.stem)
        assert_accounted_for(ran, [file])
        fired = [f["check"] for f in findings(ran.into) if f["check"].startswith("standard.")]
        rule = file.stem.removeprefix("EMSDataSet-").rpartition("_")[0]
        # e001, e002 and e008 are shown on elements that are no vital signs.
        is_about_vitals = rule in RULES and not rule.startswith("nemSch_e0")
        if is_about_vitals and results[file.name] != "PASS":
            assert fired == [RULES[rule]], file.name
            proven.add(rule)
        else:
            assert fired == [], file.name
    assert proven == {rule for rule in RULES if rule.startswith("nemSch_e1")}


def test_every_rule_is_a_check_that_names_it(program):
    page = subprocess.run([program, "checks", "--page"], capture_output=True, text=True, check=True)
    sources = dict(
        re.findall(r"^### (standard\.\w+)$.*?^- Source: (.*?)$", page.stdout, re.M | re.S)
    )
    assert sources == {
        check: f"national rule {rule.removeprefix('nemSch_')} (NEMSIS v3.5.0)"
        for rule, check in RULES.items()
    }


@pytest.mark.parametrize("folder", ["fail", "random"])
def test_odd_reports_of_shared_data_are_accounted_for(audit, standard, folder):
    files = sorted((standard / folder).glob("*.xml"))
    assert len(files) >= 12
    ran = audit(*files)
    assert ran.status == 0 and ran.err == ""
    assert_accounted_for(ran, files)
    strict = audit(*files, "--strict-xml", into="strict")
    assert strict.status == 0 and strict.err == ""
    assert findings(strict.into) == findings(ran.into)


# --- schemas


@pytest.fixture(scope="session")
def schema_of(standard):
    if shutil.which("xmllint") is None:
        pytest.skip("needs xmllint (libxml2-utils)")
    return {version: standard / "schema" / version / "EMSDataSet_v3.xsd" for version in VERSIONS}


def faults_of(path: Path, schema: Path) -> list[str]:
    ran = subprocess.run(
        ["xmllint", "--noout", "--nonet", "--schema", schema, path],
        capture_output=True,
        text=True,
        timeout=120,
    )
    return [line for line in ran.stderr.splitlines() if "validity error" in line]


def local(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]


def number_of(element: ElementTree.Element) -> int:
    """By which the standard orders elements: its own number, or that of a group's first one."""
    own = re.search(r"\.(\d+)$", local(element))
    return int(own[1]) if own else min((number_of(child) for child in element), default=0)


def merge(into: ElementTree.Element, given: ElementTree.Element) -> None:
    """Puts what a fixture says in the place of what the skeleton says."""
    own: dict[str, list[ElementTree.Element]] = {}
    for child in given:
        own.setdefault(local(child), []).append(child)
    for name, children in own.items():
        there = [child for child in into if local(child) == name]
        if len(children[0]):  # a section or a group: its elements one by one
            for old, new in zip(there, children, strict=True):
                merge(old, new)
            continue
        later = (i for i, e in enumerate(into) if number_of(e) > number_of(children[0]))
        at = list(into).index(there[0]) if there else next(later, len(into))
        for old in there:
            into.remove(old)
        for new in reversed(children):
            into.insert(at, new)


def completed(given: ElementTree.Element) -> ElementTree.Element:
    """A fixture's report holds what its case is about; here with all that the standard requires."""
    count = Counter(local(e) for e in given.iter())
    repeated = {
        name: [{}] * max(count[f"{section}.{name}"], least)
        for section, name, least in (
            ("eMedications", "MedicationGroup", 1),
            ("eProcedures", "ProcedureGroup", 1),
            ("eAirway", "AirwayGroup", 0),
        )
    }
    sets = [{}] * max(count["eVitals.VitalGroup"], 1)
    whole = ElementTree.fromstring(document(report("x", sets, {}, repeated)))
    (of_whole,) = whole.iter(f"{{{NAMESPACE}}}PatientCareReport")
    merge(of_whole, given)
    return whole


FIXTURES = sorted((SOURCE / "fixtures" / "checks").glob("*/input.xml"))
# What the schema forbids as well as the rule does: files hold it all the same.
AGAINST_THE_SCHEMA = {
    "standard.empty": r"' *' is not (a valid value|accepted|an element)",
    "standard.co2_without_unit": r"'ETCO2Type'.*'3340009'",
    "standard.value_and_negative": r"attribute 'PN' is not allowed",
    "standard.value_and_none": r"attribute 'NV'.*'7701005' is not",
}


@pytest.mark.parametrize("file", FIXTURES, ids=lambda file: file.parent.name)
def test_fixtures_hold_what_the_schema_of_shared_data_allows(file, schema_of, tmp_path):
    ElementTree.register_namespace("", NAMESPACE)
    reports = list(ElementTree.parse(file).iter(f"{{{NAMESPACE}}}PatientCareReport"))
    assert reports
    seen = []
    for i, given in enumerate(reports):
        path = tmp_path / f"{i}.xml"
        ElementTree.ElementTree(completed(given)).write(path, "UTF-8", xml_declaration=True)
        for version in VERSIONS:
            seen += faults_of(path, schema_of[version])
    forbidden = AGAINST_THE_SCHEMA.get(file.parent.name)
    assert bool(seen) == bool(forbidden), seen[:5]
    assert all(re.search(forbidden, fault) for fault in seen if forbidden), seen[:5]


def test_invented_reports_of_the_suites_are_valid_by_the_schema_of_shared_data(schema_of, tmp_path):
    path = tmp_path / "week.xml"
    sets = [vitals("14:32:00", systolic="120", diastolic="80", pulse="72"), vitals("14:40:00")]
    path.write_text(document(report("26-0001", sets), report("26-0002", [{}])), encoding="utf-8")
    for version in VERSIONS:
        assert faults_of(path, schema_of[version]) == []
    path.write_text(document(report("26-0001", [vitals("14:32:00", pulse="fast")])))
    assert faults_of(path, schema_of["351"])
