"""What cannot be read: how the program ends, what it says, and that every row is accounted for."""

import contextlib
import gzip
import io
import json
import os
import random
import string
import subprocess
import threading
import time

import pytest
from support import rows_of, written

GOOD = "report,systolic,diastolic,pulse\n1,120,80,70\n1,118,78,72\n2,130,85,80\n"

SIGNS = {
    "systolic": "120",
    "diastolic": "80",
    "mean_pressure": "93",
    "pulse": "70",
    "ecg_rate": "70",
    "respiratory_rate": "16",
    "saturation": "97",
    "glucose": "110",
    "exhaled_co2": "38",
    "temperature": "36.8",
    "coma_eye": "4",
    "coma_verbal": "5",
    "coma_motor": "6",
    "coma_total": "15",
    "responsiveness": "A",
}

DONE, INPUT_FAILED = 0, 3


def require_sound(ran, *, read: int, examined: int, unread: int = 0, other: int = 0):
    """The program ended by itself, speaks like itself, and lost no row."""
    assert ran.status in (DONE, INPUT_FAILED), ran.err  # a signal is negative, a crash 134 or so
    for word in ("terminate", "what():", "exception", "std::", "Sanitizer", "Assertion"):
        assert word not in ran.out + ran.err
    account = ran.account()
    counted = {name: account[f"rows_{name}"] for name in ("read", "examined", "unread", "other")}
    assert counted == {"read": read, "examined": examined, "unread": unread, "other": other}
    assert len(rows_of(ran.into / "unread.csv")) == unread


# (content, words of the message): what stands in a file decides what is said of it.
REFUSED = {
    "empty": (b"", "empty", "export"),
    "picture": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(64), "picture", "data"),
    "gzip_in_gzip": (gzip.compress(gzip.compress(b"x")), "gzip", "Unpack"),
    "gzip_cut": (gzip.compress(GOOD.encode())[:12], "gzip", "too soon", "read it again"),
    "gzip_of_nothing": (gzip.compress(b""), "empty", "export"),
    "gzip_of_a_workbook": (gzip.compress(b"PK\x03\x04" + bytes(64)), "workbook", "text"),
    "workbook": (b"PK\x03\x04" + bytes(64), "workbook", "text"),
    "utf_32": (GOOD.encode("utf-32"), "UTF-32", "UTF-8"),
    "nul_in_header": (b"rep\0ort,pulse\n1,70\n", "NUL", "text"),
    "no_report_column": (b"systolic,pulse\n120,70\n", "report", '"report"'),
    "no_vital_sign": (b"report,shoe size\n1,43\n", "vital sign", "systolic"),
    "unknown_names": (b"shoe;size;colour\n1;43;9\n", "report", "3 cells"),
    "a_million_columns": (b"report,pulse" + b",x" * 1_000_000 + b"\n", "too long", "text"),
    "one_sign_twice": (b"report,sbp,systolic\n1,120,120\n", "systolic", "Rename"),
    "foreign_unit": (b"report,pulse (mmHg)\n1,70\n", "unit", "/min"),
    "quote_in_header": (b'report,"systolic\n1,120\n', "header", "comma"),
}


@pytest.mark.parametrize("kind", REFUSED)
def test_a_file_that_cannot_be_used_is_named_with_a_remedy(audit, tmp_path, kind):
    content, *words = REFUSED[kind]
    batch = written(tmp_path, content)
    ran = audit(batch)
    require_sound(ran, read=0, examined=0)
    assert ran.status == INPUT_FAILED
    assert str(batch) in ran.err
    for word in words:
        assert word in ran.err


def test_a_folder_is_named_with_a_remedy(audit, tmp_path):
    (tmp_path / "week").mkdir()
    ran = audit(tmp_path / "week")
    require_sound(ran, read=0, examined=0)
    assert ran.status == INPUT_FAILED
    assert str(tmp_path / "week") in ran.err
    assert "folder" in ran.err and "Name the files" in ran.err


