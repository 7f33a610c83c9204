"""The tokenizer against Python's csv module, on text made to hurt.

They differ in one thing, on purpose: where a quote is still open at the end of the text, Python
takes all the rest as one cell, ours gives up that line alone and reads on behind it.
"""

import csv
import gzip
import io
import json
import subprocess

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

PIECES = [1, 7, 64, 1 << 20]

hurting = st.text(alphabet='ab1,,""\n\r ;\t', max_size=60)
cells = st.text(alphabet='ab1,"\n\r é', max_size=8)


@pytest.fixture(scope="module")
def tokens(build):
    program = build / "tests" / "bin" / "vitalproof_tokens"
    if not program.is_file():
        pytest.fail(f"{program.name} is not built: cmake --build {build}", pytrace=False)

    def run(text: str | bytes, piece: int, delimiter: str = ",") -> list:
        ran = subprocess.run(
            [program, str(piece), delimiter],
            input=text.encode() if isinstance(text, str) else text,
            capture_output=True,
            timeout=60,
        )
        assert ran.returncode == 0, ran.stderr
        return [json.loads(line) for line in ran.stdout.split(b"\n") if line]

    return run


def python_rows(text: str, delimiter: str = ",") -> list[list[str]]:
    """Rows as Python reads them, without those of empty lines."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    return [row for row in reader if row]


def first_line_of_last_row(text: str, delimiter: str) -> int:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    begins = behind = 1
    for row in reader:
        if row:
            begins = behind
        behind = reader.line_num + 1
    return begins


def ends_inside_quotes(text: str, delimiter: str) -> bool:
    """Whether one more line would still belong to the last cell."""
    return python_rows(text + "\n\x01", delimiter)[-1] != ["\x01"]


def require_pythons_rows(ours: list, text: str, delimiter: str = ","):
    theirs = python_rows(text, delimiter)
    if ends_inside_quotes(text, delimiter):
        whole = theirs[:-1]
        assert ours[: len(whole)] == whole
        assert ours[len(whole)] == {"unread": first_line_of_last_row(text, delimiter)}
    else:
        assert ours == theirs


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
@given(text=hurting, piece=st.sampled_from(PIECES))
@example(text='a,"b', piece=1)
@example(text='"a\r\n\r"x"",\n"b', piece=1)
@example(text='"a"b"c,"",""""\r', piece=1)
def test_rows_are_those_of_python(tokens, text, piece):
    require_pythons_rows(tokens(text, piece), text)


@settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    text=st.text(alphabet='ab1,;;\t\t||""\n\r ', max_size=60),
    delimiter=st.sampled_from(";\t|"),
    piece=st.sampled_from(PIECES),
)
@example(text='a;"b;\t|"";,";c', delimiter=";", piece=1)
def test_rows_by_other_delimiters_are_those_of_python(tokens, text, delimiter, piece):
    require_pythons_rows(tokens(text, piece, delimiter), text, delimiter)


# A first row in plain letters: it shows UTF-16 without a mark for what it is.
AHEAD = "report,pulse\n"


@settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    text=st.text(alphabet='ab1,;""\n\r é€\u3000\U0001f691', max_size=60),
    codec=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"]),
    packed=st.booleans(),
    piece=st.sampled_from(PIECES),
)
def test_rows_in_other_encodings_are_those_of_python(tokens, text, codec, packed, piece):
    encoded = (AHEAD + text).encode(codec)
    ours = tokens(gzip.compress(encoded) if packed else encoded, piece)
    require_pythons_rows(ours, AHEAD + text)


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(text=st.text(alphabet='ab1,;""\n\r éüñ', max_size=60), piece=st.sampled_from(PIECES))
def test_rows_in_windows_1252_are_those_of_python(tokens, text, piece):
    # These three letters lead a character in UTF-8, and nothing here could follow them.
    require_pythons_rows(tokens((AHEAD + text).encode("cp1252"), piece), AHEAD + text)


def test_every_byte_of_windows_1252_is_what_python_takes_it_for(tokens):
    encoded = b",".join(bytes([byte]) for byte in range(0x80, 0x100))
    assert tokens(encoded, 1 << 20) == [encoded.decode("cp1252", "replace").split(",")]


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    units=st.lists(st.sampled_from([0x61, 0x2C, 0xE9, 0xD83D, 0xDE91, 0xFFFF]), max_size=30),
    order=st.sampled_from(["little", "big"]),
    piece=st.sampled_from(PIECES),
)
def test_broken_utf_16_is_replaced_as_python_does(tokens, units, order, piece):
    codec = "utf-16-le" if order == "little" else "utf-16-be"
    encoded = AHEAD.encode(codec) + b"".join(unit.to_bytes(2, order) for unit in units)
    require_pythons_rows(tokens(encoded, piece), encoded.decode(codec, "replace"))


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    rows=st.lists(st.lists(cells, min_size=1, max_size=5), max_size=8),
    line_end=st.sampled_from(["\n", "\r\n", "\r"]),
    piece=st.sampled_from(PIECES),
)
def test_what_python_writes_is_read_back(tokens, rows, line_end, piece):
    written = io.StringIO(newline="")
    csv.writer(written, quoting=csv.QUOTE_ALL, lineterminator=line_end).writerows(rows)
    assert tokens(written.getvalue(), piece) == rows
