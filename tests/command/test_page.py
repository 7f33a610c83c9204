"""The reviewer's page as a file: its options, its mode, and sources that the linters like."""

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from standard_reports import document, report, vitals
from support import findings, written

PAGE = Path(__file__).parents[2] / "lib" / "page"
ROW = "report,crew,time,SBP,DBP\n1,Ann Miller,2026-03-01T10:00,1139,80\n"


def data_of(into) -> dict:
    html = (into / "audit.html").read_text(encoding="utf-8")
    (text,) = re.findall(r'<script type="application/json" id="data">(.*?)</script>', html, re.S)
    return json.loads(text)


@pytest.fixture
def with_page(audit, tmp_path):
    """Audits of a program that has the page."""
    ran = audit(written(tmp_path, ROW, "probe.csv"), into="probe")
    if not (ran.into / "audit.html").exists():
        pytest.skip("this program was built without Node, so without the page")
    return audit


def decisions_of(folder, content) -> Path:
    text = content if isinstance(content, str) else json.dumps(content)
    return written(folder, text, "decisions.json")


def test_the_page_is_readable_by_its_owner_alone(with_page, tmp_path):
    ran = with_page(written(tmp_path, ROW))
    assert (ran.into / "audit.html").stat().st_mode & 0o777 == 0o600
    assert "audit.html" in ran.out


def test_the_page_holds_the_findings_of_the_table(with_page, tmp_path):
    ran = with_page(written(tmp_path, ROW))
    shown = {(f[6], f[7]) for f in data_of(ran.into)["findings"]}
    assert shown == {(row["question"], row["fingerprint"]) for row in findings(ran.into)}


def test_crews_are_numbers_unless_asked_for(with_page, tmp_path):
    week = written(tmp_path, ROW)
    hidden = with_page(week, into="hidden").into / "audit.html"
    assert "Miller" not in hidden.read_text(encoding="utf-8")
    shown = with_page(week, "--show-crews", into="shown")
    assert [crew["name"] for crew in data_of(shown.into)["crews"]] == ["Ann Miller"]


def test_decisions_are_carried_on_even_of_reports_not_there(with_page, tmp_path):
    one = {"fingerprint": "0123456789abcdef0123", "decision": "stands", "note": "</script>&"}
    file = decisions_of(tmp_path, {"schema": 1, "decisions": [one]})
    ran = with_page(written(tmp_path, ROW), "--decisions", file)
    (carried,) = data_of(ran.into)["decisions"]
    assert carried.items() >= one.items()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("not JSON", "not a JSON object"),
        ("[]", "not a JSON object"),
        ({"decisions": []}, 'no "schema": 1'),
        ({"schema": 2, "decisions": []}, "its schema is 2"),
        ({"schema": 1}, 'no list of "decisions"'),
        ({"schema": 1, "decisions": [{}]}, 'entry 1 has no "decision"'),
        ({"schema": 1, "decisions": [{"decision": "stands"}]}, 'entry 1 has no "fingerprint"'),
        ({"schema": 1, "decisions": [7]}, "is no object"),
    ],
)
def test_a_file_of_no_decisions_is_wrong_usage(with_page, tmp_path, content, said):
    ran = with_page(written(tmp_path, ROW), "--decisions", decisions_of(tmp_path, content))
    assert ran.status == 2
    assert said in ran.err
    assert not ran.into.exists()


def test_a_missing_file_of_decisions_is_wrong_usage(with_page, tmp_path):
    ran = with_page(written(tmp_path, ROW), "--decisions", tmp_path / "none.json")
    assert ran.status == 2
    assert "none.json cannot be read" in ran.err


def test_the_gravest_are_kept_and_the_rest_counted(with_page, tmp_path):
    """Notices, clinical ones among them, give way to rejects; the page says how many."""
    lines = ["report,time,SBP,DBP,HR,SpO2,RR"]
    lines += [f"{n},2026-03-01T10:00,60,40,160,75,40" for n in range(20_000)]
    lines += ["last,2026-03-01T10:00,1139,80,80,97,16"]
    ran = with_page(written(tmp_path, "\n".join(lines)))
    data = data_of(ran.into)
    asked = [data["checks"][f[3]]["asks"] for f in data["findings"]]
    assert len(asked) == 50_000
    assert (
        data["left_out"] == sum(data["counts"][a] for a in ("reject", "query", "notice")) - 50_000
    )
    assert asked.count("reject") == data["counts"]["reject"] >= 1
    assert "last" in {report["id"] for report in data["reports"]}
    shown = {f[0] for f in data["findings"]}
    assert shown == set(range(len(data["reports"])))


@pytest.mark.parametrize("tool", ["typescript/bin/tsc", "eslint/bin/eslint.js"])
def test_the_sources_of_the_page_pass(tool):
    script = PAGE / "node_modules" / tool
    if not shutil.which("node") or not script.is_file():
        pytest.skip("needs Node and lib/page/node_modules (.ci/setup)")
    done = subprocess.run(
        ["node", script, "."] if "eslint" in tool else ["node", script],
        cwd=PAGE,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_what_was_done_is_named_as_it_was(with_page, tmp_path):
    given = [
        {
            "eMedications.01": "2026-03-01T14:35:00-06:00",
            "eMedications.03": f"@CodeType=9924003|{c}",
        }
        for c in ("4850", "7242")
    ]
    sets = [vitals("14:32:00", systolic="1139", diastolic="80", glucose="41")]
    week = written(
        tmp_path, document(report("x1", sets, groups={"MedicationGroup": given})), "w.xml"
    )
    (shown,) = data_of(with_page(week).into)["reports"]
    assert [event[0] for event in shown["events"]] == ["sugar", "naloxone"]
