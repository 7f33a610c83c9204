"""The limits file: printed, edited, fed back, and refused when it is wrong."""

import subprocess

import pytest


def limits(program, *options):
    return subprocess.run(
        [program, "limits", *map(str, options)], capture_output=True, text=True, timeout=60
    )


def write(path, text):
    path.write_text(text, encoding="utf-8")
    return path


REPORTS = "report,systolic,diastolic\na,310,80\nb,290,80\nc,120,113\n"


def test_what_is_printed_reads_back_to_the_same_limits(program, tmp_path):
    printed = limits(program).stdout
    again = limits(program, "--limits", write(tmp_path / "all.toml", printed)).stdout

    def figures(text):
        return [line.split("  # ")[0] for line in text.splitlines() if not line.startswith("#")]

    assert len(figures(printed)) > 100
    assert figures(again) == figures(printed)
    assert "set in" not in printed and f"set in {tmp_path}/all.toml" in again


def test_every_figure_says_where_it_came_from(program):
    for line in limits(program).stdout.splitlines():
        if " = " in line and not line.startswith(("#", "schema")):
            assert "  # default: " in line, line


def test_a_changed_limit_changes_what_is_found_and_is_accounted_for(program, audit, tmp_path):
    reports = write(tmp_path / "reports.csv", REPORTS)
    agency = write(
        tmp_path / "agency.toml",
        'schema = 1\n[impossible.systolic]\nhigh = "320 mmHg"\n'
        '[pressure.narrow]\nunder = "5 mmHg"\n',
    )
    before = audit(reports, into="before").account()
    after = audit(reports, "--limits", agency, into="after").account()
    assert before["by_check"]["impossible.systolic"] == 1
    assert before["by_check"]["pressure.narrow"] == 1
    assert "impossible.systolic" not in after["by_check"]
    assert "pressure.narrow" not in after["by_check"]
    set_by_file = after["limits"]["tables"]["impossible.systolic"]["high"]
    assert set_by_file == {"value": "320 mmHg", "from": str(agency)}
    assert before["limits"]["tables"]["impossible.systolic"]["high"]["from"] == "default"


def test_a_limit_may_be_given_in_another_unit_of_its_sign(program, tmp_path):
    agency = write(
        tmp_path / "agency.toml",
        'schema = 1\n[contradiction.alert_with_glucose]\nunder = "1 mmol/L"\n'
        '[impossible.temperature]\nhigh = "113 °F"\n'
        '[impossible.systolic]\nhigh = "40 kPa"\n',
    )
    printed = limits(program, "--limits", agency).stdout
    # 18.0156 mg/dL by 180.156 g/mol (UCUM); 113 °F is 45 °C; 40 kPa / 0.133322387415.
    assert 'under = "18.0156 mg/dL"' in printed
    assert 'high = "45 °C"' in printed
    assert 'high = "300.02463 mmHg"' in printed


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('schema = 1\n[pressure.narow]\nunder = "5 mmHg"\n', 'mean "pressure.narrow"'),
        ('schema = 1\n[pressure.narrow]\nundr = "5 mmHg"\n', 'mean "under"'),
        ("schema = 1\n[pressure.narrow]\nunder = 5\n", "a number with its unit"),
        ('schema = 1\n[pressure.narrow]\nunder = "5 mg/dL"\n', "mmHg or kPa"),
        ('schema = 1\n[pressure.narrow]\nunder = "five mmHg"\n', "a number with its unit"),
        ('schema = 1\n[pressure.narrow]\non = "no"\n', "true or false"),
        ("schema = 1\n[usual.systolic]\non = false\n", "not a check"),
        ('schema = 1\n[impossible.systolic]\nlow = "301 mmHg"\n', "low is above high"),
        ("[pressure.narrow]\non = false\n", "schema = 1"),
        ("schema = 2\n", "schema is 2"),
        ("schema = 1\n[pressure.narrow\n", "not TOML"),
        ("schema = 1\nfoo = 3\n", "not a table"),
    ],
)
def test_a_wrong_limits_file_is_refused_with_its_name_and_a_remedy(program, tmp_path, text, said):
    agency = write(tmp_path / "agency.toml", text)
    ran = limits(program, "--limits", agency)
    assert ran.returncode == 2
    assert said in ran.stderr and str(agency) in ran.stderr
    assert ran.stdout == ""


def test_a_missing_limits_file_is_wrong_usage(program, tmp_path):
    ran = limits(program, "--limits", tmp_path / "none.toml")
    assert ran.returncode == 2 and "none.toml cannot be read" in ran.stderr


def test_kinds_families_and_checks_can_be_left_out(program, audit, tmp_path):
    reports = write(tmp_path / "reports.csv", "report,systolic,diastolic\na,80,90\n")
    everything = audit(reports, into="all").account()["by_check"]
    assert {"pressure.order", "swapped.pressure", "clinical.systolic_low"} <= set(everything)
    no_clinical = audit(reports, "--without", "clinical", into="a").account()["by_check"]
    assert not any(code.startswith("clinical.") for code in no_clinical)
    no_family = audit(reports, "--without", "pressure", into="b").account()
    assert "pressure.order" not in no_family["by_check"]
    assert "pressure.order" in no_family["limits"]["off"]
    no_check = audit(reports, "--without", "swapped.pressure", into="c").account()["by_check"]
    assert "swapped.pressure" not in no_check and "pressure.order" in no_check


def test_an_unknown_name_to_leave_out_gets_a_suggestion(program, audit, tmp_path):
    reports = write(tmp_path / "reports.csv", REPORTS)
    ran = audit(reports, "--without", "clincal")
    assert ran.status == 2 and 'Did you mean "clinical"?' in ran.err
    assert not ran.into.exists()
