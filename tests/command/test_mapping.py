"""Mappings: the user says what the columns of a file are."""

import json
import re
import subprocess
import tomllib

import pytest
from support import findings, written

WIDE = """\
PCR,Unit,Taken At,SBP,DBP,Temp (F),Glucose,GCS
26-1,M7,2026-03-01T14:32,72,118,,,
26-2,M8,2026-03-01T15:00,,,98.6,,15
"""

# The same, a reading a row.
LONG = """\
PCR,Unit,Taken At,Vital,Value,UOM
26-1,M7,2026-03-01T14:32,SBP,72,mmHg
26-1,M7,2026-03-01T14:32,8462-4,118,mm[Hg]
26-2,M8,2026-03-01T15:00,Temp,98.6,F
26-2,M8,2026-03-01T15:00,GCS,15,
"""

# The same report under names of its own.
OWN = """\
Run No,Truck,When,Upper,Lower,Oxygen,Foo
26-1,M7,2026-03-01T14:32,72,118,0.98,Smith
"""

MAPPING = """\
schema = 1
[columns]
"Run No" = { is = "report" }
Truck = { is = "crew" }
When = { is = "time" }
Upper = { sign = "systolic" }
Lower = { sign = "diastolic", unit = "mmHg" }
Oxygen = { sign = "saturation", unit = "fraction" }
Foo = { is = "ignored" }
"""


@pytest.fixture
def columns(program):
    def run(*arguments):
        return subprocess.run(
            [program, "columns", *arguments], capture_output=True, text=True, timeout=60
        )

    return run


def test_a_mapping_reads_a_file_that_names_alone_do_not(audit, columns, tmp_path):
    own = written(tmp_path, OWN, "own.csv")
    mapping = written(tmp_path, MAPPING, "own.toml")
    assert audit(own, into="without").status == 3
    ran = audit(own, "--mapping", mapping)
    assert (ran.status, ran.err) == (0, "")
    assert {"pressure.order"} <= {f["check"] for f in findings(ran.into)}
    assert f"Read with the mapping {mapping}" in ran.out
    assert "Unit not stated, assumed: Upper in mmHg\n" in ran.out
    shown = columns(own, "--mapping", mapping).stdout
    assert f"Read with the mapping {mapping}" in shown
    assert "Oxygen  oxygen saturation in fraction, as the mapping says" in shown


def test_a_header_that_a_file_does_not_have_stops_that_file_alone(audit, tmp_path):
    own = written(tmp_path, OWN, "own.csv")
    other = written(tmp_path, OWN.replace("Oxygen", "Oxygn"), "other.csv")
    mapping = written(tmp_path, MAPPING, "own.toml")
    ran = audit(other, own, "--mapping", mapping)
    assert ran.status == 3
    assert 'has "Oxygen", and this file no such column. Did you mean "Oxygn"?' in ran.err
    assert ran.account()["rows_examined"] == 1


@pytest.mark.parametrize("command", ["audit", "columns"])
@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('schema = 1\n[columns]\na = { sign = "pluse" }\n', ':3: there is no sign "pluse". Did'),
        ("[columns]\n", "there is no schema"),
        ("schema = 1\n[columns\n", ":2: this is not TOML"),
        (None, "cannot be read"),
    ],
)
def test_a_mapping_with_a_mistake_is_wrong_usage(program, tmp_path, command, text, message):
    mapping = tmp_path / "wrong.toml"
    if text is not None:
        written(tmp_path, text, mapping.name)
    arguments = [command, written(tmp_path, OWN, "own.csv"), "--mapping", mapping]
    if command == "audit":
        arguments += ["--into", tmp_path / "out"]
    ran = subprocess.run([program, *arguments], capture_output=True, text=True, timeout=60)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert message in ran.stderr
    assert not (tmp_path / "out").exists()


FORMS = {
    "long": LONG,
    "wide": WIDE,
    "with_everything": (
        "PCR,Case,Crew,Date,Time,Patient Age (months),BP Method,Pulse Method,Source,CPR,HR,Pulse,"
        'Temp F,"Say ""ah"" \\ Foo",AVPU,Notes,Notes,,' + "x" * 60 + "\n"
        "1,2,M7,2026-03-01,14:32,18,palp,ecg,monitor,yes,80,81,98.6,a,V,b,c,d,e\n"
    ),
    "pressures_in_one_column": "report,BP (mmHg),Temp\n1,120/80,98.6\n1,72/118,98.6\n",
    "columns_that_repeat": "report,SBP 1,DBP 1,SBP 2,DBP 2\n1,120,80,72,118\n",
    "columns_that_repeat_and_share": (
        "report,Time,Time 2,CPR,CPR 3,SBP,BP2 Sys,BP2 Dia,HR 2,Pulse 2,BP 3,Temp 3 (F),SBP 9\n"
        "1,2026-03-01T10:00,2026-03-01T10:10,no,yes,120,72,118,70,71,16/10.6,98.6,1\n"
    ),
    "pressures_in_rows": (
        "report,vital,value,uom\n1,BP,72/118,mmHg\n1,NIBP (kPa),16/10.6,\n1,Temp,37,\n"
    ),
    "heart_rate_beside_pulse": (
        "report,unit,vital,value\n1,M7,HR,80\n1,M7,Pulse,81\n1,M7,Temp (F),98.6\n1,M7,RR,12\n"
        "1,M7,15074-8,5.5\n1,M7,SBP,130\n1,M7,DBP,150\n"
    ),
}


