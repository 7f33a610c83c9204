"""The national EMS data standard as the program's user meets it: XML beside tables and FHIR."""

import csv
import gzip
import json
import random
import re
import subprocess
from pathlib import Path

import pytest
from standard_reports import document, report, vitals
from support import findings, peak_megabytes_of, rows_of, written

SOURCE = Path(__file__).resolve().parents[2]
DONE, INPUT_FAILED = 0, 3
GOOD = vitals("14:32:00", systolic="120", diastolic="80", pulse="72", saturation="98")


def xml(folder, *reports, name="week.xml"):
    return written(folder, document(*reports), name)


def counted(ran):
    account = ran.account()
    parts = [account[f"rows_{part}"] for part in ("examined", "unread", "other")]
    assert account["rows_read"] == sum(parts)
    return tuple(parts)


def lines_of(ran):
    text = (ran.into / "findings.jsonl").read_text(encoding="utf-8")
    return [json.loads(line) for line in text.splitlines()]


def test_a_file_is_told_by_its_content_and_forms_stand_in_one_run(audit, tmp_path):
    high = {**GOOD, "eVitals.10": "400"}
    as_xml = xml(tmp_path, report("x1", [high]), name="any-name.csv")
    table = written(tmp_path, "report,pulse\nt1,400\n", "any-name.xml")
    fhir = {
        "resourceType": "Observation",
        "status": "final",
        "code": {"coding": [{"system": "http://loinc.org", "code": "8867-4"}]},
        "encounter": {"reference": "Encounter/f1"},
        "valueQuantity": {
            "value": 400,
            "system": "http://unitsofmeasure.org",
            "code": "/min",
        },
    }
    as_fhir = written(tmp_path, json.dumps(fhir), "any-name.txt")
    ran = audit(as_xml, table, as_fhir)
    assert ran.status == DONE and ran.err == ""
    assert counted(ran) == (3, 0, 0)
    found = [f["report"] for f in findings(ran.into) if f["check"] == "impossible.pulse"]
    assert found == ["x1", "t1", "f1"]
    assert "Read as the national EMS data standard" in ran.out


def test_a_finding_names_the_report_its_group_and_the_element(audit, tmp_path):
    swapped = vitals("14:40:00", systolic="72", diastolic="118")
    path = xml(tmp_path, report("26-0001", [GOOD]), report("26-0002", [GOOD, swapped]))
    order = next(f for f in lines_of(audit(path)) if f["check"] == "pressure.order")
    assert order["report"] == "26-0002"
    assert order["place"]["element"] == "eVitals.VitalGroup[2]/eVitals.06"
    line = path.read_text(encoding="utf-8").splitlines()[order["place"]["line"] - 1]
    assert line == "<eVitals.VitalGroup>"


def test_a_late_group_keeps_its_number_where_sets_are_put_in_order(audit, tmp_path):
    late = vitals("15:00:00", systolic="72", diastolic="118")
    order = next(
        f
        for f in lines_of(audit(xml(tmp_path, report("26-0001", [late, GOOD]))))
        if f["check"] == "pressure.order"
    )
    assert order["set"] == 2
    assert order["place"]["element"].startswith("eVitals.VitalGroup[1]/")


SIGNS = {  # as the fixtures name them: the column of a table, the lowest and highest value
    "systolic": ("systolic (mmHg)", 60, 350),
    "diastolic": ("diastolic (mmHg)", 30, 200),
    "mean_pressure": ("mean pressure (mmHg)", 40, 180),
    "pulse": ("pulse", 0, 240),
    "respiratory_rate": ("respiratory rate", 0, 80),
    "saturation": ("saturation (%)", 40, 105),
    "glucose": ("glucose (mg/dL)", 10, 700),
    "temperature": ("temperature (C)", 20, 46),
    "coma_eye": ("coma eye", 1, 5),
    "coma_verbal": ("coma verbal", 1, 5),
    "coma_motor": ("coma motor", 1, 6),
    "coma_total": ("coma total", 3, 15),
}
REASONS = {
    "not applicable": "@NV=7701001|",
    "not recorded": "@NV=7701003|",
    "refused": "@PN=8801019|",
    "unable": "@PN=8801023|",
}


