"""Tables with the names and words of the national EMS data standard, held to its own lists and
samples in ../shared/data: a name means what its number does, a label what its code does, and a
sample as a table what it does as XML."""

import csv
import subprocess
from collections import defaultdict
from pathlib import Path
from xml.etree import ElementTree

import pytest
from standard_reports import NAMESPACE

VERSIONS = ("350", "351")
SIGNS = ("06", "07", "09", "10", "12", "14", "18", "19", "20", "21", "23", "24", "26")
# What a set says of itself in the standard; a call says the others, which a table has not.
OF_SETS = {
    "paced",
    "irregular_rhythm",
    "prior_care",
    "cuff_machine",
    "cuff_by_ear",
    "palpated",
    "doppler",
    "arterial",
    "pulse_felt",
    "pulse_by_oximeter",
}
OF_AGE = {"under_two", "child", "over_64", "newborn", "just_born"}


@pytest.fixture(scope="module")
def standard(shared_data) -> Path:
    folder = shared_data / "nemsis"
    if not folder.is_dir():
        pytest.skip("../shared/data has no nemsis folder: the standard's own lists are not here")
    return folder


def listed(standard: Path, what: str, version: str) -> list[dict[str, str]]:
    path = standard / "facts" / f"evitals_{what}_{version}.tsv"
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream, delimiter="\t"))


def write_table(path: Path, header: list[str], *rows: list[str]) -> Path:
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([header, *rows])
    return path


def sets_of(tool, path: Path) -> dict[str, list[dict[str, str]]]:
    """By report, what is read of its sets: values by sign, and `known`."""
    *lines, _ = tool("vitalproof_readings", f"{path}\tknown")
    sets: dict[str, dict[str, dict[str, str]]] = defaultdict(lambda: defaultdict(dict))
    for line in lines:
        report, number, sign, value = line.split("\t")
        sets[report][number][sign] = value
    return {report: list(of_report.values()) for report, of_report in sets.items()}


def meanings(program: Path, path: Path) -> list[str]:
    """What each column is read as, its header apart."""
    command = [program, "columns", path, "--as-mapping"]
    mapping = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return [line.split(" = ", 1)[1] for line in mapping.splitlines() if line.startswith('"')]


@pytest.mark.parametrize("version", VERSIONS)
def test_a_name_of_the_standard_means_what_its_number_does(program, standard, tmp_path, version):
    names = {
        row["element"]: row["name"]
        for row in listed(standard, "elements", version)
        if row["name"] and row["name"] != "(group)"
    }
    numbered = meanings(program, write_table(tmp_path / "n.csv", ["eRecord.01", *names]))
    named = meanings(program, write_table(tmp_path / "l.csv", ["eRecord.01", *names.values()]))
    both = [f"{name} ({number})" for number, name in names.items()]
    with_both = meanings(program, write_table(tmp_path / "b.csv", ["eRecord.01", *both]))
    assert named == numbered
    assert with_both == numbered
    used = {n for n, m in zip(names, numbered[1:], strict=True) if m != '{ is = "ignored" }'}
    assert {
        f"eVitals.{n}" for n in (*SIGNS, "01", "02", "03", "08", "11", "13", "15", "16")
    } == used


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("element", ["02", "03", "08", "11", "13", "15", "26"])
def test_a_label_says_what_its_code_does(tool, standard, tmp_path, version, element):
    name = f"eVitals.{element}"
    values = [row for row in listed(standard, "enumerations", version) if row["element"] == name]
    header = ["eRecord.01", "eVitals.01", "eVitals.06", "eVitals.10", name]

    def table(column: str) -> dict[str, list[dict[str, str]]]:
        rows = [[row["code"], "2026-03-01T10:00:00Z", "120", "70", row[column]] for row in values]
        return sets_of(tool, write_table(tmp_path / f"{column}.csv", header, *rows))

    by_code = table("code")
    assert table("label") == by_code
    # Nor does it say nothing throughout.
    assert len({tuple(of[0].items()) for of in by_code.values()}) > 1


def text_of(within: ElementTree.Element, element: str) -> str:
    found = within.find(f".//{{{NAMESPACE}}}{element}")
    return "" if found is None or found.text is None else found.text.strip()


@pytest.mark.parametrize("words", ["codes", "labels"])
def test_a_sample_as_a_table_says_what_it_does_as_xml(tool, standard, tmp_path, words):
    elements = [f"eVitals.{n}" for n in ("01", "02", "03", "08", "11", "13", *SIGNS)]
    of_reports = ["eRecord.01", "ePatient.15", "ePatient.16"]
    compared = 0
    for path in sorted((standard / "samples").glob("*.xml")):
        version = "351" if "351" in path.name else "350"
        label = {
            (row["element"], row["code"]): row["label"]
            for row in listed(standard, "enumerations", version)
        }
        rows = []
        for report in ElementTree.parse(path).iter(f"{{{NAMESPACE}}}PatientCareReport"):
            own = [text_of(report, name) for name in of_reports]
            for group in report.iter(f"{{{NAMESPACE}}}eVitals.VitalGroup"):
                cells = [text_of(group, name) for name in elements]
                if words == "labels":
                    cells = [
                        label.get((name, cell), cell)
                        for name, cell in zip(elements, cells, strict=True)
                    ]
                rows.append(own + cells)
        table = write_table(tmp_path / f"{path.stem}.csv", of_reports + elements, *rows)
        as_table = sets_of(tool, table)
        for report, sets in sets_of(tool, path).items():
            with_readings = [of for of in sets if len(of) > 1]
            for xml, row in zip(with_readings, as_table.get(report, []), strict=True):
                for of in (xml, row):
                    known = {fact for fact in of.pop("known").split()}
                    of["known"] = sorted(f for f in known if f.lstrip("!") in OF_SETS | OF_AGE)
                xml.pop("exhaled_co2", None)  # its unit is an attribute
                assert row == xml, (path.name, report)
                compared += 1
    print(f"{compared} groups of vital signs of the standard's samples, as {words}")
    assert compared > 50
