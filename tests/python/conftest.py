"""The package as it was built beside the program, and the public data."""

import os
import sys
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2]
BUILD = Path(os.environ.get("VITALPROOF_BUILD", SOURCE / "build" / "release"))
PACKAGE = BUILD / "python"

sys.path.insert(0, str(PACKAGE))


def pytest_report_header() -> str:
    return f"package: {PACKAGE}"


@pytest.fixture(scope="session")
def package() -> Path:
    """Where the package under test lies."""
    return PACKAGE
