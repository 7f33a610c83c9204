"""Inputs made to do harm: bounded time and memory, a clear refusal, and the rest audited."""

import gzip
import json
import os
import re
import subprocess
import time
from pathlib import Path

import pytest
from standard_reports import document, report, vitals
from support import findings, peak_megabytes_of, rows_of, written

HEADER = "report,crew,systolic,diastolic,pulse\n"
SWAPPED = "72,118,70"
DONE, WRONG_USAGE, INPUT_FAILED = 0, 2, 3
DEPTH = 10_000


def observation(identifier: str, **more) -> str:
    code = {"coding": [{"system": "http://loinc.org", "code": "8867-4"}]}
    value = {"value": 300, "code": "/min", "system": "http://unitsofmeasure.org"}
    return json.dumps(
        {
            "resourceType": "Observation",
            "status": "final",
            "code": code,
            "encounter": {"reference": f"Encounter/{identifier}"},
            "valueQuantity": value,
            **more,
        }
    )


def standard(identifier: str, inner: str = "") -> str:
    made = report(identifier, [vitals("14:00:00", systolic="72", diastolic="118")])
    return made.replace("</PatientCareReport>", inner + "</PatientCareReport>")


def counted(ran) -> tuple[int, int, int]:
    account = ran.account()
    return tuple(account[f"rows_{part}"] for part in ("examined", "unread", "other"))


# Nesting.


@pytest.mark.parametrize("depth", [DEPTH, 1_000_000])
@pytest.mark.parametrize("strict", [False, True], ids=["lenient", "strict"])
def test_xml_nested_without_measure_costs_its_report(audit, tmp_path, depth, strict):
    deep = standard("26-2", "<a>" * depth + "</a>" * depth)
    week = written(tmp_path, document(standard("26-1"), deep, standard("26-3")), "week.xml")
    began = time.monotonic()
    ran = audit(week, *(["--strict-xml"] if strict else []))
    assert time.monotonic() - began < 20
    assert ran.status == (INPUT_FAILED if strict else DONE)
    assert counted(ran) == (2, 1, 0)
    assert {row["report"] for row in findings(ran.into)} == {"26-1", "26-3"}
    (refused,) = rows_of(ran.into / "unread.csv")
    assert "deep" in refused["reason"] and refused["remedy"]


@pytest.mark.parametrize("depth", [DEPTH, 1_000_000])
@pytest.mark.parametrize(
    "opening, closing", [("[", "]"), ('{"a":', "}")], ids=["arrays", "objects"]
)
def test_json_nested_without_measure_costs_its_resource(audit, tmp_path, depth, opening, closing):
    nested = opening * depth + "0" * (opening != "[") + closing * depth
    deep = observation("26-2")[:-1] + ', "extension": ' + nested + "}"
    lines = "\n".join([observation("26-1"), deep, observation("26-3")])
    entries = ",".join(f'{{"resource":{one}}}' for one in lines.split("\n"))
    bundle = f'{{"resourceType":"Bundle","type":"collection","entry":[{entries}]}}'
    for text in (lines, bundle):
        began = time.monotonic()
        ran = audit(written(tmp_path, text), "--quiet")
        assert time.monotonic() - began < 20
        assert ran.status == DONE and counted(ran) == (2, 1, 0)
        assert {row["report"] for row in findings(ran.into)} == {"26-1", "26-3"}
        (refused,) = rows_of(ran.into / "unread.csv")
        assert "deep" in refused["reason"] and refused["remedy"]