def understanding(shown):
    """What `columns` says of columns and names, without why."""
    table = [
        re.split(r"  +", line.strip().replace(", as the mapping says", ""))
        for line in shown.splitlines()
        if re.match(r" +\d+  ", line)
    ]
    assert table
    names = shown.partition("  Named in its rows:\n")[2]
    return table, names


@pytest.mark.parametrize("form", FORMS)
def test_a_printed_mapping_gives_the_same_understanding(audit, columns, tmp_path, form):
    path = written(tmp_path, FORMS[form], "file.csv")
    printed = columns(path, "--as-mapping")
    assert (printed.returncode, printed.stderr) == (0, "")
    mapping = written(tmp_path, printed.stdout, "printed.toml")
    by_names = columns(path)
    by_mapping = columns(path, "--mapping", mapping)
    assert (by_mapping.returncode, by_mapping.stderr) == (0, "")
    assert understanding(by_mapping.stdout) == understanding(by_names.stdout)
    assert "as the mapping says" in by_mapping.stdout
    audit(path, into="by_names")
    ran = audit(path, "--mapping", mapping, into="by_mapping")
    assert ran.status == 0
    assert findings(tmp_path / "by_mapping") == findings(tmp_path / "by_names")
    # And printed again it says the same.
    again = columns(path, "--mapping", mapping, "--as-mapping")
    assert again.stdout == printed.stdout


def test_as_mapping_is_for_one_file(columns, tmp_path):
    path = written(tmp_path, WIDE, "file.csv")
    ran = columns(path, path, "--as-mapping")
    assert (ran.returncode, ran.stdout) == (2, "")
    assert "--as-mapping is for one file" in ran.stderr


def test_a_stated_report_makes_a_monitors_file_readable_and_is_printed_again(
    audit, columns, tmp_path
):
    record = written(tmp_path, "SBP,DBP,Pulse\n120,80,70\n72,118,71\n,,\n", "monitor.csv")
    stated = written(tmp_path, 'schema = 1\nreport = { value = "26-\\"1\\"" }\n', "stated.toml")
    assert audit(record, into="without").status == 3
    ran = audit(record, "--mapping", stated)
    assert (ran.status, ran.err) == (0, "")
    assert 'Every row is of the report "26-"1"", as the mapping says' in ran.out
    assert {f["report"] for f in findings(ran.into)} == {'26-"1"'}
    assert [ran.account()[f"rows_{part}"] for part in ("examined", "unread", "other")] == [2, 0, 1]
    printed = columns(record, "--mapping", stated, "--as-mapping").stdout
    again = written(tmp_path, printed, "printed.toml")
    assert audit(record, "--mapping", again, into="again").status == 0
    assert findings(tmp_path / "again") == findings(ran.into)
    assert columns(record, "--mapping", again, "--as-mapping").stdout == printed


EVERY_KIND = """\
schema = 1
report = { value = "26-0113" }
[columns]
"When, at last" = { is = "time" }
Years = { is = "age", unit = "months" }
"RR 2" = { sign = "respiratory_rate", set = 2 }
"BP \\"left\\"" = { is = "pressures", unit = "kPa" }
"Müde" = { is = "ignored" }
Paced = { is = "paced" }
Upper = { sign = "saturation", unit = "fraction" }
[signs]
Zucker = { sign = "glucose", unit = "mmol/L" }
Druck = { is = "pressures" }
Schmerz = { is = "ignored" }
"""


def as_toml(value) -> str:
    """What the account has of a mapping, as one to give back."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(k)} = {as_toml(v)}" for k, v in value.items()) + " }"
    return json.dumps(value)


def mapping_of(account: dict) -> str:
    return "".join(f"{key} = {as_toml(value)}\n" for key, value in account["mapping"].items())


@pytest.mark.parametrize("own", [WIDE, OWN], ids=["names it would know", "names of its own"])
def test_an_account_has_the_mapping_and_is_enough_to_run_it_again(audit, tmp_path, own):
    file = written(tmp_path, own, "own.csv")
    said = MAPPING
    if own is WIDE:
        said = 'schema = 1\n[columns]\nSBP = { sign = "diastolic" }\nDBP = { sign = "systolic" }\n'
    when = ("--as-of", "2026-03-02T00:00Z")
    first = audit(file, "--mapping", written(tmp_path, said, "own.toml"), *when, into="first")
    account = first.account()
    assert account["mapping"] == tomllib.loads(said)
    given_back = written(tmp_path, mapping_of(account), "again.toml")
    again = audit(file, "--mapping", given_back, *when, into="again")
    assert again.account() == account
    for table in ("findings.csv", "findings.jsonl", "unread.csv"):
        assert (again.into / table).read_bytes() == (first.into / table).read_bytes()
    assert "mapping" not in audit(file, into="without").account()


def test_an_account_has_every_kind_of_entry_of_a_mapping(audit, tmp_path):
    """The file lacks these columns and cannot be read; what was said of it stands all the same."""
    file = written(tmp_path, WIDE)
    ran = audit(file, "--mapping", written(tmp_path, EVERY_KIND, "own.toml"))
    assert ran.status == 3
    account = ran.account()
    assert account["mapping"] == tomllib.loads(EVERY_KIND)
    again = audit(file, "--mapping", written(tmp_path, mapping_of(account), "again.toml"))
    assert again.account()["mapping"] == account["mapping"]