@pytest.mark.parametrize("kind", ["missing", "loop", "through_a_file", "name_too_long"])
def test_a_path_that_cannot_be_opened_is_named(audit, tmp_path, kind):
    paths = {
        "missing": tmp_path / "nowhere.csv",
        "loop": tmp_path / "loop.csv",
        "through_a_file": written(tmp_path, GOOD, "plain.csv") / "inside.csv",
        "name_too_long": tmp_path / ("n" * 300 + ".csv"),
    }
    (tmp_path / "loop.csv").symlink_to(tmp_path / "loop.csv")
    ran = audit(paths[kind])
    require_sound(ran, read=0, examined=0)
    assert ran.status == INPUT_FAILED
    assert str(paths[kind]) in ran.err
    assert "cannot be opened" in ran.err


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read every file")
def test_a_file_that_may_not_be_read_is_named(audit, tmp_path):
    batch = written(tmp_path, GOOD)
    batch.chmod(0)
    ran = audit(batch)
    assert ran.status == INPUT_FAILED
    assert str(batch) in ran.err and "you may read it" in ran.err


def test_a_header_alone_is_an_audit_of_nothing(audit, tmp_path):
    ran = audit(written(tmp_path, "report,systolic,pulse\n"))
    require_sound(ran, read=0, examined=0)
    assert ran.status == DONE


def test_a_broken_file_does_not_stop_the_others(audit, tmp_path):
    broken = written(tmp_path, REFUSED["picture"][0], "broken.csv")
    ran = audit(tmp_path / "nowhere.csv", written(tmp_path, GOOD), broken)
    require_sound(ran, read=3, examined=3)
    assert ran.status == INPUT_FAILED
    assert "nowhere.csv" in ran.err and "broken.csv" in ran.err


@pytest.mark.parametrize("seed", range(8))
def test_random_bytes_end_in_an_account(audit, tmp_path, seed):
    noise = random.Random(seed).randbytes(20_000)
    batch = written(tmp_path, noise)
    ran = audit(batch)
    require_sound(ran, read=0, examined=0)
    assert ran.status == INPUT_FAILED
    assert str(batch) in ran.err


@pytest.mark.parametrize("seed", range(8))
def test_random_bytes_behind_a_header_are_accounted_for(audit, tmp_path, seed):
    noise = random.Random(seed).randbytes(20_000)
    ran = audit(written(tmp_path, b"report,systolic,pulse\n1,120,70\n" + noise))
    assert ran.status in (DONE, INPUT_FAILED)
    account = ran.account()
    parts = [account[f"rows_{part}"] for part in ("examined", "unread", "other")]
    assert account["rows_read"] == sum(parts)
    assert account["rows_examined"] >= 1
    assert len(rows_of(ran.into / "unread.csv")) == account["rows_unread"]


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize(
    "text", ["12O", "1 2", "--5", "0x1F", "inf", "120/80", "Mary", "\u0661\u0662"]
)
def test_an_unreadable_cell_is_a_finding_and_its_row_is_examined(audit, tmp_path, sign, text):
    header = ",".join(["report", *SIGNS])
    cells = ",".join(text if name == sign else value for name, value in SIGNS.items())
    ran = audit(written(tmp_path, f"{header}\nr,{cells}\n"), "--without", "clinical")
    require_sound(ran, read=1, examined=1)
    assert ran.status == DONE
    asked = rows_of(ran.into / "findings.csv")
    assert [row["check"] for row in asked if row["check"].startswith("unreadable")] == [
        f"unreadable.{sign}"
    ]
    assert ran.account()["readings"] == len(SIGNS)


def unread_lines(ran) -> list[tuple[str, str]]:
    rows = rows_of(ran.into / "unread.csv")
    for row in rows:
        assert row["file"].endswith("week.csv") and row["reason"] and row["remedy"]
    return [(row["line"], row["reason"]) for row in rows]


def test_a_nul_inside_costs_its_row(audit, tmp_path):
    ran = audit(written(tmp_path, GOOD.replace("118", "11\0").encode() + b"3,121,80,70\n"))
    require_sound(ran, read=4, examined=3, unread=1)
    assert ran.status == DONE
    ((line, reason),) = unread_lines(ran)
    assert line == "3" and "NUL" in reason


def test_ragged_rows_are_filled_up_or_refused(audit, tmp_path):
    text = "report,systolic,diastolic,pulse\n1,120\n1,118,78,72,\n1,119,79,71,5\n2\n2,130,85,80\n"
    ran = audit(written(tmp_path, text))
    # A short row is blank at its end, a surplus blank is none; row "2" holds no vital sign.
    require_sound(ran, read=5, examined=3, unread=1, other=1)
    ((line, reason),) = unread_lines(ran)
    assert line == "4" and "5 cells" in reason and "4" in reason


