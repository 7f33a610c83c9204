"""What is written: safe to open in a spreadsheet, for its owner alone, and without names."""

import csv
import os
import stat

import pytest

HEADER = "report,crew,systolic,diastolic,pulse\n"
FINDING = "80,120,70"  # pressures the wrong way round: rejected, so that a row is written

# What a spreadsheet would run, or take for the start of what it runs.
FORMULAS = [
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "=cmd|' /C calc'!A0",
    "-2+3+cmd|' /C calc'!A0",
    "+",
    "-",
    '=HYPERLINK(""http://example.org"")',
    "  =1+1",
]


def cells_of(table):
    with table.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def could_run(cell: str) -> bool:
    """Begins as a formula does and is not a plain number."""
    if not cell.lstrip(" \t\r\n").startswith(("=", "+", "-", "@")):
        return cell.startswith(("\t", "\r"))
    try:
        float(cell)
    except ValueError:
        return True
    return False


@pytest.mark.parametrize("text", FORMULAS)
def test_no_identifier_or_crew_runs_in_a_spreadsheet(audit, tmp_path, text):
    batch = tmp_path / "batch.csv"
    batch.write_bytes(f'{HEADER}"{text}","{text}",{FINDING}\n'.encode())
    ran = audit(batch)
    assert ran.status == 0
    table = cells_of(ran.into / "findings.csv")
    assert len(table) > 1
    for row in table:
        assert len(row) == len(table[0])
        assert not [cell for cell in row if could_run(cell)]
    # Still recognisable behind the guard.
    assert table[1][0].lstrip("'").strip() == text.replace('""', '"').strip()


def test_a_plain_number_keeps_its_sign(audit, tmp_path):
    batch = tmp_path / "batch.csv"
    batch.write_text(f"{HEADER}-17,+4,{FINDING}\n", encoding="utf-8")
    assert cells_of(audit(batch).into / "findings.csv")[1][:2] == ["-17", "+4"]


def test_no_file_name_runs_in_a_spreadsheet(audit, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    name = "=1+1.csv"
    (tmp_path / name).write_text(HEADER + "1,c,120,80,70,9\n", encoding="utf-8")
    ran = audit(name)
    table = cells_of(ran.into / "unread.csv")
    assert len(table) == 2
    assert not [cell for row in table for cell in row if could_run(cell)]


def test_a_row_is_one_line_whatever_an_identifier_holds(audit, tmp_path):
    batch = tmp_path / "batch.csv"
    batch.write_text(f'{HEADER}"a\nb","c\r\nd",{FINDING}\n', encoding="utf-8", newline="")
    ran = audit(batch)
    table = cells_of(ran.into / "findings.csv")
    lines = (ran.into / "findings.csv").read_bytes().splitlines()
    assert len(lines) == len(table) > 1


def test_only_their_owner_may_read_the_outputs(audit, tmp_path):
    batch = tmp_path / "batch.csv"
    batch.write_text(f"{HEADER}1,c,{FINDING}\n1,c,120,80,70,9\n", encoding="utf-8")
    usual = os.umask(0)
    try:
        ran = audit(batch)
    finally:
        os.umask(usual)
    assert stat.S_IMODE(ran.into.stat().st_mode) == 0o700
    written = sorted(ran.into.iterdir())
    assert written
    assert {stat.S_IMODE(file.stat().st_mode) for file in written} == {0o600}


# Invented, and like no word of the trade.
NAMES = ["Quillhaven", "Zorbanek", "Ottilie", "Wexcombe Street 9", "Ed"]


def outputs_of(ran) -> str:
    return (
        ran.out
        + ran.err
        + "".join(file.read_text(encoding="utf-8") for file in sorted(ran.into.iterdir()))
    )


SIGNS = [
    "systolic",
    "diastolic",
    "mean_pressure",
    "pulse",
    "ecg_rate",
    "respiratory_rate",
    "saturation",
    "glucose",
    "exhaled_co2",
    "temperature",
    "coma_eye",
    "coma_verbal",
    "coma_motor",
    "coma_total",
    "responsiveness",
]


def require_nameless(ran, names=NAMES):
    said = outputs_of(ran)
    assert not [name for name in names if name in said]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("sign", SIGNS)
def test_a_name_in_the_cell_of_a_sign_is_never_written(audit, tmp_path, sign, name):
    batch = tmp_path / "batch.csv"
    signs = [s for s in ("systolic", "pulse") if s != sign]
    header = ",".join(["report", *signs, sign])
    batch.write_text(f"{header}\n1,{','.join('1' for _ in signs)},{name}\n", encoding="utf-8")
    ran = audit(batch)
    assert "unreadable" in (ran.into / "findings.csv").read_text(encoding="utf-8")
    assert f"text of {len(name)} characters" in outputs_of(ran)
    require_nameless(ran)


# Columns beside the vital signs, some of them read, none of them ever echoed.
@pytest.mark.parametrize(
    "column",
    ["patient name", "address", "narrative", "age", "time", "arrest", "pressure method", "source"],
)
def test_a_name_in_another_column_is_never_written(audit, tmp_path, column):
    batch = tmp_path / "batch.csv"
    rows = "".join(f'1,"{name}",{FINDING}\n' for name in NAMES)
    batch.write_text(f"report,{column},systolic,diastolic,pulse\n{rows}", encoding="utf-8")
    ran = audit(batch)
    assert ran.account()["rows_examined"] == len(NAMES)
    require_nameless(ran)


def test_names_in_rows_that_cannot_be_read_are_never_written(audit, tmp_path):
    batch = tmp_path / "batch.csv"
    shifted = "".join(f"1,c,{name},120,80,70\n" for name in NAMES)
    no_report = "".join(f",c,120,80,{name}\n" for name in NAMES)
    quoted = f'2,c,120,80,"{NAMES[0]}\n2,c,120,80,70\n'
    batch.write_text(HEADER + shifted + no_report + quoted, encoding="utf-8")
    ran = audit(batch)
    assert ran.account()["rows_unread"] == 2 * len(NAMES) + 1
    require_nameless(ran)


def test_names_in_a_file_without_a_header_are_never_written(audit, tmp_path):
    batch = tmp_path / "batch.csv"
    batch.write_text("".join(f"17,{name},120,80,70\n" for name in NAMES), encoding="utf-8")
    ran = audit(batch)
    assert ran.status == 3
    require_nameless(ran)
