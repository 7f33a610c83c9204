"""The guides do what they say: every command and program in them is run, in a fresh folder."""

import csv
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def blocks(guide, language):
    text = (ROOT / "docs" / guide).read_text(encoding="utf-8")
    return re.findall(rf"^```{language}\n(.*?)^```$", text, flags=re.DOTALL | re.MULTILINE)


@pytest.fixture
def folder(program, tmp_path):
    """A folder with the demonstration batch, where the program is found by its name."""
    shutil.copy(ROOT / "fixtures/batches/demo.csv", tmp_path)
    return tmp_path


def run(command, program, folder):
    path = os.pathsep.join([str(Path(program).parent), os.environ["PATH"]])
    return subprocess.run(
        command,
        cwd=folder,
        env=os.environ | {"PATH": path},
        capture_output=True,
        text=True,
        timeout=120,
    )


@pytest.mark.parametrize("guide", ["reviewer.md", "analyst.md", "committee.md"])
def test_every_command_of_a_guide_runs(program, folder, guide):
    commands = blocks(guide, "sh")
    assert commands
    for command in commands:
        done = run(["bash", "-euo", "pipefail", "-c", command], program, folder)
        assert done.returncode == 0, f"{command}{done.stderr}"
        assert done.stderr == ""


def test_the_committees_example_is_a_limits_file(program, folder):
    (example,) = blocks("committee.md", "toml")
    (folder / "agency.toml").write_text(example, encoding="utf-8")
    done = run(["vitalproof", "limits", "--limits", "agency.toml"], program, folder)
    assert done.returncode == 0, done.stderr
    assert 'stable = "30 min"' in done.stdout and "on = false" in done.stdout


def test_the_analysts_program_lists_what_was_dropped(program, folder):
    for command in blocks("analyst.md", "sh"):
        run(["bash", "-c", command], program, folder)
    (code,) = blocks("analyst.md", "python")
    done = run([sys.executable, "-c", code], program, folder)
    assert done.returncode == 0, done.stderr
    with (folder / "dropped.csv").open(encoding="utf-8", newline="") as file:
        dropped = list(csv.DictReader(file))
    assert done.stdout.startswith(f"{len(dropped)} readings dropped\n")

    # The key of the batch says which sets it spoiled, and which check must say so.
    with (folder / "audit/findings.jsonl").open(encoding="utf-8") as lines:
        findings = [json.loads(line) for line in lines]
    rejecting = {finding["check"] for finding in findings if finding["asks"] == "reject"}
    with (ROOT / "fixtures/batches/demo-key.csv").open(encoding="utf-8", newline="") as file:
        key = list(csv.DictReader(file))
    spoiled = {
        (row["report"], row["set"]) for row in key if rejecting.intersection(row["must"].split())
    }
    assert spoiled
    found = {(row["report"], row["set"]) for row in dropped}
    assert found >= spoiled
    assert found <= {(row["report"], row["set"]) for row in key}


def test_the_fragments_of_the_developers_guide_compile(tmp_path):
    fragments = "".join(blocks("embedding.md", "cpp"))
    assert "vital_columns" in fragments
    source = tmp_path / "fragments.cpp"
    source.write_text(
        "#include <vitalproof/vitalproof.hpp>\n"
        "using namespace vitalproof;\n"
        "std::size_t use(care_report& report, vital_set& set, std::size_t rows,\n"
        "                const std::vector<double>& systolic,\n"
        "                const std::vector<double>& glucose) {\n"
        f"{fragments}return flags.rows;\n}}\n",
        encoding="utf-8",
    )
    command = ["g++", "-std=c++20", "-Wall", "-Wextra", "-Werror", "-fsyntax-only"]
    done = subprocess.run(
        [*command, "-I", ROOT / "include", source], capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr


def test_what_the_reviewers_guide_quotes_is_in_the_batch(program, folder):
    done = run(["vitalproof", "audit", "demo.csv", "--into", "out"], program, folder)
    assert "1139" in done.stdout
    with (folder / "out/findings.csv").open(encoding="utf-8", newline="") as file:
        charted = {(row["check"], row["charted"]) for row in csv.DictReader(file)}
    assert ("clinical.saturation_low", "75 %") in charted
    assert ("clinical.systolic_low", "68 mmHg") in charted