def test_a_stray_quote_costs_its_own_line(audit, tmp_path):
    rows = [f"{n},{110 + n % 20},80,70" for n in range(1, 41)]
    rows[9] = '10,"119,80,70'
    ran = audit(written(tmp_path, "report,systolic,diastolic,pulse\n" + "\n".join(rows) + "\n"))
    require_sound(ran, read=40, examined=39, unread=1)
    ((line, reason),) = unread_lines(ran)
    assert line == "11" and "quote" in reason


def test_an_endless_quote_costs_its_own_line(audit, tmp_path):
    rows = [f"{n},120,80,70" for n in range(2, 3000)]
    text = 'report,systolic,diastolic,pulse\n1,"120,80,70\n' + "\n".join(rows) + "\n"
    ran = audit(written(tmp_path, text))
    require_sound(ran, read=2999, examined=2998, unread=1)
    assert unread_lines(ran)[0][0] == "2"


def test_a_row_beyond_all_bounds_costs_its_row(audit, tmp_path):
    text = GOOD + "3,120,80," + "7" * 3_000_000 + "\n4,120,80,70\n"
    ran = audit(written(tmp_path, text))
    require_sound(ran, read=5, examined=4, unread=1)
    assert unread_lines(ran)[0][0] == "5"


def test_a_row_without_a_report_is_refused(audit, tmp_path):
    ran = audit(written(tmp_path, GOOD + ",120,80,70\n"))
    require_sound(ran, read=4, examined=3, unread=1)
    ((line, reason),) = unread_lines(ran)
    assert line == "5" and "report" in reason


def test_a_file_that_ends_in_the_middle_of_a_row_is_read(audit, tmp_path):
    ran = audit(written(tmp_path, GOOD[:-3]))
    require_sound(ran, read=3, examined=3)


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_other_line_ends_change_nothing(audit, tmp_path, end):
    ran = audit(written(tmp_path, GOOD.replace("\n", end)))
    require_sound(ran, read=3, examined=3)


def test_a_byte_order_mark_changes_nothing(audit, tmp_path):
    ran = audit(written(tmp_path, "\ufeff" + GOOD))
    require_sound(ran, read=3, examined=3)


@pytest.mark.parametrize("other", ["", "Run number,Sys,Dia,HR"])
def test_a_second_header_is_refused(audit, tmp_path, other):
    header, rows = GOOD.split("\n", 1)
    ran = audit(written(tmp_path, f"{header}\n{other or header}\n{rows}"))
    require_sound(ran, read=4, examined=3, unread=1)
    ((line, reason),) = unread_lines(ran)
    assert line == "2" and "header again" in reason


def test_a_million_cells_cost_their_row(audit, tmp_path):
    ran = audit(written(tmp_path, GOOD + "3,120,80,70" + "," * 1_000_000 + "\n4,120,80,70\n"))
    require_sound(ran, read=5, examined=4, unread=1)
    ((line, reason),) = unread_lines(ran)
    assert line == "5" and "cells" in reason


def peak_megabytes_of(program, folder, feed) -> tuple[int, str]:
    """Audits what `feed` writes to standard input; the memory it took, and what was said."""
    if b"AddressSanitizer" in program.read_bytes() or b"ThreadSanitizer" in program.read_bytes():
        pytest.skip("a sanitizer takes more memory than the program")
    command = [program, "audit", "-", "--into", folder / "out"]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, bufsize=0, stdin=pipe, stdout=pipe, stderr=pipe) as process:

        def write():
            with contextlib.suppress(BrokenPipeError), process.stdin as stream:
                feed(stream)

        writer = threading.Thread(target=write)
        writer.start()
        said = process.stdout.read() + process.stderr.read()
        writer.join()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode in (DONE, INPUT_FAILED), said
    return used.ru_maxrss >> 10, said.decode()


@pytest.mark.parametrize("byte", [b"7", b"\0", b'"', b","], ids=["digit", "nul", "quote", "comma"])
def test_a_line_of_a_fifth_of_a_gigabyte_costs_its_row(program, tmp_path, byte):
    def feed(stream):
        stream.write(GOOD.encode() + b"3,120,80,")
        for _ in range(200):
            stream.write(byte * (1 << 20))
        stream.write(b"\n4,120,80,70\n")

    began = time.monotonic()
    megabytes, _ = peak_megabytes_of(program, tmp_path, feed)
    assert megabytes < 100
    assert time.monotonic() - began < 60
    account = json.loads((tmp_path / "out" / "audit.json").read_text(encoding="utf-8"))
    counted = [account[f"rows_{name}"] for name in ("read", "examined", "unread", "other")]
    assert counted == [5, 4, 1, 0]


