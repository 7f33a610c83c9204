"""Files as agencies hold them: packed, piped, in other encodings and with other delimiters."""

import csv
import gzip
import json
import subprocess

import pytest
from support import findings, written

# One report that stands and one whose pressures are the wrong way round.
REPORTS = "report,crew,systolic,diastolic,temp\n26-1,Zoë,124,80,36.8\n26-2,Müller,72,118,36.9\n"
EUROPEAN = REPORTS.replace(",", ";").replace("36.", "36,")
DECIMAL = "36,8 is read as 36.8"

# The same two reports, and what the program says that it assumed.
FORMS = {
    "plain": (REPORTS.encode(), []),
    "marked": (REPORTS.encode("utf-8-sig"), []),
    "gzip": (gzip.compress(REPORTS.encode()), []),
    "gzip_in_parts": (b"".join(gzip.compress(p.encode()) for p in REPORTS.partition("80")), []),
    "utf_16": (REPORTS.encode("utf-16"), ["UTF-16"]),
    "utf_16_without_mark": (REPORTS.encode("utf-16-be"), ["UTF-16"]),
    "windows_1252": (REPORTS.encode("cp1252"), ["Windows-1252"]),
    "semicolons": (EUROPEAN.encode("cp1252"), ["Windows-1252", "semicolon", DECIMAL]),
    "tabs": (EUROPEAN.replace(";", "\t").encode("utf-16"), ["UTF-16", "tab", DECIMAL]),
    "bars": (gzip.compress(EUROPEAN.replace(";", "|").encode()), ["vertical bar", DECIMAL]),
    "trailing_delimiters": (EUROPEAN.replace("\n", ";;\n").encode(), ["semicolon", DECIMAL]),
}
ALL_SAID = {word for _, said in FORMS.values() for word in said}


def audit_piped(program, folder, content, *files):
    return subprocess.run(
        [program, "audit", *(files or ("-",)), "--into", folder / "out"],
        input=content,
        capture_output=True,
        timeout=60,
    )


@pytest.mark.parametrize("form", FORMS)
def test_a_form_changes_nothing_that_is_found(audit, tmp_path, form):
    content, said = FORMS[form]
    ran = audit(written(tmp_path, content))
    assert ran.status == 0 and ran.err == ""
    assert ran.account()["rows_examined"] == 2
    plain = audit(written(tmp_path, REPORTS.encode(), "plain.csv"), into="plain")
    assert findings(ran.into) == findings(plain.into)
    assert {f["crew"] for f in findings(ran.into)} == {"Müller"}
    above, _, _ = ran.out.partition("rows read")
    assert {word for word in ALL_SAID if word in above} == set(said)


@pytest.mark.parametrize("form", FORMS)
def test_columns_shows_what_was_assumed(program, tmp_path, form):
    content, said = FORMS[form]
    ran = subprocess.run(
        [program, "columns", written(tmp_path, content)], capture_output=True, timeout=60
    )
    assert ran.returncode == 0 and ran.stderr == b""
    shown = ran.stdout.decode()
    assert "systolic in mmHg" in shown
    for word in said:
        assert word in shown


def test_standard_input_is_read_and_called_by_one_name(program, tmp_path):
    content = REPORTS + ",M1,120,80,36.8\n"
    ran = audit_piped(program, tmp_path, content.encode())
    assert ran.returncode == 0 and ran.stderr == b""
    assert ran.stdout.decode().startswith("standard input\n")
    into = tmp_path / "out"
    account = json.loads((into / "audit.json").read_text(encoding="utf-8"))
    assert [file["file"] for file in account["inputs"]] == ["standard input"]
    with (into / "unread.csv").open(encoding="utf-8", newline="") as file:
        assert [row["file"] for row in csv.DictReader(file)] == ["standard input"]
    lines = (into / "findings.jsonl").read_text(encoding="utf-8").splitlines()
    assert {json.loads(line)["place"]["file"] for line in lines} == {"standard input"}


def test_standard_input_may_stand_among_files(program, tmp_path):
    week = written(tmp_path, REPORTS.encode())
    ran = audit_piped(program, tmp_path, FORMS["bars"][0], week, "-")
    assert ran.returncode == 0
    account = json.loads((tmp_path / "out" / "audit.json").read_text(encoding="utf-8"))
    assert [file["file"] for file in account["inputs"]] == [str(week), "standard input"]
    assert account["rows_examined"] == 4


@pytest.mark.parametrize("command", ["audit", "columns"])
def test_standard_input_can_be_named_once_only(program, tmp_path, command):
    more = ["--into", tmp_path / "out"] if command == "audit" else []
    ran = subprocess.run(
        [program, command, "-", "-", *more], input=b"", capture_output=True, timeout=60
    )
    assert ran.returncode == 2
    assert b"twice" in ran.stderr
    assert not (tmp_path / "out").exists()


def test_standard_input_that_is_closed_or_a_folder_is_named(program, tmp_path):
    for stdin, word in (("<&-", "cannot be opened"), (f"< {tmp_path}", "folder")):
        ran = subprocess.run(
            ["sh", "-c", f'"$0" columns - {stdin}', program], capture_output=True, text=True
        )
        assert ran.returncode == 3
        assert "standard input" in ran.stderr and word in ran.stderr


def test_a_file_named_like_standard_input_is_still_a_file(audit, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    written(tmp_path, REPORTS.encode(), "-")
    assert audit("./-").account()["inputs"][0]["file"] == "./-"


CELLS = {
    "98%": ("saturation", None),
    "HI": ("glucose", None),
    "LO": ("glucose", None),
    ">600": ("glucose", None),
    "5.4 mmol/L": ("glucose", None),
    "N/A": ("glucose", None),
    "refused": ("glucose", None),
    "unable": ("glucose", None),
    "1,200": ("glucose", None),
    "\u00a098\u3000": ("saturation", None),
    "12O": ("pulse", "12O"),
    "120/": ("systolic", "120/"),
    "36,8": ("temperature", "36,8"),  # in a file with commas this could be anything
    "#N/A": ("glucose", "#N/A"),
    "#DIV/0!": ("glucose", "#DIV/0!"),
    "#REF!": ("glucose", "#REF!"),
    "#VALUE!": ("glucose", "#VALUE!"),
    "#NULL!": ("glucose", "#NULL!"),
    "#NAME?": ("glucose", "#NAME?"),
    "#NUM!": ("glucose", "#NUM!"),
    "#name": ("glucose", "text of 5 characters"),  # not one of these errors, so it may be anything
}


@pytest.mark.parametrize("text", CELLS)
def test_what_stands_in_cells_is_read_or_asked_about(audit, tmp_path, text):
    sign, charted = CELLS[text]
    ran = audit(written(tmp_path, f'report,{sign}\n1,"{text}"\n'.encode()))
    assert ran.account()["rows_examined"] == 1
    asked = [f for f in findings(ran.into) if f["check"] == f"unreadable.{sign}"]
    assert [f["charted"] for f in asked] == ([charted] if charted else [])
    error = text in ("#N/A", "#DIV/0!", "#REF!", "#VALUE!", "#NULL!", "#NAME?", "#NUM!")
    assert all(
        (f'holds "{text}" (the spreadsheet shows an error), which' in f["question"]) == error
        for f in asked
    )
