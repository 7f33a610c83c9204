"""The package as it was built beside the program, and the public data."""

import os
import sys
import types
from pathlib import Path

import pytest
from sanitizer import sanitizer_of

SOURCE = Path(__file__).resolve().parents[2]
BUILD = Path(os.environ.get("VITALPROOF_BUILD", SOURCE / "build" / "release"))
PACKAGE = BUILD / "python"

sys.path.insert(0, str(PACKAGE))


class NotThere(types.ModuleType):
    """In the place of a library that does not start: who makes a thing of it is skipped."""

    def __getattr__(self, name: str) -> type:
        if name.startswith("__"):
            raise AttributeError(name)

        def skip(*_, **__):
            pytest.skip(f"{self.__name__} does not start under the thread sanitizer")

        return type(name, (), {"__new__": skip})


if BUILD.is_dir() and sanitizer_of(BUILD) == "tsan":
    sys.modules["polars"] = NotThere("polars")


def pytest_report_header() -> str:
    return f"package: {PACKAGE}"


@pytest.fixture(scope="session")
def package() -> Path:
    """Where the package under test lies."""
    return PACKAGE