def test_a_header_without_an_end_is_refused_at_once(program, tmp_path):
    def feed(stream):
        while True:  # until the program has seen enough and leaves
            stream.write(b"x" * (1 << 20))

    megabytes, said = peak_megabytes_of(program, tmp_path, feed)
    assert megabytes < 100
    assert "standard input" in said and "header" in said and "text" in said


def test_an_archive_that_unpacks_to_a_fifth_of_a_gigabyte_needs_little_memory(program, tmp_path):
    packed = io.BytesIO()
    # Piece by piece: a child's peak begins at the size of the process that started it.
    with gzip.GzipFile(fileobj=packed, mode="wb", compresslevel=1) as archive:
        archive.write(GOOD.encode() + b"3,120,80,")
        for _ in range(200):
            archive.write(b"7" * (1 << 20))
    bomb = packed.getvalue()
    assert len(bomb) < 2 << 20
    megabytes, _ = peak_megabytes_of(program, tmp_path, lambda stream: stream.write(bomb))
    assert megabytes < 100
    account = json.loads((tmp_path / "out" / "audit.json").read_text(encoding="utf-8"))
    assert (account["rows_examined"], account["rows_unread"]) == (3, 1)
    assert account["inputs"][0]["bytes"] == len(bomb)


def test_encodings_that_change_half_way_lose_no_row(audit, tmp_path):
    sound = "".join(f"{n},Zoë,72,118\n" for n in range(30_000)).encode()
    latin = "".join(f"{n},Zoë,72,118\n" for n in range(30_000, 31_000)).encode("cp1252")
    wide = "9,Zoë,72,118\n".encode("utf-16-le")
    ran = audit(written(tmp_path, b"report,crew,systolic,diastolic\n" + sound + latin + wide))
    account = ran.account()
    assert account["rows_examined"] == 31_000
    assert account["rows_read"] == 31_000 + account["rows_unread"]
    crews = {row["crew"] for row in rows_of(ran.into / "findings.csv")}
    assert crews == {"Zoë", "Zo\ufffd"}
    for line in (ran.into / "findings.jsonl").read_text(encoding="utf-8").splitlines():
        assert json.loads(line)["crew"] in crews


def test_bytes_that_are_no_characters_are_replaced_alike_everywhere(audit, tmp_path):
    picked = random.Random(7)
    parts = [*(c.encode() for c in "ë€🚑a"), b"\xff", b"\xe2\x82", b"\xc0\xaf"]
    names = [b"r" + b"".join(picked.choices(parts, k=6)) + b"z" for _ in range(300)]
    rows = b"".join(name + b",72,118\n" for name in names)
    header = f"report,systolic,diastolic,{'ë' * 3000}\n"  # UTF-8, if not everywhere
    ran = audit(written(tmp_path, header.encode() + rows))
    expected = {name.decode("utf-8", "replace") for name in names}
    assert {row["report"] for row in rows_of(ran.into / "findings.csv")} == expected
    lines = (ran.into / "findings.jsonl").read_text(encoding="utf-8").splitlines()
    assert {json.loads(line)["report"] for line in lines} == expected


def test_any_mix_of_bytes_in_cells_is_accounted_for(audit, tmp_path):
    picked = random.Random(20260301)
    alphabet = string.printable + "\0\x7f\x80é€"
    lines = [
        ",".join("".join(picked.choices(alphabet, k=picked.randrange(6))) for _ in range(4))
        for _ in range(3000)
    ]
    ran = audit(written(tmp_path, "report,systolic,diastolic,pulse\n" + "\n".join(lines) + "\n"))
    assert ran.status == DONE
    account = ran.account()
    parts = [account[f"rows_{part}"] for part in ("examined", "unread", "other")]
    assert account["rows_read"] == sum(parts) > 1000 and all(parts)
    for line in (ran.into / "findings.jsonl").read_text(encoding="utf-8").splitlines():
        json.loads(line)


def test_a_header_of_thousands_of_numbered_names_is_read(audit, tmp_path):
    """Without trying every number of every name, which would run into the test's time limit."""
    names = ",".join(f"item{n}of{n + 1}x{n % 7}y{n % 11}z{n}" for n in range(30_000))
    week = tmp_path / "week.csv"
    week.write_text(f"report,pulse,{names}\n26-1,72\n", encoding="utf-8")
    assert audit(week).account()["rows_examined"] == 1
