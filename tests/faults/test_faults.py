"""What a machine does to a program: full disks, signals, files that go or change under it.

Real signals and real small file systems: where mounting is not permitted, those tests skip.
"""

import contextlib
import gzip
import json
import os
import resource
import shutil
import signal
import stat
import subprocess
import threading
import time
from pathlib import Path

import pytest
from standard_reports import document, report, vitals
from support import rows_of, written

HEADER = "report,crew,systolic,diastolic,pulse\n"
DONE, INPUT_FAILED, OUTPUT_FAILED, INTERRUPTED = 0, 3, 4, 130
FILES = ["audit.html", "audit.json", "findings.csv", "findings.jsonl", "unread.csv"]


def rows(count: int, first: int = 0) -> str:
    """Reports of one set each, all of them with a finding."""
    return "".join(f"26-{n},M{n % 7},72,118,{60 + n % 90}\n" for n in range(first, first + count))


def is_whole(into: Path) -> bool:
    """An audit's folder: every file, each to its end."""
    account = json.loads((into / "audit.json").read_text(encoding="utf-8"))
    lines = (into / "findings.jsonl").read_bytes()
    page = into / "audit.html"
    return (
        sorted(file.name for file in into.iterdir())
        == [f for f in FILES if f != page.name or page.exists()]
        and lines.endswith(b"}\n")
        and len(rows_of(into / "unread.csv")) == account["rows_unread"]
        and (not page.exists() or page.read_bytes().rstrip().endswith(b"</html>"))
    )


def leftovers(folder: Path) -> list[Path]:
    return [path for path in folder.iterdir() if ".unfinished-" in path.name]


def until(holds, seconds: float = 30):
    """Waits for something to hold, and fails where it does not in time."""
    end = time.monotonic() + seconds
    while not (value := holds()):
        assert time.monotonic() < end, "waited too long"
        time.sleep(0.005)
    return value


def waits_for_input(pid: int) -> bool:
    """Whether every thread of a process sleeps, and still does a little later."""

    def all_asleep() -> bool:
        states = [file.read_text().rpartition(") ")[2][0] for file in tasks.glob("*/stat")]
        return bool(states) and set(states) == {"S"}

    tasks = Path(f"/proc/{pid}/task")
    if not all_asleep():
        return False
    time.sleep(0.1)
    return all_asleep()


