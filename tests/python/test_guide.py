"""The pages about Python do what they say: their blocks are run, in their order."""

import re
import shutil
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PLOTS = ("digits.png", "cleaned.png", "units.png")


def blocks(page: str) -> list[str]:
    text = (ROOT / page).read_text(encoding="utf-8")
    return re.findall(r"^```python\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)


def run(page: str) -> None:
    names: dict[str, object] = {}
    for number, block in enumerate(blocks(page)):
        exec(compile(block, f"{page}, block {number + 1}", "exec"), names)  # our own page


def test_needs_shared_data_the_tutorial_runs(shared_data, tmp_path, monkeypatch, capsys):
    pytest.importorskip("matplotlib", reason="needs matplotlib")
    for name in ("nhanes-2009-2012.csv", "crash2-trauma.csv"):
        (tmp_path / name).symlink_to(shared_data / name)
    monkeypatch.chdir(tmp_path)
    run("docs/tutorial-python.md")
    for plot in PLOTS:
        assert (tmp_path / plot).stat().st_size > 5000
    assert "chi-square" in capsys.readouterr().out


@pytest.mark.parametrize("page", ["docs/python.md", "README.md"])
def test_the_blocks_of_a_page_run(page, tmp_path, monkeypatch):
    assert blocks(page)
    shutil.copy(ROOT / "fixtures" / "batches" / "demo.csv", tmp_path / "week.csv")
    monkeypatch.chdir(tmp_path)
    run(page)
