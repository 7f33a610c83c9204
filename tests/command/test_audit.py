"""The program as its user meets it: results, exit statuses, folders, pipes and signals."""

import contextlib
import csv
import json
import os
import re
import signal
import subprocess
import time

COLUMNS = [
    "report",
    "crew",
    "set",
    "taken_at",
    "check",
    "asks",
    "priority",
    "kind",
    "sign",
    "charted",
    "expected",
    "question",
    "fingerprint",
    "perhaps",
]

REPORTS = (
    "PCR,Crew,Time,Sys,Dia,Pulse,Temp F\n"
    "26-1,M1,2026-03-01T14:20:00Z,124,80,78,98.6\n"
    "26-1,M1,2026-03-01T14:32:00Z,72,118,80,98.6\n"
    "26-2,M2,2026-03-01T15:00:00Z,120,80,,\n"
)


def write(path, text):
    path.write_text(text, encoding="utf-8")
    return path


def rows(into, name):
    with (into / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_an_audit_writes_findings_lines_unread_rows_and_an_account(audit, tmp_path):
    ran = audit(write(tmp_path / "week.csv", REPORTS))
    assert ran.status == 0 and ran.err == ""
    # The page too, where Node was there to build it.
    names = {path.name for path in ran.into.iterdir()} - {"audit.html"}
    assert sorted(names) == [
        "audit.json",
        "findings.csv",
        "findings.jsonl",
        "unread.csv",
    ]
    found = rows(ran.into, "findings.csv")
    assert list(found[0]) == COLUMNS
    order = next(f for f in found if f["check"] == "pressure.order")
    assert (order["report"], order["crew"], order["set"]) == ("26-1", "M1", "2")
    assert order["taken_at"] == "2026-03-01T14:32:00+00:00"
    assert order["charted"] == "72 mmHg"
    assert order["question"].startswith("Set 2, 14:32: Systolic 72 mmHg is not above")
    text = (ran.into / "findings.jsonl").read_text(encoding="utf-8")
    lines = [json.loads(line) for line in text.splitlines()]
    assert [line["fingerprint"] for line in lines] == [f["fingerprint"] for f in found]
    line = next(line for line in lines if line["check"] == "pressure.order")
    assert line["place"] == {"file": str(tmp_path / "week.csv"), "line": 3}
    assert line["source"] and {e["sign"] for e in line["evidence"]} == {"systolic", "diastolic"}
    # Why a check asks is the same in every line, so it stands once, in the account.
    why = ran.account()["why"]
    assert set(why) == {f["check"] for f in found} and all(why.values())
    assert not any("why" in line for line in lines)


def test_the_account_adds_up(audit, tmp_path):
    account = audit(write(tmp_path / "week.csv", REPORTS)).account()
    assert account["schema"] == 1
    assert account["rows_read"] == 3
    assert account["rows_read"] == (
        account["rows_examined"] + account["rows_unread"] + account["rows_other"]
    )
    assert (account["reports"], account["sets"], account["readings"]) == (2, 3, 10)
    assert (account["sets_rejected"], account["sets_queried"]) == (1, 0)
    assert sum(account["by_check"].values()) == sum(account["findings"].values())
    assert account["by_crew"]["M1"] == {"sets": 2, "sets_rejected": 1, "sets_queried": 0}
    assert len(account["inputs"][0]["xxh3_128"]) == 32


def test_the_summary_is_for_a_person(audit, tmp_path):
    out = audit(write(tmp_path / "week.csv", REPORTS)).out
    assert "3 rows read = 3 examined + 0 unread + 0 other" in out
    assert "Unit not stated, assumed: Sys in mmHg, Dia in mmHg" in out
    assert "Signs without a column: mean pressure" in out
    assert "not a medical device" in out
    assert "\x1b" not in out  # colour is for terminals


def test_columns_are_explained_one_by_one(program, tmp_path):
    week = write(tmp_path / "week.csv", REPORTS)
    ran = subprocess.run([program, "columns", week], capture_output=True, text=True, timeout=60)
    assert ran.returncode == 0
    lines = [re.split(r"  +", line.strip()) for line in ran.stdout.splitlines()]
    assert ["header", "read as", "examples"] in lines
    assert ["1", "PCR", "report identifier"] in lines
    assert ["Sys", "systolic in mmHg (not stated, assumed)"] in [line[1:3] for line in lines]
    assert "temperature in °F " in ran.stdout
    assert "pulse in /min" in ran.stdout


def test_the_same_input_gives_the_same_bytes(audit, tmp_path):
    week = write(tmp_path / "week.csv", REPORTS)
    first = audit(week, "--as-of", "2026-04-01T12:00Z", into="a")
    second = audit(week, "--as-of", "2026-04-01T12:00Z", into="b")
    for name in [path.name for path in first.into.iterdir()]:
        assert (first.into / name).read_bytes() == (second.into / name).read_bytes(), name
    assert first.account()["as_of"] == "2026-04-01T12:00:00+00:00"


def test_a_fingerprint_outlives_unit_row_and_limits(audit, tmp_path):
    def marks(text, *options, into):
        ran = audit(write(tmp_path / f"{into}.csv", text), *options, into=into)
        return {
            f["fingerprint"]
            for f in rows(ran.into, "findings.csv")
            if f["check"] == "unit.temperature_fahrenheit"
        }

    plain = marks("report,time,temp C\na,2026-03-01T10:00Z,98.6\n", into="plain")
    moved = marks(
        "report,time,crew,temp C\nz,,,37\na,2026-03-01T12:00+02:00,M1,98.60\n", into="moved"
    )
    limits = write(
        tmp_path / "l.toml", 'schema = 1\n[unit.temperature_fahrenheit]\nhigh = "111 °C"\n'
    )
    limited = marks(
        "report,time,temp C\na,2026-03-01T10:00Z,98.6\n", "--limits", limits, into="limited"
    )
    other = marks("report,time,temp C\na,2026-03-01T10:00Z,98.7\n", into="other")
    assert len(plain) == 1 and plain == moved == limited
    assert plain != other


def test_words_that_say_why_nothing_was_charted_are_answers(audit, tmp_path):
    ran = audit(
        write(
            tmp_path / "shift.csv",
            "report,time,systolic,diastolic,pulse,glucose\n"
            "a,03:12,UTO,unable to obtain,80,not obtained\n"
            "a,26:07,110/P,,none,90\n",
        )
    )
    found = rows(ran.into, "findings.csv")
    # "none" may mean that no pulse was felt, so it is asked about and not taken for a blank.
    assert [(f["check"], f["charted"], f["taken_at"]) for f in found] == [
        ("unreadable.pulse", "none", "26:07")
    ]
    assert 'Set 2, 26:07: The pulse holds "none", which' in found[0]["question"]
    assert ran.account()["readings"] == 4


def test_a_text_that_is_not_shown_is_not_in_quotes(audit, tmp_path):
    ran = audit(write(tmp_path / "shift.csv", "report,pulse\na,Fictitious\n"))
    assert (
        "The pulse holds text of 10 characters, which"
        in (rows(ran.into, "findings.csv")[0]["question"])
    )


def test_what_stops_a_file_is_said_in_sentences(audit, tmp_path):
    ran = audit(write(tmp_path / "shift.csv", "case name,systolic\na,120\n"))
    assert ran.status == 3
    assert '"systolic". Name the column with the report identifier "report".\n' in ran.err
    assert "No vital sign was read, so nothing was examined." in ran.out


def test_fail_on_sets_the_exit_status(audit, tmp_path):
    week = write(tmp_path / "week.csv", REPORTS)
    clean = write(tmp_path / "clean.csv", "report,systolic,diastolic\na,124,80\n")
    queried = write(tmp_path / "queried.csv", "report,systolic,diastolic\na,240,90\n")
    assert audit(week, "--fail-on", "reject", into="a").status == 1
    assert audit(clean, "--fail-on", "notice", into="b").status == 0
    assert audit(queried, "--fail-on", "reject", into="c").status == 0
    assert audit(queried, "--fail-on", "query", "--without", "clinical", into="d").status == 1


def test_a_missing_file_does_not_stop_the_others(audit, tmp_path):
    week = write(tmp_path / "week.csv", REPORTS)
    ran = audit(tmp_path / "none.csv", week)
    assert ran.status == 3
    assert "none.csv" in ran.err
    assert ran.account()["rows_read"] == 3
    assert "error" in ran.account()["inputs"][0]


def test_only_an_earlier_audit_is_replaced(audit, tmp_path):
    week = write(tmp_path / "week.csv", REPORTS)
    first = audit(week)
    assert audit(week).status == 0
    write(first.into / "notes.txt", "mine")
    ran = audit(week)
    assert ran.status == 2 and "notes.txt" in ran.err
    assert (first.into / "notes.txt").read_text() == "mine"
    write(tmp_path / "a-file", "")
    assert audit(week, into="a-file").status == 2
    assert not [path for path in tmp_path.iterdir() if "unfinished" in path.name]


def test_usage_errors_are_2_and_help_has_examples(program):
    def run(*arguments):
        return subprocess.run([program, *arguments], capture_output=True, text=True, timeout=60)

    assert run().returncode == 2
    assert run("audit").returncode == 2
    assert run("audit", "x.csv", "--into", "y", "--fail-on", "maybe").returncode == 2
    assert run("checks", "pressure.ordr").returncode == 2
    for command in (
        ["--help"],
        ["audit", "--help"],
        ["checks", "--help"],
        ["limits", "--help"],
        ["columns", "--help"],
    ):
        shown = run(*command)
        assert shown.returncode == 0 and "Example" in shown.stdout
    assert "vitalproof 0." in run("--version").stdout


def test_a_check_explains_itself_with_its_source(program):
    ran = subprocess.run(
        [program, "checks", "unit.glucose"], capture_output=True, text=True, timeout=60
    )
    assert ran.returncode == 0
    assert "180.156 g/mol (UCUM)" in ran.stdout and "low = 2 mg/dL" in ran.stdout


def test_an_output_that_cannot_be_written_is_4(audit, tmp_path):
    week = write(tmp_path / "week.csv", REPORTS)
    ran = audit(week, into="/proc/none/out")
    assert ran.status == 4 and "could not be written" in ran.err


def test_a_reader_that_goes_away_is_not_an_error(program):
    command = f"set -o pipefail; '{program}' checks | head -n 1"
    ran = subprocess.run(["bash", "-c", command], capture_output=True, text=True, timeout=60)
    assert ran.returncode == 0 and ran.stderr == ""
    assert ran.stdout.startswith("impossible.systolic")


def test_an_interrupt_leaves_a_clean_partial_account(program, tmp_path):
    """A pipe that stays open stands for a long file; the signal arrives while it is read."""
    pipe = tmp_path / "endless.csv"
    os.mkfifo(pipe)
    process = subprocess.Popen(
        [program, "audit", pipe, "--into", tmp_path / "out"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    # The program may be gone before the last rows, at the latest when the pipe is closed.
    with contextlib.suppress(BrokenPipeError), pipe.open("w", encoding="utf-8") as stream:
        stream.write("report,systolic,diastolic\n")
        for row in range(200_000):
            stream.write(f"{row},72,118\n")
        stream.flush()
        process.send_signal(signal.SIGINT)
        time.sleep(0.2)
        stream.write("x,1,2\n" * 10)
    _, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Interrupted" in err
    account = json.loads((tmp_path / "out" / "audit.json").read_text())
    assert account["interrupted"] is True
    assert 0 < account["rows_read"] <= 200_010
    assert account["by_check"]["pressure.order"] == account["rows_examined"]
