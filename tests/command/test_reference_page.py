"""The reference page is what the catalogue says today."""

import subprocess
from pathlib import Path

PAGE = Path(__file__).resolve().parents[2] / "docs" / "checks.md"


def printed(program, *arguments):
    return subprocess.run(
        [program, "checks", *arguments], capture_output=True, text=True, timeout=60, check=True
    ).stdout


def test_the_page_is_fresh(program):
    fresh = printed(program, "--page")
    assert PAGE.read_text(encoding="utf-8") == fresh, (
        "docs/checks.md is stale: vitalproof checks --page > docs/checks.md"
    )


def test_every_check_is_on_the_page_and_in_the_list(program):
    listed = [line.split()[0] for line in printed(program).splitlines() if line[0] != " "]
    titles = [
        line[4:]
        for line in PAGE.read_text(encoding="utf-8").splitlines()
        if line.startswith("### ")
    ]
    assert len(listed) > 100
    assert listed == titles
