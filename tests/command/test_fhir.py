"""FHIR R4 as the program's user meets it: Bundles, resources one a line, single Observations."""

import csv
import gzip
import json
import random
import re
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from support import peak_megabytes_of

SOURCE = Path(__file__).resolve().parents[2]
DONE, INPUT_FAILED = 0, 3
START = datetime(2026, 3, 1, 14, 0, tzinfo=UTC)

# sign: LOINC code, UCUM code, the column of a table, believable and unbelievable values
SIGNS = {
    "systolic": ("8480-6", "mm[Hg]", "systolic (mmHg)", (60, 350)),
    "diastolic": ("8462-4", "mm[Hg]", "diastolic (mmHg)", (30, 200)),
    "mean_pressure": ("8478-0", "kPa", "mean pressure (kPa)", (6, 20)),
    "pulse": ("8893-0", "/min", "pulse", (0, 240)),
    "ecg_rate": ("76282-3", "{beats}/min", "ecg rate", (0, 240)),
    "respiratory_rate": ("9279-1", "/min", "respiratory rate", (0, 80)),
    "saturation": ("59408-5", "%", "saturation (%)", (40, 105)),
    "glucose": ("2339-0", "mmol/L", "glucose (mmol/L)", (1, 40)),
    "exhaled_co2": ("19891-1", "mm[Hg]", "exhaled co2 (mmHg)", (0, 160)),
    "temperature": ("8310-5", "[degF]", "temperature (F)", (60, 118)),
    "coma_eye": ("9267-6", "{score}", "coma eye", (1, 5)),
    "coma_verbal": ("9270-0", "{score}", "coma verbal", (1, 5)),
    "coma_motor": ("9268-4", "{score}", "coma motor", (1, 6)),
    "coma_total": ("9269-2", "{score}", "coma total", (3, 15)),
}
LEVELS = {"A": "LA9340-6", "V": "LA17108-4", "P": "LA17107-6", "U": "LA9343-0"}
REASONS = {"refused": "asked-declined", "N/A": "not-applicable", "not recorded": "not-performed"}


def coded(code, system="http://loinc.org"):
    return {"coding": [{"system": system, "code": code}]}


def observation(code, time, encounter, **more):
    return {
        "resourceType": "Observation",
        "status": "final",
        "code": coded(code),
        "subject": {"reference": "Patient/Mary-Miller", "display": "Mary Miller"},
        "encounter": {"reference": f"Encounter/{encounter}"},
        "effectiveDateTime": time,
    } | more


def valued(text, unit):
    """What a cell's text is as members of an Observation."""
    if text in REASONS:
        return {"dataAbsentReason": coded(REASONS[text], "urn:x/data-absent-reason")}
    quantity = {"system": "http://unitsofmeasure.org", "code": unit}
    if text[0] in "<>":
        quantity["comparator"] = text[0]
    quantity["value"] = json.loads(text.lstrip("<>"))
    return {"valueQuantity": quantity}


def bundle_of(resources):
    entries = [
        {"fullUrl": f"urn:uuid:{number}", "resource": resource}
        for number, resource in enumerate(resources)
    ]
    return {"resourceType": "Bundle", "type": "collection", "entry": entries}


def lines_of(resources):
    return "".join(json.dumps(resource) + "\n" for resource in resources)


