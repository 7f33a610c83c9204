"""Every table of vital signs in ../shared/data as it lies there, end to end: no row is lost.

Where names do not say what the columns are, a mapping does; no table is changed for the program.
"""

from collections import Counter

import pytest
from public_tables import SETS
from support import findings, rows_of, written

NO_VITALS = {
    "mimic3_benchmark_variable_ranges.csv",
    "clif_icu_format_vitals_outlier.tsv",
    "icu_concept_dictionary_ranges.tsv",
}


@pytest.fixture
def table(shared_data):
    def find(name):
        path = shared_data / name
        if not path.is_file():
            pytest.skip(f"needs ../shared/data/{name}, which is not part of the project")
        return path

    return find


@pytest.fixture
def read(audit, table, tmp_path):
    """Audits one of the tables as it lies there, with its mapping or another."""

    def run(name, mapping=None, into="out", without=("--without", "clinical")):
        text = SETS[name] if mapping is None else mapping
        given = written(tmp_path, "schema = 1\n" + text, "mapping.toml")
        options = ("--mapping", given) if text else ()
        return audit(table(name), *options, *without, into=into)

    return run


@pytest.mark.parametrize("name", SETS)
def test_needs_shared_data_no_row_is_lost(read, table, name):
    ran = read(name)
    assert ran.status == 0
    account = ran.account()
    parts = [account[f"rows_{part}"] for part in ("examined", "unread", "other")]
    assert account["rows_read"] == sum(parts) == len(rows_of(table(name)))
    assert account["rows_unread"] == 0
    assert account["rows_examined"] > 0
    print(
        f"{name}: {account['rows_read']} rows, {account['sets']} sets, "
        f"{account['sets_rejected']} rejected, {account['sets_queried']} queried"
    )


def test_needs_shared_data_every_table_is_known_here(shared_data):
    tables = {path.name for path in shared_data.iterdir() if path.suffix in (".csv", ".tsv")}
    assert tables - NO_VITALS == SETS.keys()


def test_needs_shared_data_a_monitor_is_read_in_two_sets_a_row(read, table):
    ran = read("monitor-numerics.csv")
    account = ran.account()
    rows = rows_of(table("monitor-numerics.csv"))
    cells = Counter(name for row in rows for name, text in row.items() if text)
    by_cuff = sum(1 for row in rows if row["NBPSys"] or row["NBPDias"] or row["NBPMean"])
    assert account["reports"] == 1
    assert account["sets"] == len(rows) + by_cuff
    assert account["readings"] == sum(cells.values()) - cells["minute"]
    readings = {sign: of["readings"] for sign, of in account["by_sign"].items()}
    assert readings["systolic"] == cells["ABPSys"] + cells["NBPSys"]
    assert readings["ecg_rate"] == cells["HR"]
    assert readings["pulse"] == cells["PULSE"]
    # In this record 0.0 is "no reading"; the program is not told so, and asks.
    zeros = Counter(name for row in rows for name, text in row.items() if text and float(text) == 0)
    assert account["by_check"]["zero.saturation"] == zeros["SpO2"] > 0
    assert account["by_check"]["zero.mean_pressure"] == zeros["ABPMean"] + zeros["NBPMean"] > 0
    assert 'Every row is of the report "s00001/3975656n", as the mapping says' in ran.out


def test_needs_shared_data_observers_and_machine_are_read_as_they_lie(read, table):
    ran = read("systolic-two-observers-and-machine.csv")
    account = ran.account()
    rows = rows_of(table("systolic-two-observers-and-machine.csv"))
    assert account["sets"] == account["readings"] == len(rows) == 765
    assert account["reports"] == len({row["item"] for row in rows})
    outside = [row["y"] for row in rows if not 40 <= float(row["y"]) <= 260]
    assert sorted(f["charted"] for f in findings(ran.into)) == sorted(f"{y} mmHg" for y in outside)


def test_needs_shared_data_glucose_in_either_unit_finds_the_same(read, table):
    name = "cdisc-pilot-glucose.csv"
    standard = SETS[name].replace("LBORRES", "LBSTRESN").replace("mg/dL", "mmol/L")
    rows = rows_of(table(name))
    beyond = {(r["USUBJID"], r["LBDTC"]) for r in rows if not r["LBSTRESN"]}  # charted as <40
    in_mg = read(name, without=())
    in_mmol = read(name, standard, into="standard", without=())
    assert in_mg.account()["rows_examined"] == len(rows)
    assert in_mmol.account()["rows_examined"] == len(rows) - len(beyond)

    def found(ran):
        return Counter(
            (f["report"], f["taken_at"][:16], f["check"])
            for f in findings(ran.into)
            if (f["report"], f["taken_at"][:16]) not in beyond
        )

    assert found(in_mmol) == found(in_mg)
    assert len(found(in_mg)) > 10


def test_needs_shared_data_glucose_in_the_wrong_unit_is_one_finding(read):
    name = "cdisc-pilot-glucose.csv"
    wrong = SETS[name].replace("LBORRES", "LBSTRESN")  # mmol/L, said to be mg/dL
    account = read(name, wrong).account()
    (whole,) = account["batch_findings"]
    assert (whole["column"], whole["stated"], whole["fits"]) == ("LBSTRESN", "mg/dL", "mmol/L")
    assert whole["parts"] > 1700
    assert account["sets_part_of_batch"] > 1700
    right = read(name, into="right").account()
    assert right["batch_findings"] == []


def test_needs_shared_data_all_tables_in_one_run_end_in_one_summary(audit, shared_data):
    tables = sorted(path for path in shared_data.iterdir() if path.suffix in (".csv", ".tsv"))
    ran = audit(*tables)
    assert ran.status == 3  # some need a mapping, and some hold no vital signs
    inputs = {path.name: read for path, read in zip(tables, ran.account()["inputs"], strict=True)}
    for path in tables:
        read = inputs[path.name]
        if "error" in read:
            assert f"{path}: {read['error']}" in ran.err
            assert path.name in NO_VITALS or SETS[path.name]
        else:
            assert read["rows_read"] == len(rows_of(path))
            assert read["rows_unread"] == 0
    understood = [name for name, read in inputs.items() if "error" not in read]
    assert {name for name, mapping in SETS.items() if not mapping} <= set(understood)
    total = sum(read["rows_read"] for read in inputs.values())
    assert f"{total:,} rows read" in ran.out
