"""Nothing lost: whatever a batch holds, each of its rows and groups is examined, unread or other,
as its kind says; and what an audit writes down suffices to run it again, byte for byte.
"""

import json
import math
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from standard_reports import document, report
from support import rows_of

EXAMPLES = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@dataclass(frozen=True)
class Piece:
    """A row, a report or a resource, and what must become of what it holds."""

    text: str
    examined: int = 0
    unread: int = 0
    other: int = 0
    lines: int = 1


def audited(program: Path, folder: Path, text: str, *options: str) -> Path:
    week = folder / "week"
    week.write_text(text, encoding="utf-8", newline="")
    ran = subprocess.run(
        [program, "audit", week, "--into", folder / "out", "--quiet", *options],
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert ran.returncode in (0, 3), ran.stderr
    return folder / "out"


def account_of(into: Path) -> dict:
    return json.loads((into / "audit.json").read_text(encoding="utf-8"))


def require_accounted_for(into: Path, pieces: list[Piece]) -> None:
    account = account_of(into)
    counted = {name: account[f"rows_{name}"] for name in ("examined", "unread", "other")}
    expected = {
        name: sum(getattr(piece, name) for piece in pieces)
        for name in ("examined", "unread", "other")
    }
    assert counted == expected
    assert account["rows_read"] == sum(expected.values())
    assert account["sets"] <= account["rows_examined"]


# Tables.

REPORTS = st.sampled_from(["26-1", "26-2", "a b", "Zoë", "007", "x" * 40])
VALUES = st.one_of(
    st.integers(-5, 1500).map(str),
    st.floats(0, 400, allow_nan=False).map(lambda v: f"{v:.2f}"),
    st.sampled_from(["HI", "LO", ">600", "12O", "refused", "N/A", "120/80", '"1,2"', "#REF!"]),
)
BLANKS = st.sampled_from(["", " ", "  ", "\u3000", "\u00a0"])
TIMES = st.sampled_from(["", "2026-03-01T10:00Z", "10:05", "yesterday", "2026-02-30"])


def row(cells) -> str:
    return ",".join(cells)


good_rows = st.builds(
    lambda r, t, v, w: Piece(row([r, t, v, w]), examined=1),
    REPORTS,
    TIMES,
    VALUES,
    st.one_of(VALUES, BLANKS),
)
other_rows = st.builds(
    lambda r, t, a, b: Piece(row([r, t, a, b]), other=1), REPORTS, TIMES, BLANKS, BLANKS
)
unread_rows = st.one_of(
    st.builds(lambda v: Piece(row(["", "", v, v]), unread=1), VALUES),  # of no report
    st.builds(lambda r, v: Piece(row([r, "", v, v, "5"]), unread=1), REPORTS, VALUES),  # too wide
    st.builds(lambda r: Piece(f"{r},,7\x000,80", unread=1), REPORTS),
)
quoted_rows = st.builds(lambda r: Piece(f'"{r}\n{r}","",120,80', examined=1, lines=2), REPORTS)
blank_lines = st.just(Piece(""))


@pytest.mark.parametrize("threads", ["1", "2"])
@EXAMPLES
@given(
    pieces=st.lists(
        st.one_of(good_rows, good_rows, other_rows, unread_rows, quoted_rows, blank_lines),
        max_size=40,
    )
)
def test_every_row_of_a_table_is_accounted_for(program, threads, pieces):
    text = "report,time,systolic,pulse\n" + "".join(piece.text + "\n" for piece in pieces)
    with tempfile.TemporaryDirectory() as folder:
        into = audited(program, Path(folder), text, "--threads", threads)
        require_accounted_for(into, pieces)
        line, unread = 2, []
        for piece in pieces:
            unread += [str(line)] * piece.unread
            line += piece.lines
        assert [row["line"] for row in rows_of(into / "unread.csv")] == unread


# The national EMS data standard: a row is a group.

SIGNS = st.sampled_from(["systolic", "diastolic", "pulse", "saturation", "glucose", "temperature"])
NUMBERS = {
    "systolic": "06", "diastolic": "07", "pulse": "10", "saturation": "12", "glucose": "18",
    "temperature": "24",
}  # fmt: skip


def group(values: dict[str, str]) -> str:
    inner = "".join(f"<eVitals.{NUMBERS[s]}>{v}</eVitals.{NUMBERS[s]}>" for s, v in values.items())
    return f"<eVitals.VitalGroup>{inner}</eVitals.VitalGroup>"


speaking_groups = st.dictionaries(SIGNS, st.integers(0, 999).map(str), min_size=1)
silent_groups = st.just({})
groups_of_a_report = st.lists(
    st.one_of(speaking_groups, speaking_groups, silent_groups), max_size=4
)


def standard(identifier: str, groups: list[dict[str, str]], breaking: str = "") -> str:
    made = report(identifier, [])
    vitals = f"<eVitals>{''.join(map(group, groups))}</eVitals>"
    made = made.replace("</PatientCareReport>", f"{vitals}{breaking}</PatientCareReport>")
    return made.replace(f">{identifier}<", "><") if breaking == " " else made


def of_kind(kind: str, number: int, groups: list[dict[str, str]]) -> Piece:
    count = len(groups)
    speaking = sum(bool(values) for values in groups)
    name = f"26-{number}"
    breaking = {"sound": "", "mismatched": "<a></b>", "deep": "<a>" * 99, "nameless": " "}[kind]
    text = standard(name, groups, breaking)
    if kind == "sound":
        return Piece(text, examined=speaking, other=count - speaking)
    return Piece(text, unread=count)


@EXAMPLES
@given(
    kinds=st.lists(
        st.tuples(
            st.sampled_from(["sound", "sound", "mismatched", "deep", "nameless"]),
            groups_of_a_report,
        ),
        min_size=1,
        max_size=6,
    )
)
def test_every_group_of_the_standard_is_accounted_for(program, kinds):
    pieces = [of_kind(kind, n, groups) for n, (kind, groups) in enumerate(kinds)]
    with tempfile.TemporaryDirectory() as folder:
        into = audited(program, Path(folder), document(*(piece.text for piece in pieces)))
        require_accounted_for(into, pieces)


@pytest.mark.parametrize("inside", ["eExam", "eVitals.VitalGroup", "eOther", ""])
def test_a_group_that_stands_where_none_belongs_is_not_lost(program, tmp_path, inside):
    """In another section, inside another group, or right in the report: said, not passed over."""
    stray = group({"systolic": "300"})
    odd = f"<{inside}>{stray}</{inside}>" if inside else stray
    if inside == "eVitals.VitalGroup":
        odd = f"<eVitals>{odd}</eVitals>"
    made = standard("26-1", [{"systolic": "120"}], odd)
    into = audited(program, tmp_path, document(made))
    account = account_of(into)
    groups = made.count("<eVitals.VitalGroup>")
    assert account["rows_read"] == groups
    if account["rows_unread"]:
        assert len(rows_of(into / "unread.csv")) == account["rows_unread"]


# FHIR: a row is a resource.


def observation(code: str, **more) -> dict:
    return {
        "resourceType": "Observation",
        "status": "final",
        "code": {"coding": [{"system": "http://loinc.org", "code": code}]},
        "encounter": {"reference": "Encounter/26-1"},
        **more,
    }


def quantity(value) -> dict:
    unit = {"code": "/min", "system": "http://unitsofmeasure.org"}
    return {"valueQuantity": {"value": value, **unit}}


PULSE = observation("8867-4", **quantity(300))
OTHER = [
    observation("1234-5", **quantity(1)),
    {"resourceType": "Encounter", "id": "26-1"},
    {"resourceType": "Patient", "birthDate": "1950-05-05"},
    {**PULSE, "status": "entered-in-error"},
]
UNREAD = [
    '{"id": "no type"}',
    '{"resourceType":"Observation","a":' + "[" * 99 + "]" * 99 + "}",
    '{"resourceType":"Observation","code":1,"code":2}',
]
whole_resources = st.one_of(
    st.integers(0, 400).map(
        lambda v: Piece(json.dumps(observation("8867-4", **quantity(v))), examined=1)
    ),
    st.sampled_from(OTHER).map(lambda r: Piece(json.dumps(r), other=1)),
    st.sampled_from(UNREAD).map(lambda text: Piece(text, unread=1)),
)


@pytest.mark.parametrize("form", ["lines", "bundle"])
@EXAMPLES
@given(pieces=st.lists(whole_resources, min_size=1, max_size=20))
def test_every_resource_is_accounted_for(program, form, pieces):
    text = "".join(piece.text + "\n" for piece in pieces)
    if form == "bundle":
        entries = ",".join(f'{{"resource":{piece.text}}}' for piece in pieces)
        text = f'{{"resourceType":"Bundle","type":"collection","entry":[{entries}]}}'
    with tempfile.TemporaryDirectory() as folder:
        require_accounted_for(audited(program, Path(folder), text), pieces)


# Again.


def limits_file(tables: dict, off: list[str]) -> str:
    """What an account says was in force, as a file of limits: all of it, defaults included."""
    text = "schema = 1\n"
    by_name = {name: dict(figures) for name, figures in tables.items()}
    for code in off:
        by_name.setdefault(code, {})
    for name, figures in by_name.items():
        text += f"[{name}]\n" + ("on = false\n" if name in off else "")
        text += "".join(f'{key} = "{figure["value"]}"\n' for key, figure in figures.items())
    return text


NUDGES = [0.5, 0.9, 1.0, 1.1, 1.5]


def nudged(figure: str, by: float) -> str:
    number, _, unit = figure.partition(" ")
    value = float(number) * by
    return f"{value if math.isfinite(value) else number:g} {unit}".strip()


@pytest.fixture(scope="module")
def defaults(program, tmp_path_factory) -> dict:
    into = audited(program, tmp_path_factory.mktemp("defaults"), "report,pulse\n1,70\n")
    return account_of(into)["limits"]["tables"]


BATCH = Path(__file__).resolve().parents[2] / "fixtures" / "batches" / "demo.csv"


@settings(EXAMPLES, max_examples=8)
@given(data=st.data())
def test_an_account_is_enough_to_run_it_again(program, defaults, data):
    """Some limits changed, some checks off; then limits and time from `audit.json` alone."""
    chosen = data.draw(st.lists(st.sampled_from(sorted(defaults)), max_size=6, unique=True))
    text = "schema = 1\n"
    for name in chosen:
        by = data.draw(st.sampled_from(NUDGES))
        figures = "".join(f'{k} = "{nudged(f["value"], by)}"\n' for k, f in defaults[name].items())
        text += f"[{name}]\n{figures}"
    as_of = data.draw(st.sampled_from(["2026-03-01T12:00Z", "2031-01-01T00:00-06:00"]))
    off = data.draw(
        st.lists(st.sampled_from(["clinical", "pressure.narrow", "change"]), max_size=2)
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        limits = folder / "limits.toml"
        limits.write_text(text, encoding="utf-8")

        def run(into: str, *options: str) -> Path:
            command = [program, "audit", BATCH, "--into", folder / into, "--quiet"]
            command += ["--limits", limits, *options]
            ran = subprocess.run(command, capture_output=True, text=True, timeout=60)
            if ran.returncode == 2:  # limits that contradict each other are refused
                assert "limits.toml" in ran.stderr
                return None
            assert ran.returncode == 0, ran.stderr
            return folder / into

        first = run("first", "--as-of", as_of, *(f"--without={name}" for name in off))
        if first is None:
            return
        account = account_of(first)
        limits.write_text(limits_file(**account["limits"]), encoding="utf-8")
        again = run("again", "--as-of", account["as_of"])
        for file in ("findings.csv", "findings.jsonl", "unread.csv"):
            assert (again / file).read_bytes() == (first / file).read_bytes(), file
        told = account_of(again)
        for of in (account, told):
            for figures in of["limits"]["tables"].values():
                for figure in figures.values():
                    figure.pop("from")
        assert told == account