@pytest.mark.parametrize("option, text", [
    ("--limits", "schema = 1\na = " + "[" * DEPTH + "]" * DEPTH),
    ("--limits", "schema = 1\n" + "a." * DEPTH + "b = 1"),
    ("--limits", "schema = 1\n[" + "a." * DEPTH + "b]"),
    ("--limits", "schema = 1\na = " + "{a=" * DEPTH + "1" + "}" * DEPTH),
    ("--mapping", "schema = 1\n[columns]\na = " + "[" * DEPTH + "]" * DEPTH),
    ("--decisions", "[" * DEPTH + "]" * DEPTH),
    ("--decisions", '{"schema":1,"decisions":' + "[" * DEPTH + "]" * DEPTH + "}"),
    ("--decisions", '{"schema":1,"decisions":[' + '{"a":' * DEPTH + "1" + "}" * DEPTH + "]}"),
])  # fmt: skip
def test_settings_nested_without_measure_are_wrong_usage(audit, tmp_path, option, text):
    settings = written(tmp_path, text, "settings")
    ran = audit(written(tmp_path, HEADER), option, settings)
    assert ran.status == WRONG_USAGE
    assert str(settings) in ran.err and len(ran.err) < 1000
    assert not ran.into.exists()


@pytest.mark.parametrize("option", ["--limits", "--mapping", "--decisions"])
def test_settings_without_end_are_refused_at_once(audit, tmp_path, option):
    ran = audit(written(tmp_path, HEADER), option, "/dev/zero")
    assert ran.status == WRONG_USAGE and "larger than 16 MiB" in ran.err


# Entities.

BOMB = "<!DOCTYPE EMSDataSet [" + "".join(
    f'<!ENTITY e{n} "{f"&e{n - 1};" * 10 if n else "0123456789" * 10}">' for n in range(12)
) + "]>"  # fmt: skip
LONG = f'<!DOCTYPE EMSDataSet [<!ENTITY a "{"x" * 1_000_000}">]>'
OUTSIDE = '<!DOCTYPE EMSDataSet [<!ENTITY a SYSTEM "file:///etc/hostname">]>'


@pytest.mark.parametrize("strict", [False, True], ids=["lenient", "strict"])
@pytest.mark.parametrize("form", ["plain", "utf_16", "gzip", "behind_a_comment"])
@pytest.mark.parametrize("kind, entity", [(BOMB, "e11"), (LONG, "a"), (OUTSIDE, "a")])
def test_entities_are_never_expanded(audit, tmp_path, kind, entity, form, strict):
    declaration, rest = document(standard(f"&{entity};" * 1000)).split("\n", 1)
    text = f"{declaration}\n{'<!-- x -->' if form == 'behind_a_comment' else ''}{kind}\n{rest}"
    content = text.encode("utf-16" if form == "utf_16" else "utf-8")
    week = written(tmp_path, gzip.compress(content) if form == "gzip" else content)
    began = time.monotonic()
    ran = audit(week, *(["--strict-xml"] if strict else []))
    assert time.monotonic() - began < 10
    assert ran.status == INPUT_FAILED and "DOCTYPE" in ran.err
    assert counted(ran) == (0, 0, 0)


def test_an_entity_that_nothing_declares_stays_as_it_stands(audit, tmp_path):
    """It is neither looked up nor left out: the value is no number, and says so."""
    made = document(standard("26-1").replace(">72<", ">&bomb;<"))
    ran = audit(written(tmp_path, made))
    assert ran.status == DONE
    checks = {row["check"] for row in findings(ran.into)}
    assert "unreadable.systolic" in checks


# Size.