def written(folder, content, name="week.json"):
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def rows_of(ran, name):
    with (ran.into / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def findings_of(ran):
    text = (ran.into / "findings.jsonl").read_text(encoding="utf-8")
    return [json.loads(line) for line in text.splitlines()]


def counted(ran):
    account = ran.account()
    parts = [account[f"rows_{part}"] for part in ("examined", "unread", "other")]
    assert account["rows_read"] == sum(parts)
    assert len(rows_of(ran, "unread.csv")) == parts[1]
    return tuple(parts)


def cells_of(chance):
    """One set as the cells of a table, most of them plain values."""
    cells = {}
    for sign, (_, _, _, (low, high)) in SIGNS.items():
        kind = chance.random()
        value = chance.randint(low, high)
        if kind < 0.1:
            cells[sign] = ""
        elif kind < 0.15:
            cells[sign] = chance.choice(list(REASONS))
        elif kind < 0.18:
            cells[sign] = f"{chance.choice('<>')}{value}"
        else:
            decimal = sign in ("mean_pressure", "glucose", "temperature")
            cells[sign] = f"{value + chance.randint(1, 9) / 10}" if decimal else f"{value}"
    cells["responsiveness"] = chance.choice(["", *LEVELS])
    return cells


def resources_of(cells, time, encounter):
    """The same set as FHIR: one panel of the pressures, and an Observation a sign."""
    halves = [
        {"code": coded(SIGNS[sign][0])} | valued(cells[sign], SIGNS[sign][1])
        for sign in ("systolic", "diastolic")
        if cells[sign]
    ]
    if halves:
        yield observation("85354-9", time, encounter, component=halves)
    for sign, (code, unit, _, _) in SIGNS.items():
        if sign not in ("systolic", "diastolic") and cells[sign]:
            yield observation(code, time, encounter, **valued(cells[sign], unit))
    if cells["responsiveness"]:
        answer = coded(LEVELS[cells["responsiveness"]])
        yield observation("67775-7", time, encounter, valueCodeableConcept=answer)


@pytest.fixture(scope="module")
def both_forms():
    """Sixty reports of six sets: a table, and resources in any order."""
    chance = random.Random(20260301)
    names = [column for _, _, column, _ in SIGNS.values()]
    table = [["report", "time", *names, "responsiveness", "pulse method"]]
    resources = []
    for report in range(60):
        of_report = []
        for number in range(6):
            time = (START + timedelta(minutes=7 * number)).isoformat()
            cells = cells_of(chance)
            felt = "felt" if cells["pulse"] else ""
            table.append([f"r{report}", time, *cells.values(), felt])
            of_report += resources_of(cells, time, f"r{report}")
        chance.shuffle(of_report)
        resources += of_report
    return table, resources


def comparable(ran):
    """Findings by their fingerprints, without place and text as charted.

    What nobody charted is a blank cell in a table and no resource in FHIR, and said so.
    """
    found = {}
    for finding in findings_of(ran):
        del finding["place"]
        del finding["charted"]
        finding["question"] = finding["question"].replace("not given", "left blank")
        for reading in finding["evidence"]:
            reading.pop("charted", None)
            if reading.get("reason") == "not carried by the source":
                reading["reason"] = "left blank"
            if "value" in reading:
                reading["value"] = round(reading["value"], 9)
        found.setdefault(finding["fingerprint"], []).append(finding)
    return found


def test_the_same_sets_as_a_table_and_as_fhir_give_the_same_findings(audit, tmp_path, both_forms):
    table, resources = both_forms
    with (tmp_path / "week.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(table)
    as_table = audit(tmp_path / "week.csv", into="table")
    as_lines = audit(written(tmp_path, lines_of(resources), "week.ndjson"), into="lines")
    as_bundle = audit(written(tmp_path, json.dumps(bundle_of(resources))), into="bundle")
    expected = comparable(as_table)
    assert len(expected) > 500
    assert any(f[0]["check"] == "pressure.half" for f in expected.values())
    assert comparable(as_lines) == expected
    assert comparable(as_bundle) == expected
    for ran in (as_lines, as_bundle):
        assert counted(ran) == (len(resources), 0, 0)
        for name in ("reports", "sets", "readings", "by_check", "by_sign", "sets_rejected"):
            assert ran.account()[name] == as_table.account()[name], name


def test_a_finding_names_the_resource_its_id_and_the_component(audit, tmp_path):
    swapped = [
        {"code": coded("8480-6")} | valued("72", "mm[Hg]"),
        {"code": coded("8462-4")} | valued("118", "mm[Hg]"),
    ]
    ran = audit(
        written(
            tmp_path,
            lines_of(
                [
                    {"resourceType": "Patient", "id": "Mary-Miller"},
                    observation("8867-4", START.isoformat(), "26-1", **valued("80", "/min")),
                    observation("85354-9", START.isoformat(), "26-1", id="bp7", component=swapped),
                ]
            ),
        )
    )
    order = next(f for f in findings_of(ran) if f["check"] == "pressure.order")
    assert order["report"] == "26-1"
    assert order["place"] == {
        "file": str(tmp_path / "week.json"),
        "line": 2,
        "element": "resource 3, Observation/bp7, component[0]",
    }


def test_nothing_of_the_patient_is_written(audit, tmp_path):
    patient = {
        "resourceType": "Patient",
        "id": "Mary-Miller",
        "birthDate": "1950-05-05",
        "name": [{"family": "Miller", "given": ["Mary"]}],
    }
    no_encounter = observation("8867-4", START.isoformat(), "x", **valued("300", "/min"))
    del no_encounter["encounter"]
    name = {"text": "Mary Miller"}
    resources = [
        patient,
        no_encounter,
        observation("8867-4", START.isoformat(), "r1", valueCodeableConcept=name),
        observation("8310-5", START.isoformat(), "r1", valueString="Mary Miller"),
        observation("Mary Miller", START.isoformat(), "r1", **valued("1", "/min")),
        observation("8310-5", "Mary Miller", "r2", dataAbsentReason=name),
        {"resourceType": "Mary Miller"},
        {"Mary Miller": 1},
    ]
    ran = audit(written(tmp_path, lines_of(resources) + '{"Mary Miller"\n'))
    assert counted(ran) == (4, 2, 3)
    for path in ran.into.iterdir():
        text = path.read_text(encoding="utf-8")
        for secret in ("Mary", "Miller", "1950"):
            assert secret not in text, path
    for secret in ("Mary", "Miller", "1950"):
        assert secret not in ran.out + ran.err
    # Of the birth only what follows of it: the age decides on one finding.
    reports = {row["report"] for row in rows_of(ran, "findings.csv")}
    assert reports <= {"resource 2", "r1", "r2"}


def test_an_age_follows_from_a_patient_that_stands_before(audit, tmp_path):
    patient = {"resourceType": "Patient", "id": "Mary-Miller", "birthDate": "2025-12-01"}
    fast = observation("8867-4", START.isoformat(), "r1", **valued("170", "/min"))
    infant = audit(written(tmp_path, lines_of([patient, fast])), into="infant")
    unknown = audit(written(tmp_path, lines_of([fast]), "unknown.json"), into="unknown")
    (known,) = {tuple(f["known"]) for f in findings_of(infant)} or {()}
    assert findings_of(unknown)
    assert findings_of(infant) != findings_of(unknown)
    assert not known or "under_two" in known


def test_codes_that_are_not_read_are_named(audit, tmp_path):
    weight = observation("29463-7", START.isoformat(), "r1", **valued("70", "kg"))
    pulse = observation("8867-4", START.isoformat(), "r1", **valued("70", "/min"))
    withdrawn = pulse | {"status": "entered-in-error"}
    ran = audit(written(tmp_path, lines_of([weight, weight, pulse, withdrawn])))
    assert ran.status == DONE and ran.err == ""
    assert counted(ran) == (1, 0, 3)
    assert "Codes not read: 29463-7 (2)" in ran.out
    assert "1 Observation entered in error or cancelled: not examined" in ran.out
    assert "Signs without a resource: systolic" in ran.out
    assert ran.account()["inputs"][0]["codes_not_read"] == {"29463-7": 2}


@pytest.mark.parametrize("form", ["plain", "gzip", "marked", "indented"])
def test_standard_input_and_archives(program, tmp_path, both_forms, form):
    _, resources = both_forms
    bundle = bundle_of(resources[:100])
    content = json.dumps(bundle, indent=1 if form == "indented" else None).encode()
    if form == "gzip":
        content = gzip.compress(content)
    elif form == "marked":
        content = b"\xef\xbb\xbf\n" + content
    ran = subprocess.run(
        [program, "audit", "-", "--into", tmp_path / "out"],
        input=content,
        capture_output=True,
        timeout=60,
    )
    assert ran.returncode == DONE, ran.stderr
    account = json.loads((tmp_path / "out" / "audit.json").read_text(encoding="utf-8"))
    assert account["rows_examined"] == 100
    assert account["inputs"][0] | {"xxh3_128": ""} == {
        "file": "standard input",
        "bytes": len(content),
        "xxh3_128": "",
        "rows_read": 100,
        "rows_examined": 100,
        "rows_unread": 0,
        "rows_other": 0,
    }


def test_the_example_of_the_readme_is_read(audit, tmp_path):
    text = (SOURCE / "docs" / "inputs.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```json\n(.*?)```", text, re.DOTALL)
    ran = audit(written(tmp_path, example))
    assert ran.status == DONE and ran.err == ""
    assert counted(ran) == (1, 0, 0)
    assert ran.account()["by_sign"]["temperature"]["readings"] == 1


def test_tables_and_fhir_in_one_run(audit, tmp_path):
    high = observation("8867-4", START.isoformat(), "f1", **valued("400", "/min"))
    fhir = written(tmp_path, json.dumps(high), "any-name.csv")
    table = written(tmp_path, "report,pulse\nt1,400\nt2,70\n", "any-name.json")
    broken = written(tmp_path, '{"resourceType":"Bundle","entry":[', "broken.json")
    ran = audit(fhir, table, broken, fhir)
    assert ran.status == INPUT_FAILED
    assert "broken.json" in ran.err and "ends inside" in ran.err
    assert counted(ran) == (4, 0, 0)
    impossible = [f for f in findings_of(ran) if f["check"] == "impossible.pulse"]
    assert [(f["report"], "element" in f["place"]) for f in impossible] == [
        ("f1", True),
        ("t1", False),
        ("f1", True),
    ]


def test_columns_says_how_a_file_is_understood(program, tmp_path):
    half = {"code": coded("8480-6")} | valued("120", "mm[Hg]")
    resources = [
        observation("85354-9", START.isoformat(), "r1", component=[half]),
        observation("15074-8", START.isoformat(), "r1", valueQuantity={"value": 5.4}),
    ]
    path = written(tmp_path, json.dumps(bundle_of(resources)))
    ran = subprocess.run([program, "columns", path], capture_output=True, text=True, timeout=60)
    assert ran.returncode == DONE and ran.stderr == ""
    assert "a row is a resource, a report an encounter" in ran.stdout
    assert "8480-6   systolic" in ran.stdout
    assert "15074-8  blood glucose in mmol/L" in ran.stdout
    assert "header" not in ran.stdout
    ran = subprocess.run(
        [program, "columns", path, "--as-mapping"], capture_output=True, text=True, timeout=60
    )
    assert ran.returncode == INPUT_FAILED and "no columns" in ran.stderr


PULSE = observation("8867-4", START.isoformat(), "r1", **valued("70", "/min"))
GOOD = json.dumps(PULSE) + "\n"

# What stands between two sound resources, one a line, and the words of what is said of it.
HOSTILE = {
    "truncated": (GOOD[:60] + "\n", "brackets"),
    "open_string": ('{"resourceType":"Observation","id":"\n', "brackets"),
    "too_many_brackets": (GOOD.rstrip() + "}}]\n", "brackets"),
    "deep": (GOOD.rstrip()[:-1] + ',"x":' + "[" * 3000 + "]" * 3000 + "}\n", "nested"),
    "deeper": ('{"x":' + "[" * 500_000 + "\n", "nested"),
    "not_utf_8": (GOOD.replace("r1", "r\udcff"), "UTF-8"),
    "twice": (GOOD.replace('"code":', '"code":{},"code":', 1), "twice"),
    "huge_number": (GOOD.replace("70", "1e9999"), "number"),
    "huge_integer": (GOOD.replace("70", "7" * 400), "number"),
    "nan": (GOOD.replace("70", "NaN"), "JSON"),
    "infinity": (GOOD.replace("70", "-Infinity"), "JSON"),
    "comment": (GOOD.replace("70", "70 /* beats */"), "brackets"),
    "single_quotes": (GOOD.replace('"', "'"), "brackets"),
    "no_resource": ('{"pulse":70}\n', "resourceType"),
    "nul": (GOOD.replace("r1", "r\0"), "JSON"),
    "modified": (GOOD.rstrip()[:-1] + ',"modifierExtension":[{}]}\n', "modifierExtension"),
    "seventeen_megabytes": (GOOD.rstrip()[:-1] + f',"x":"{"x" * 17_000_000}"}}\n', "longer"),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_resource_that_cannot_be_read_costs_itself(audit, tmp_path, kind):
    text, word = HOSTILE[kind]
    content = (GOOD + text + GOOD).encode("utf-8", "surrogateescape")
    ran = audit(written(tmp_path, content))
    assert ran.status == DONE, ran.err
    extra = 1 if kind == "too_many_brackets" else 0  # it is sound up to the first of them
    assert counted(ran) == (2 + extra, 1, 0)
    (unread,) = rows_of(ran, "unread.csv")
    assert word in unread["reason"] and unread["remedy"]
    assert unread["line"] == str(2 + extra)


@pytest.mark.parametrize("kind", [k for k in HOSTILE if k not in ("deeper", "nul")])
def test_the_same_in_a_bundle(audit, tmp_path, kind):
    text, word = HOSTILE[kind]
    entries = ",".join(f'{{"resource":{one.rstrip()}}}' for one in (GOOD, text, GOOD, GOOD))
    content = f'{{"resourceType":"Bundle","entry":[{entries}]}}'
    ran = audit(written(tmp_path, content.encode("utf-8", "surrogateescape")))
    assert ran.status == DONE, ran.err
    extra = 1 if kind == "too_many_brackets" else 0
    assert counted(ran) == (3 + extra, 1, 0)
    assert word in rows_of(ran, "unread.csv")[0]["reason"]


NOT_FHIR = {
    "braces": b"{}",
    "another_object": b'{"report": "26-1", "pulse": 70}',
    "a_patient": b'{"resourceType":"Patient","id":"1"}',
    "an_empty_bundle": b'{"resourceType":"Bundle","type":"searchset","total":0}',
    "text": b"{note} this is no JSON\nreport,pulse\n1,70\n",
    "a_brace": b"{",
    "noise": b"{" + random.Random(1).randbytes(50_000),
}


@pytest.mark.parametrize("kind", NOT_FHIR)
def test_a_file_without_observations_is_named_with_a_remedy(audit, tmp_path, kind):
    path = written(tmp_path, NOT_FHIR[kind])
    ran = audit(path)
    assert ran.status == INPUT_FAILED
    assert str(path) in ran.err
    counted(ran)
    for word in ("terminate", "what():", "exception", "std::"):
        assert word not in ran.out + ran.err


@pytest.mark.parametrize("seed", range(6))
def test_noise_in_a_bundle_is_accounted_for(audit, tmp_path, seed):
    chance = random.Random(seed)
    text = bytearray(json.dumps(bundle_of([PULSE] * 200)).encode())
    for _ in range(20):
        text[chance.randrange(40, len(text))] = chance.randrange(256)
    ran = audit(written(tmp_path, bytes(text)))
    assert ran.status in (DONE, INPUT_FAILED)
    examined, unread, other = counted(ran)
    assert examined >= 150 and examined + unread + other <= 200 + 20


@pytest.mark.parametrize("form", ["bundle", "lines"])
def test_memory_does_not_grow_with_the_file(program, tmp_path, form):
    """3 MB against 30 MB, each report's resources apart from each other by others'."""
    separator = b"," if form == "bundle" else b"\n"

    def feed_of(blocks):
        def feed(stream):
            if form == "bundle":
                stream.write(b'{"resourceType":"Bundle","entry":[{"resource":' + GOOD.encode())
                stream.write(b"}")
            for block in range(blocks):
                parts = []
                for number in range(1000):
                    text = GOOD.replace("r1", f"{block}-{number % 50}").rstrip()
                    parts.append(f'{{"resource":{text}}}' if form == "bundle" else text)
                stream.write(separator + separator.join(p.encode() for p in parts))
            stream.write(b"]}" if form == "bundle" else b"\n")

        return feed

    few, account = peak_megabytes_of(program, tmp_path / "few", feed_of(9))
    many, larger = peak_megabytes_of(program, tmp_path / "many", feed_of(90))
    assert account["rows_examined"] == 9000 + (form == "bundle")
    assert larger["rows_examined"] == 90_000 + (form == "bundle")
    assert larger["inputs"][0]["bytes"] > 28_000_000
    assert many < few + 3
    assert many < 40


def test_brackets_and_strings_without_end_need_little_memory(program, tmp_path):
    for name, opening, byte in (
        ("brackets", b'{"resourceType":"Observation","a":', b"["),
        ("string", b'{"resourceType":"Bundle","entry":[{"resource":{"a":"', b"x"),
        ("members", b'{"resourceType":"Observation"', b',"a":1'),
    ):

        def feed(stream, opening=opening, byte=byte):
            stream.write(opening)
            for _ in range(60):
                stream.write(byte * (1 << 20))

        megabytes, account = peak_megabytes_of(program, tmp_path / name, feed)
        assert megabytes < 60, name
        assert account["rows_read"] == account["rows_unread"] == 1, name