def cells_of(chance):
    cells = {}
    for sign, (_, low, high) in SIGNS.items():
        kind = chance.random()
        value = chance.randint(low, high)
        decimal = f".{chance.randint(1, 9)}" if sign == "temperature" else ""
        reason = chance.choice(list(REASONS))
        cells[sign] = reason if kind < 0.15 else f"{value}{decimal}"
    if chance.random() < 0.1:
        cells["diastolic"] = "P"
    return cells


def comparable(ran):
    """Findings by their fingerprints, without place and text as charted; the standard's own rules
    and the endings of calls left out, which a table says nothing of."""
    found = {}
    for finding in lines_of(ran):
        if finding["check"].startswith(("standard.", "ending.")):
            continue
        del finding["place"]
        del finding["charted"]
        for reading in finding["evidence"]:
            reading.pop("charted", None)
        found.setdefault(finding["fingerprint"], []).append(finding)
    return found


def test_the_same_sets_as_a_table_and_as_xml_give_the_same_findings(audit, tmp_path):
    chance = random.Random(20260301)
    table = [["report", "crew", "time", *(column for column, _, _ in SIGNS.values())]]
    reports = []
    for number in range(40):
        sets = []
        for minute in range(0, 42, 7):
            cells = cells_of(chance)
            table.append(
                [f"r{number}", "M1", f"2026-03-01T14:{minute:02}:00-06:00", *cells.values()]
            )
            values = {sign: REASONS.get(text, text) for sign, text in cells.items()}
            sets.append(vitals(f"14:{minute:02}:00", **values))
            for element in ("16", "26"):  # no such columns: "not reporting" is no such element
                sets[-1][f"eVitals.{element}"] = "@NV=7701005|"
            del sets[-1]["eVitals.02"]
        reports.append(report(f"r{number}", sets))
    with (tmp_path / "week.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(table)
    as_table = audit(tmp_path / "week.csv", into="table")
    as_xml = audit(xml(tmp_path, *reports), into="xml")
    expected = comparable(as_table)
    assert len(expected) > 300
    assert comparable(as_xml) == expected
    assert counted(as_xml) == (240, 0, 0)
    for name in ("reports", "sets", "readings", "sets_rejected"):
        assert as_xml.account()[name] == as_table.account()[name], name


def test_a_broken_report_is_named_and_the_next_is_read(audit, tmp_path):
    good = report("26-0001", [GOOD])
    no_number = good.replace("<eRecord.01>26-0001</eRecord.01>", "<eRecord.01/>")
    broken = good.replace("</eVitals>", "")
    ran = audit(xml(tmp_path, no_number, good, broken, good.replace("26-0001", "26-0003")))
    assert ran.status == DONE
    assert counted(ran) == (2, 2, 0)
    unread = rows_of(ran.into / "unread.csv")
    assert [row["file"] for row in unread] == [str(tmp_path / "week.xml")] * 2
    assert "eRecord.01" in unread[0]["reason"]
    assert "not well-formed" in unread[1]["reason"]
    assert all(row["remedy"] and int(row["line"]) > 1 for row in unread)


def test_a_file_that_ends_early_fails_and_what_was_read_is_written(audit, tmp_path):
    high = report("26-0001", [{**GOOD, "eVitals.10": "400"}])
    whole = document(high, report("26-0002", [GOOD]))
    for name, text, read in (
        ("cut-in-a-report", whole[: whole.rindex("</eVitals>")], (1, 1, 0)),
        ("cut-behind-a-report", whole[: whole.rindex("</Header>")], (2, 0, 0)),
        ("open-comment", whole.replace("</Header>", "<!-- </Header>"), (2, 0, 0)),
    ):
        ran = audit(written(tmp_path, text, f"{name}.xml"), into=name)
        assert ran.status == INPUT_FAILED, name
        assert "end" in ran.err and f"{name}.xml" in ran.err, name
        assert counted(ran) == read, name
        assert "impossible.pulse" in {f["check"] for f in findings(ran.into)}, name


@pytest.mark.parametrize(
    ("declared", "said"),
    [
        ('<!DOCTYPE EMSDataSet [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]>', "DOCTYPE"),
        ('<!DOCTYPE EMSDataSet SYSTEM "file:///etc/passwd">', "DOCTYPE"),
    ],
)
def test_a_document_type_is_refused(audit, tmp_path, declared, said):
    text = document(report("26-0001", [GOOD])).replace("?>\n", f"?>\n{declared}\n", 1)
    ran = audit(written(tmp_path, text, "week.xml"))
    assert ran.status == INPUT_FAILED
    assert said in ran.err and "week.xml" in ran.err
    assert counted(ran) == (0, 0, 0)


@pytest.mark.parametrize("text", ["<html><p>120/80</p></html>", "<a/>", "<EMSDataSet/>", "< "])
def test_xml_of_another_kind_is_refused_with_a_remedy(audit, tmp_path, text):
    ran = audit(written(tmp_path, text, "week.xml"))
    assert ran.status == INPUT_FAILED
    assert "week.xml" in ran.err
    assert re.search(r"Export|Check", ran.err)


@pytest.mark.parametrize("form", ["plain", "gzip", "marked", "utf-16", "prefixed", "one-line"])
def test_standard_input_archives_encodings_and_prefixes(program, tmp_path, form):
    text = document(report("26-0001", [GOOD]), report("26-0002", [GOOD]))
    if form == "prefixed":
        text = re.sub(r"<(/?)(?=[A-Za-z])", r"<\1n:", text).replace("xmlns=", "xmlns:n=")
    elif form == "one-line":
        text = text.replace("\n", "")
    content = text.encode("utf-16" if form == "utf-16" else "utf-8")
    if form == "gzip":
        content = gzip.compress(content)
    elif form == "marked":
        content = b"\xef\xbb\xbf\n" + content.partition(b"\n")[2]
    ran = subprocess.run(
        [program, "audit", "-", "--into", tmp_path / "out", "--strict-xml"],
        input=content,
        capture_output=True,
        timeout=60,
    )
    assert ran.returncode == DONE, ran.stderr
    account = json.loads((tmp_path / "out" / "audit.json").read_text(encoding="utf-8"))
    assert account["rows_examined"] == account["rows_read"] == 2
    assert account["reports"] == 2


def test_strict_xml_fails_what_is_not_well_formed_and_examines_it_all_the_same(audit, tmp_path):
    text = document(report("26-0001", [{**GOOD, "eVitals.10": "400"}]))
    path = written(tmp_path, text.replace("</Header>", "<Miller></Header></Miller>"))
    lenient = audit(path, into="lenient")
    strict = audit(path, "--strict-xml", into="strict")
    assert lenient.status == DONE and lenient.account()["strict_xml"] is False
    assert strict.status == INPUT_FAILED and strict.account()["strict_xml"] is True
    assert "not well-formed" in strict.err and "Miller" not in strict.err
    assert findings(lenient.into) == findings(strict.into) != []


def test_the_example_of_the_readme_is_read(audit, tmp_path):
    text = (SOURCE / "docs" / "inputs.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```xml\n(.*?)```", text, re.DOTALL)
    ran = audit(written(tmp_path, example, "week.xml"), "--strict-xml")
    assert ran.status == DONE and ran.err == ""
    assert counted(ran) == (1, 0, 0)
    assert [f["report"] for f in findings(ran.into) if f["check"] == "pressure.order"] == [
        "26-0113"
    ]


def test_nothing_of_the_patient_is_written(audit, tmp_path):
    values = {"ePatient.15": "Mary Miller", "ePatient.16": "2516009", "eDisposition.27": "Mary"}
    sets = [
        vitals("14:32:00", pulse="Mary Miller", systolic="400", responsiveness="Mary Miller"),
        vitals("Mary Miller", pulse="400", pulse_method="Mary Miller"),
    ]
    text = document(report("26-0001", sets, values), report("26-0002", sets))
    text = text.replace(
        "<eVitals>",
        "<eNarrative><eNarrative.01>Mary</eNarrative.01></eNarrative><!-- Mary --><eVitals>",
        1,
    )
    broken = report("26-0003", sets).replace("</eVitals>", "<Miller></eVitals>")
    path = written(tmp_path, text.replace("</Header>", broken + "</Header>"), "week.xml")
    ran = audit(path, "--strict-xml")
    assert counted(ran) == (4, 2, 0)
    assert findings(ran.into)
    for file in ran.into.iterdir():
        assert not re.search("Mary|Miller", file.read_text(encoding="utf-8")), file
    assert not re.search("Mary|Miller", ran.out + ran.err)


def test_columns_says_what_the_file_is(program, tmp_path):
    path = xml(tmp_path, report("26-0001", [GOOD]))

    def columns(*options):
        command = [program, "columns", path, *options]
        return subprocess.run(command, capture_output=True, text=True, timeout=60)

    shown = columns()
    assert shown.returncode == DONE
    assert "national EMS data standard" in shown.stdout
    mapping = columns("--as-mapping")
    assert mapping.returncode == INPUT_FAILED
    assert mapping.stdout == "" and "no columns to map" in mapping.stderr


def peak_of_reports(program, tmp_path, sets, megabytes):
    """The memory for so much of one report again and again, and the account."""
    one = report("26-0001", sets)
    block = (one * (1_000_000 // len(one) + 1)).encode()
    head, tail = document("|").encode().split(b"|")

    def feed(stream):
        stream.write(head)
        for _ in range(megabytes):
            stream.write(block)
        stream.write(tail)

    return peak_megabytes_of(program, tmp_path / str(megabytes), feed)


def test_memory_does_not_grow_with_the_file(program, tmp_path):
    """20 MB against 200 MB."""
    sets = [{**GOOD, "eVitals.01": f"2026-03-01T14:3{n}:00-06:00", "eVitals.06": f"12{n}"}
            for n in range(4)]  # fmt: skip
    few, account = peak_of_reports(program, tmp_path, sets, 20)
    many, larger = peak_of_reports(program, tmp_path, sets, 200)
    assert larger["inputs"][0]["bytes"] > 200_000_000
    assert larger["rows_examined"] == 10 * account["rows_examined"] > 0
    assert many < few + 3
    assert many < 40


def test_memory_ends_growing_where_every_report_has_findings(program, tmp_path):
    """The page holds the gravest findings, up to its bounds."""
    many, account = peak_of_reports(program, tmp_path, [GOOD] * 4, 200)
    assert account["by_kind"]["plausibility"]["query"] > 50_000
    assert many < 64


def test_reports_and_tags_without_end_need_little_memory(program, tmp_path):
    head, _ = document("|").encode().split(b"|")
    for name, opening, byte, megabytes in (
        ("text", b"<PatientCareReport>", b"x", 150),
        ("tags", b"<PatientCareReport>", b"<", 150),
        ("deep", b"<PatientCareReport>", b"<a>", 150),
        ("attribute", b'<PatientCareReport UUID="', b"x", 150),
        ("comment", b"<!--", b"<PatientCareReport>", 150),
        ("groups", b"", b"<eVitals.VitalGroup/>", 4),
    ):

        def feed(stream, opening=opening, byte=byte, megabytes=megabytes):
            stream.write(head + opening)
            for _ in range(megabytes):
                stream.write(byte * ((1 << 20) // len(byte)))

        peak, account = peak_megabytes_of(program, tmp_path / name, feed)
        assert account["inputs"][0]["error"], name
        assert peak < 180, name
        assert account["rows_read"] == account["rows_unread"], name