class Running:
    """The program, at work on a named pipe whose writer is the test."""

    def __init__(self, program: Path, folder: Path, *options: str, into: str = "out") -> None:
        self.pipe = folder / f"{into}.csv"
        os.mkfifo(self.pipe)
        self.process = subprocess.Popen(
            [program, "audit", self.pipe, "--into", folder / into, *options],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.stream = None

    def feed(self, text: str) -> None:
        self.stream = self.stream or self.pipe.open("w", encoding="utf-8")
        self.stream.write(text)
        self.stream.flush()

    def working_folder(self) -> Path:
        folder = self.pipe.parent
        name = f"{self.pipe.stem}.unfinished-{self.process.pid}"
        return until(lambda: next((p for p in leftovers(folder) if p.name == name), None))

    def close(self) -> None:
        if self.stream is not None:
            with contextlib.suppress(BrokenPipeError):
                self.stream.close()

    def end(self) -> tuple[int, str, str]:
        """Closes its input; how it ended, and what it said."""
        self.close()
        out, err = self.process.communicate(timeout=60)
        return self.process.returncode, out, err


@pytest.fixture
def running(program, tmp_path):
    """Starts the program on a named pipe, and sees to it that it ends with the test."""
    started: list[Running] = []

    def start(*options: str, into: str = "out") -> Running:
        started.append(Running(program, tmp_path, *options, into=into))
        return started[-1]

    yield start
    for one in started:
        one.close()
        one.process.kill()
        one.process.communicate()


# Signals.


@pytest.mark.parametrize("threads", ["1", "2"])
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_signal_ends_a_wait_for_input_with_an_account(running, tmp_path, sent, threads):
    """Nothing more comes through the pipe, and nobody closes it: the signal alone must do."""
    audit = running("--threads", threads)
    audit.feed(HEADER + rows(20_000))
    findings = audit.working_folder() / "findings.csv"
    until(lambda: findings.stat().st_size > 0)
    until(lambda: waits_for_input(audit.process.pid))
    audit.process.send_signal(sent)
    out, err = audit.process.communicate(timeout=10)
    assert audit.process.returncode == INTERRUPTED
    assert "Interrupted: what had been read was examined and written." in err
    assert "examined" in out
    into = tmp_path / "out"
    account = json.loads((into / "audit.json").read_text(encoding="utf-8"))
    assert account["interrupted"] is True
    counted = [account[f"rows_{part}"] for part in ("examined", "unread", "other")]
    assert account["rows_read"] == sum(counted) > 0
    assert account["by_check"]["pressure.order"] == account["rows_examined"]
    assert is_whole(into) and not leftovers(tmp_path)
    if (into / "audit.html").exists():
        assert '"interrupted":true' in (into / "audit.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("command", ["audit", "columns"])
def test_a_signal_ends_the_wait_for_the_writer_of_a_pipe(program, tmp_path, command):
    pipe = tmp_path / "nobody.csv"
    os.mkfifo(pipe)
    options = ["--into", tmp_path / "out"] if command == "audit" else []
    process = subprocess.Popen(
        [program, command, pipe, *options], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    until(lambda: waits_for_input(process.pid))
    process.send_signal(signal.SIGINT)
    process.communicate(timeout=10)
    assert process.returncode == INTERRUPTED


def test_standard_input_that_stalls_can_be_interrupted(program, tmp_path):
    process = subprocess.Popen(
        [program, "columns", "-"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    process.stdin.write(HEADER.encode() + rows(10).encode())
    process.stdin.flush()
    until(lambda: waits_for_input(process.pid))
    process.send_signal(signal.SIGINT)
    process.communicate(timeout=10)
    assert process.returncode == INTERRUPTED


def test_a_kill_leaves_nothing_that_looks_whole_and_the_next_audit_sweeps(running, audit, tmp_path):
    killed = running()
    killed.feed(HEADER + rows(50_000))
    working = killed.working_folder()
    until(lambda: (working / "findings.csv").stat().st_size > 0)
    killed.process.kill()
    killed.process.wait()
    assert not (tmp_path / "out").exists()
    assert leftovers(tmp_path) == [working]
    assert stat.S_IMODE(working.stat().st_mode) == 0o700
    assert {stat.S_IMODE(file.stat().st_mode) for file in working.iterdir()} == {0o600}
    assert not (working / "audit.json").exists()  # what makes a folder an audit
    ran = audit(written(tmp_path, HEADER + rows(3)))
    assert ran.status == DONE and is_whole(ran.into)
    assert not leftovers(tmp_path)


def test_what_is_at_work_or_none_of_ours_is_never_swept(running, audit, tmp_path):
    other = running()
    other.feed(HEADER + rows(10))
    working = other.working_folder()
    kept = [tmp_path / "out.unfinished-x", tmp_path / "out.unfinished-999999999"]
    for folder in kept:
        folder.mkdir()
    (kept[1] / "thesis.txt").write_text("mine", encoding="utf-8")
    assert audit(written(tmp_path, HEADER + rows(3))).status == DONE
    assert sorted(leftovers(tmp_path)) == sorted([working, *kept])
    assert other.end()[0] == DONE
    assert is_whole(tmp_path / "out") and sorted(leftovers(tmp_path)) == sorted(kept)


def test_a_kill_at_any_moment_leaves_the_earlier_audit_or_the_new_one(program, audit, tmp_path):
    week = written(tmp_path, HEADER + rows(4_000))
    into = audit(week, "--as-of", "2026-04-01T12:00Z").into
    command = [program, "audit", week, "--into", into, "--quiet", "--as-of", "2026-04-01T12:00Z"]
    began = time.monotonic()
    subprocess.run(command, check=True, timeout=60)
    takes = time.monotonic() - began
    killed = 0
    for part in range(20):
        process = subprocess.Popen(command)
        time.sleep(takes * (part + 1) / 18)
        process.kill()
        killed += process.wait() != 0
        assert is_whole(into), f"killed after {part + 1}/18 of its time"
    assert killed >= 5
    assert audit(week).status == DONE and not leftovers(tmp_path)


# Outputs.


def test_a_reader_of_the_summary_that_goes_away_costs_no_audit(program, tmp_path):
    week = written(tmp_path, HEADER + rows(100))
    process = subprocess.Popen(
        [program, "audit", week, "--into", tmp_path / "out"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    process.stdout.close()
    assert process.wait(timeout=60) == DONE and process.stderr.read() == b""
    process.stderr.close()
    assert is_whole(tmp_path / "out")


def test_a_summary_that_cannot_be_written_is_4_and_the_audit_stands(program, tmp_path):
    week = written(tmp_path, HEADER + rows(100))
    with Path("/dev/full").open("w", encoding="ascii") as full:
        ran = subprocess.run(
            [program, "audit", week, "--into", tmp_path / "out"], stdout=full, timeout=60
        )
    assert ran.returncode == OUTPUT_FAILED and is_whole(tmp_path / "out")


@pytest.mark.parametrize("gone", ["folder", "name", "file"])
def test_an_output_that_vanishes_is_4_and_leaves_nothing(running, tmp_path, gone):
    audit = running()
    audit.feed(HEADER + rows(20_000))
    working = audit.working_folder()
    until(lambda: (working / "findings.csv").stat().st_size > 0)
    if gone == "file":
        (working / "findings.csv").unlink()
    elif gone == "folder":
        shutil.rmtree(working)
    else:
        working.rename(tmp_path / "elsewhere")
    audit.feed(rows(20_000, 20_000))
    status, _, err = audit.end()
    assert status == OUTPUT_FAILED
    assert "could not be written" in err and "run the audit again" in err
    assert not (tmp_path / "out").exists() and not leftovers(tmp_path)


IN_A_FILE_SYSTEM = """
mount -t tmpfs -o "$1" none "$2" || exit 99
shift 2
"$@"
status=$?
echo "left: $(find "$PLACE" -mindepth 1 -printf '%P ')"
exit $status
"""


def in_a_file_system(command: list, place: Path, options: str) -> tuple[int, str, str]:
    """Runs a command with a small file system of its own at a place: how it ended, what it said,
    and what it left there."""
    alone = ["unshare", "--mount"] + ([] if os.geteuid() == 0 else ["--user", "--map-root-user"])
    place.mkdir(exist_ok=True)
    ran = subprocess.run(
        [*alone, "bash", "-c", IN_A_FILE_SYSTEM, "-", options, place, *command],
        capture_output=True,
        text=True,
        timeout=120,
        env=os.environ | {"PLACE": str(place)},
    )
    if ran.returncode == 99 or "unshare" in ran.stderr:
        pytest.skip("needs the right to mount a small file system")
    said, _, left = ran.stdout.rpartition("left: ")
    return ran.returncode, said + ran.stderr, left.strip()


@pytest.mark.parametrize("threads", ["1", "2"])
@pytest.mark.parametrize("room", ["4k", "64k", "400k", "1m", "2m"])
def test_a_full_disk_is_4_with_a_remedy_and_leaves_nothing(program, tmp_path, room, threads):
    """Full at another file each time: the table, the lines, the page."""
    week = written(tmp_path, HEADER + rows(3_000))
    small = tmp_path / "small"
    command = [program, "audit", week, "--into", small / "out", "--threads", threads]
    status, said, left = in_a_file_system(command, small, f"size={room}")
    assert status == OUTPUT_FAILED
    assert "No space left on device. Free some space and run the audit again" in said
    assert left == ""


def test_a_full_disk_leaves_the_earlier_audit_as_it_was(program, tmp_path):
    few = written(tmp_path, HEADER + rows(3), "few.csv")
    many = written(tmp_path, HEADER + rows(3_000), "many.csv")
    small = tmp_path / "small"
    script = """
    "$0" audit "$1" --into "$3/out" --quiet || exit 98
    before=$(cd "$3/out" && sha256sum *)
    "$0" audit "$2" --into "$3/out" --quiet
    status=$?
    [ "$before" = "$(cd "$3/out" && sha256sum *)" ] && echo "as it was"
    exit $status
    """
    command = ["bash", "-c", script, program, few, many, small]
    status, said, left = in_a_file_system(command, small, "size=1m")
    assert status == OUTPUT_FAILED and "as it was" in said
    assert "unfinished" not in left


def test_a_file_system_for_reading_alone_is_4_with_a_remedy(program, tmp_path):
    week = written(tmp_path, HEADER + rows(3))
    small = tmp_path / "small"
    for into in ("out", "deep/out"):
        command = [program, "audit", week, "--into", small / into]
        status, said, left = in_a_file_system(command, small, "ro")
        assert status == OUTPUT_FAILED and left == ""
        assert "Read-only file system. Choose a folder you may write to" in said


def test_files_that_may_not_grow_are_4(program, tmp_path):
    if b"ThreadSanitizer" in program.read_bytes():
        pytest.skip("the thread sanitizer writes a file of its own before the program starts")
    week = written(tmp_path, HEADER + rows(5_000))
    for most in (0, 1, 5_000, 200_000):
        ran = subprocess.run(
            [program, "audit", week, "--into", tmp_path / "out"],
            capture_output=True,
            text=True,
            timeout=60,
            preexec_fn=lambda most=most: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most)),
        )
        assert ran.returncode == OUTPUT_FAILED and "could not be written" in ran.stderr
        assert not (tmp_path / "out").exists() and not leftovers(tmp_path)


def test_too_little_memory_is_said_and_leaves_nothing(program, tmp_path):
    """From a limit under which it cannot start to one that suffices."""
    if b"AddressSanitizer" in program.read_bytes() or b"ThreadSanitizer" in program.read_bytes():
        pytest.skip("a sanitizer needs more room than any of these limits")
    week = written(tmp_path, HEADER + rows(20_000))
    ends = []
    for megabytes in (30, 34, 38, 42, 46, 50, 60, 70, 90, 120, 400):
        most = megabytes << 20
        into = tmp_path / f"out-{megabytes}"  # by its threads' chances it may fail where less did
        ran = subprocess.run(
            [program, "audit", week, "--into", into, "--threads", "2"],
            capture_output=True,
            text=True,
            timeout=60,
            preexec_fn=lambda most=most: resource.setrlimit(resource.RLIMIT_AS, (most, most)),
        )
        ends.append(ran.returncode)
        assert ran.returncode in (DONE, OUTPUT_FAILED, 127), (megabytes, ran.stderr)
        if ran.returncode == OUTPUT_FAILED:
            assert "Nothing was written" in ran.stderr
        assert into.exists() == (ran.returncode == DONE)
        assert not leftovers(tmp_path)
    assert OUTPUT_FAILED in ends and ends[-1] == DONE


# Inputs that end too soon, or change.


def observation(n: int) -> str:
    code = {"coding": [{"system": "http://loinc.org", "code": "8867-4"}]}
    value = {"value": 300, "code": "/min", "system": "http://unitsofmeasure.org"}
    return json.dumps(
        {
            "resourceType": "Observation",
            "id": f"o{n}",
            "status": "final",
            "code": code,
            "encounter": {"reference": f"Encounter/26-{n}"},
            "effectiveDateTime": "2026-03-01T10:00:00Z",
            "valueQuantity": value,
        }
    )


def bundle(count: int) -> str:
    entries = ",\n".join(f'{{"resource": {observation(n)}}}' for n in range(count))
    return f'{{"resourceType": "Bundle", "type": "collection", "entry": [\n{entries}\n]}}\n'


SWAPPED = vitals("14:00:00", systolic="72", diastolic="118")
FORMS = {
    "csv": HEADER + rows(40),
    "xml": document(*(report(f"26-{n}", [SWAPPED]) for n in range(6))),
    "bundle": bundle(12),
    "lines": "".join(observation(n) + "\n" for n in range(12)),
}


def asked(ran) -> set[tuple[str, str, str, str]]:
    table = rows_of(ran.into / "findings.csv")
    return {(row["report"], row["check"], row["sign"], row["charted"]) for row in table}


@pytest.mark.parametrize("packed", [False, True], ids=["plain", "gzip"])
@pytest.mark.parametrize("form", FORMS)
def test_an_input_cut_anywhere_says_so_and_invents_nothing(audit, tmp_path, form, packed):
    whole = FORMS[form].encode()
    whole = gzip.compress(whole, mtime=0) if packed else whole
    quiet = ("--quiet", "--as-of", "2026-04-01T12:00Z")
    all_asked = asked(audit(written(tmp_path, whole), *quiet))
    assert len(all_asked) >= 6
    for part in range(1, 10):
        cut = audit(written(tmp_path, whole[: len(whole) * part // 10]), *quiet)
        account = cut.account()
        counted = [account[f"rows_{name}"] for name in ("examined", "unread", "other")]
        assert account["rows_read"] == sum(counted)
        if packed or form in ("xml", "bundle"):
            assert cut.status == INPUT_FAILED and account["inputs"][0]["error"]
        # A table may be cut within a number; what came before that row stands.
        last = f"26-{account['rows_read'] - 1}" if form == "csv" else None
        assert {a for a in asked(cut) if a[0] != last} <= all_asked


def place_in(process: subprocess.Popen, file: Path) -> int | None:
    """How far the process has read the file; nothing where it does not have it open."""
    with contextlib.suppress(OSError):
        for descriptor in Path(f"/proc/{process.pid}/fd").iterdir():
            if descriptor.readlink() == file:
                said = Path(f"/proc/{process.pid}/fdinfo/{descriptor.name}").read_text()
                return int(said.split("pos:")[1].split()[0])
    return None


def caught_while_reading(program: Path, week: Path, into: Path, change) -> tuple[int, str]:
    """Stops the program while it reads the file, changes the file, and lets it go on."""
    for _ in range(50):  # on a busy machine it has read the file before it can be stopped
        process = subprocess.Popen(
            [program, "audit", week, "--into", into, "--quiet"], stderr=subprocess.PIPE, text=True
        )
        while process.poll() is None and not place_in(process, week):
            pass
        process.send_signal(signal.SIGSTOP)
        os.waitid(os.P_PID, process.pid, os.WSTOPPED | os.WEXITED | os.WNOWAIT)
        place = place_in(process, week)
        if place and place < week.stat().st_size:
            change()
            process.send_signal(signal.SIGCONT)
            _, err = process.communicate(timeout=120)
            return process.returncode, err
        process.kill()
        process.communicate()
        shutil.rmtree(into, ignore_errors=True)
    raise AssertionError("the program was never caught while it read")


def long_file(tmp_path: Path) -> Path:
    """Rows, and in their midst a hole that takes a while to read."""
    week = written(tmp_path, HEADER + rows(100))
    with week.open("r+b") as file:
        file.seek(200 << 20, os.SEEK_END)
        file.write(b"\n" + rows(100, 100).encode())
    return week


def append(week: Path) -> None:
    with week.open("ab") as file:
        file.write(b"26-late,M1,72,118,70\n26-half,M1,72,11")


@pytest.mark.parametrize(
    "change",
    [append, lambda week: os.truncate(week, 150 << 20), lambda week: os.utime(week)],
    ids=["grows", "shrinks", "rewritten"],
)
def test_a_file_that_is_written_to_while_it_is_read_is_named(program, tmp_path, change):
    week = long_file(tmp_path)
    into = tmp_path / "out"
    status, err = caught_while_reading(program, week, into, lambda: change(week))
    assert status == INPUT_FAILED
    assert str(week) in err and "written to while it was read" in err and "read it again" in err
    account = json.loads((into / "audit.json").read_text(encoding="utf-8"))
    assert account["rows_examined"] in (100, 200) and account["rows_unread"] == 1
    reports = {row["report"] for row in rows_of(into / "findings.csv")}
    assert "26-0" in reports and not reports & {"26-late", "26-half"}


def test_a_file_that_is_replaced_while_it_is_read_is_read_as_it_was(program, tmp_path):
    week = long_file(tmp_path)
    other = written(tmp_path, HEADER + "26-other,M1,72,118,70\n", "other.csv")
    into = tmp_path / "out"
    status, err = caught_while_reading(program, week, into, lambda: other.rename(week))
    assert status == DONE and err == ""
    assert json.loads((into / "audit.json").read_text(encoding="utf-8"))["rows_examined"] == 200


def test_a_file_without_end_ends(program, tmp_path):
    """Somebody writes to it as long as it is read: what it held at the start is audited."""
    week = written(tmp_path, HEADER + rows(100_000))
    done = threading.Event()

    def write() -> None:
        with week.open("ab") as file:
            while not done.is_set():
                file.write(rows(1_000, 200_000).encode())

    writer = threading.Thread(target=write)
    writer.start()
    try:
        ran = subprocess.run(
            [program, "audit", week, "--into", tmp_path / "out"],
            capture_output=True,
            text=True,
            timeout=60,
        )
    finally:
        done.set()
        writer.join()
    assert ran.returncode == INPUT_FAILED and "written to while it was read" in ran.stderr
    assert is_whole(tmp_path / "out")