@pytest.mark.parametrize("name", ["x", "e_11(", "SBP ", "(SBP)", "SBP 1 "])
def test_a_column_whose_name_has_no_end_is_not_used(audit, tmp_path, name):
    head = HEADER.rstrip("\n").split(",")
    table = ",".join([*head, name * (900_000 // len(name))]) + f"\n26-1,M1,{SWAPPED},1\n"
    began = time.monotonic()
    ran = audit(written(tmp_path, table))
    assert time.monotonic() - began < 20
    assert ran.status == DONE and counted(ran) == (1, 0, 0)
    assert {row["report"] for row in findings(ran.into)} == {"26-1"}
    assert len(ran.out) < 10_000


@pytest.mark.parametrize("form", ["csv", "xml", "fhir"])
def test_an_archive_is_given_up_at_the_bound_its_user_sets(audit, tmp_path, form):
    content = {
        "csv": HEADER + "".join(f"26-{n},M1,{SWAPPED}\n" for n in range(100_000)),
        "xml": document(*(standard(f"26-{n}") for n in range(300))),
        "fhir": "".join(observation(f"26-{n}") + "\n" for n in range(6_000)),
    }[form].encode()
    assert len(content) > 1 << 20
    week = written(tmp_path, gzip.compress(content, 1))
    ran = audit(week, "--most-unpacked", "1MB", "--quiet")
    assert ran.status == INPUT_FAILED
    assert "more than 1048576 bytes, the bound of --most-unpacked" in ran.err
    examined, _, _ = counted(ran)
    assert 100 < examined < 100_000 and len(findings(ran.into)) >= examined
    for enough in ("1GB", str(len(content))):
        assert audit(week, "--most-unpacked", enough, "--quiet").status == DONE


def test_a_bound_that_is_no_size_is_wrong_usage(audit, tmp_path):
    for wrong in ("much", "-1", "1 parsec", "1e99"):
        assert audit(written(tmp_path, HEADER), "--most-unpacked", wrong).status == WRONG_USAGE


# A gigabyte each takes some seconds; VITALPROOF_GIGABYTES=1 asks for it.
MEGABYTES = 1024 if os.environ.get("VITALPROOF_GIGABYTES") else 64


@pytest.mark.parametrize("place", ["quoted", "nul", "element", "attribute", "comment", "string"])
def test_a_value_of_any_size_costs_its_row_and_no_memory(program, tmp_path, place):
    plain = HEADER + f"26-1,M1,{SWAPPED}\n"
    xml = document(standard("26-1"), standard("26-2", "CUT"), standard("26-3"))
    before, after = {
        "quoted": (plain + '26-2,M1,72,118,"', f'"\n26-3,M1,{SWAPPED}\n'),
        "nul": (plain + "26-2,M1,72,118,", f"\n26-3,M1,{SWAPPED}\n"),
        "element": xml.replace("CUT", "<a>CUT</a>").split("CUT"),
        "attribute": xml.replace("CUT", '<a b="CUT"/>').split("CUT"),
        "comment": xml.replace("CUT", "<!--CUT-->").split("CUT"),
        "string": (
            observation("26-1") + "\n" + observation("26-2")[:-1] + ', "note": "',
            '"}\n' + observation("26-3") + "\n",
        ),
    }[place]
    piece = (b"\0" if place == "nul" else b"7") * (1 << 20)

    def feed(stream):
        stream.write(before.encode())
        for _ in range(MEGABYTES):
            stream.write(piece)
        stream.write(after.encode())

    began = time.monotonic()
    megabytes, account = peak_megabytes_of(program, tmp_path / "out", feed)
    # A report of the standard may be 64 MiB long, and is held as a whole.
    assert megabytes < (250 if place in ("element", "attribute", "comment") else 100)
    assert time.monotonic() - began < 20 + MEGABYTES / 10
    assert account["rows_examined"] >= 2 and account["rows_read"] == 3
    assert {"26-1", "26-3"} <= {row["report"] for row in findings(tmp_path / "out")}


# Names.

PATHS = ["../../../up", "/etc/up", "..\\up", "~/up", "%2e%2e/up", "a/../b", "con", ".", "up\0down"]
CONTROLS = [chr(c) for c in (*range(1, 9), *range(11, 13), *range(14, 32), 127, 0x85, 0x9B)]
BIDI = [chr(c) for c in (0x202A, 0x202B, 0x202D, 0x202E, 0x2066, 0x2067, 0x2068, 0x2069)]


def everything_under(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}


def test_no_identifier_is_a_path(audit, tmp_path):
    lines = "".join(f'"{name}","{name}",{SWAPPED}\n' for name in PATHS if "\0" not in name)
    (tmp_path / "deep" / "er").mkdir(parents=True)
    before = everything_under(tmp_path)
    week = written(tmp_path, HEADER + lines)
    ran = audit(week, into="deep/er/out")
    assert ran.status == DONE and len(findings(ran.into)) >= len(PATHS) - 1
    made = everything_under(tmp_path) - before - {"week.csv"}
    assert made == {"deep/er/out"} | {f"deep/er/out/{file.name}" for file in ran.into.iterdir()}


@pytest.mark.parametrize("into", ["", ".", "..", "/", "deep/..", "./", "deep//.."])
def test_a_folder_without_a_name_is_refused(program, tmp_path, into):
    (tmp_path / "deep").mkdir()
    week = written(tmp_path, HEADER)
    ran = subprocess.run(
        [program, "audit", week, "--into", into],
        capture_output=True,
        text=True,
        timeout=60,
        cwd=tmp_path / "deep",
    )
    assert ran.returncode == WRONG_USAGE and "--into" in ran.stderr
    assert everything_under(tmp_path) == {"deep", "week.csv"}


def test_a_link_to_a_folder_stays_a_link(audit, tmp_path):
    week = written(tmp_path, HEADER + f"26-1,M1,{SWAPPED}\n")
    place = tmp_path / "disk" / "audits"
    place.mkdir(parents=True)
    (tmp_path / "out").symlink_to(place)
    for _ in range(2):
        assert audit(week).status == DONE
        assert (tmp_path / "out").is_symlink() and (place / "audit.json").is_file()
    assert everything_under(tmp_path / "disk") >= {"audits/audit.json", "audits/findings.csv"}


def test_a_link_to_nothing_or_a_device_is_not_written_through(audit, tmp_path):
    week = written(tmp_path, HEADER)
    for target in (tmp_path / "nowhere" / "x", Path("/dev/null")):
        (tmp_path / "out").unlink(missing_ok=True)
        (tmp_path / "out").symlink_to(target)
        audit(week)
        assert not (tmp_path / "nowhere").exists()
        assert Path("/dev/null").is_char_device()


def shown(ran) -> str:
    return ran.out + ran.err


def require_harmless(text: str) -> None:
    """Nothing that moves a cursor, hides or turns text on a terminal."""
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", text)


@pytest.mark.parametrize("bad", CONTROLS + BIDI, ids=lambda c: f"{ord(c):04X}")
def test_control_and_direction_characters_in_identifiers_do_nothing(audit, tmp_path, bad):
    name = f"26{bad}[31m-1"
    device = f'"{name}","{name}"'
    lines = "".join(f'{device},{n},72,118,300,"{name}"\n' for n in range(3))
    header = "report,crew,incident,systolic,diastolic,pulse,device\n"
    ran = audit(written(tmp_path, header + lines))
    assert ran.status == DONE and counted(ran)[0] == 3
    require_harmless(shown(ran))
    table = (ran.into / "findings.csv").read_bytes().decode()
    require_harmless(table.replace("\r\n", "\n"))
    assert (ran.into / "findings.jsonl").read_bytes().isascii()
    for name in ("audit.json", "audit.html"):
        if (ran.into / name).exists():
            text = (ran.into / name).read_text(encoding="utf-8")
            assert not re.search("[\x00-\x08\x0b-\x1f\x7f]", text)


@pytest.mark.parametrize("bad", ["\x1b]0;owned\x07", "\x9b31m", "\u202e", "\r\x1b[2K", "\x7f"])
def test_headers_names_and_codes_do_nothing_to_a_terminal(program, tmp_path, bad):
    files = {
        f"{bad}.csv": f'report,"pul{bad}se",sys{bad}tolic,"x{bad}y"\n1,70,120,1\n',
        "long.csv": f'report,sign,value\n1,pulse,70\n1,"{bad}",80\n',
        "fhir.json": observation(bad, code={"coding": [{"system": bad, "code": bad}]}),
        "one.csv": f'report,pulse,"systolic"\n1,"{bad}",{bad}\n',
        "two.csv": f"re{bad}port,pulse\n1,70\n",
    }
    for name, text in files.items():
        week = tmp_path / name
        week.write_text(text, encoding="utf-8", newline="")
        for command in (["columns", week], ["audit", week, "--into", tmp_path / "out"]):
            ran = subprocess.run([program, *command], capture_output=True, timeout=60)
            said = (ran.stdout + ran.stderr).decode("utf-8")
            require_harmless(said)
