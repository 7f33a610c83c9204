"""What every Python suite needs: the build under test, the program, and the outside data.

`VITALPROOF_BUILD` names the build directory, `VITALPROOF_PROGRAM` the program; without them the
release preset's are taken.
"""

import json
import os
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent


def built(path: Path) -> Path:
    """A built file; a suite that finds none fails and says how to make it."""
    if not path.is_file():
        pytest.fail(f"{path.name} is not built: cmake --build {path.parent}", pytrace=False)
    return path


@pytest.fixture(scope="session")
def build() -> Path:
    return Path(os.environ.get("VITALPROOF_BUILD", SOURCE / "build" / "release"))


@pytest.fixture(scope="session")
def program(build) -> Path:
    return built(Path(os.environ.get("VITALPROOF_PROGRAM", build / "bin" / "vitalproof")).resolve())


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """Outside data that the project does not carry; tests that need it say so in their name."""
    folder = SOURCE.parent / "shared" / "data"
    if not folder.is_dir():
        pytest.skip("needs ../shared/data, which is not part of the project")
    return folder


@pytest.fixture(scope="session")
def tool(build):
    """Feeds lines to one of the suites' own executables and answers its lines."""

    def run(name: str, *lines: str) -> list[str]:
        ran = subprocess.run(
            [built(build / "tests" / "bin" / name)],
            input="".join(line + "\n" for line in lines),
            capture_output=True,
            text=True,
            timeout=120,
        )
        assert ran.returncode == 0, ran.stderr
        return ran.stdout.splitlines()

    return run


@dataclass(frozen=True)
class Audit:
    """An audit that has run: how it ended, what it said, and what it wrote."""

    status: int
    out: str
    err: str
    into: Path

    def account(self) -> dict:
        return json.loads((self.into / "audit.json").read_text(encoding="utf-8"))


@pytest.fixture
def audit(program, tmp_path):
    """Runs `vitalproof audit FILE... --into DIR`; more options may follow the files."""

    def run(*files_and_options, into: str = "out", environment=None) -> Audit:
        command = [program, "audit", *map(str, files_and_options), "--into", tmp_path / into]
        ran = subprocess.run(
            command,
            capture_output=True,
            text=True,
            errors="replace",
            timeout=300,
            env=os.environ | (environment or {}),
        )
        return Audit(ran.returncode, ran.stdout, ran.stderr, tmp_path / into)

    return run
