"""The tokenizer against Python's csv module, on text made to hurt.

They differ in one thing, on purpose: where a quote is still open at the end of the text, Python
takes all the rest as one cell, ours gives up that line alone and reads on behind it.
"""

import csv
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

    def run(text: str, piece: int) -> list:
        ran = subprocess.run(
            [program, str(piece)], input=text.encode(), capture_output=True, timeout=60
        )
        assert ran.returncode == 0, ran.stderr
        return [json.loads(line) for line in ran.stdout.split(b"\n") if line]

    return run


def python_rows(text: str) -> list[list[str]]:
    """Rows as Python reads them, without those of empty lines."""
    return [row for row in csv.reader(io.StringIO(text, newline="")) if row]


def first_line_of_last_row(text: str) -> int:
    reader = csv.reader(io.StringIO(text, newline=""))
    begins = behind = 1
    for row in reader:
        if row:
            begins = behind
        behind = reader.line_num + 1
    return begins


def ends_inside_quotes(text: str) -> bool:
    """Whether one more line would still belong to the last cell."""
    return python_rows(text + "\n\x01")[-1] != ["\x01"]


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
@given(text=hurting, piece=st.sampled_from(PIECES))
@example(text='a,"b', piece=1)
@example(text='"a\r\n\r"x"",\n"b', piece=1)
@example(text='"a"b"c,"",""""\r', piece=1)
def test_rows_are_those_of_python(tokens, text, piece):
    ours, theirs = tokens(text, piece), python_rows(text)
    if ends_inside_quotes(text):
        whole = theirs[:-1]
        assert ours[: len(whole)] == whole
        assert ours[len(whole)] == {"unread": first_line_of_last_row(text)}
    else:
        assert ours == theirs


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
