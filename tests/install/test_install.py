"""`cmake --install`, then a stranger's project that builds the README example."""

import subprocess
from pathlib import Path

import pytest
from sanitizer import setting

HERE = Path(__file__).resolve().parent
SOURCE = HERE.parents[1]


def run(*command):
    ran = subprocess.run(list(map(str, command)), capture_output=True, text=True, timeout=600)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout


@pytest.fixture(scope="module")
def consumer(build, tmp_path_factory):
    """The consumer's build folder, against a fresh installation."""
    prefix = tmp_path_factory.mktemp("prefix")
    folder = tmp_path_factory.mktemp("consumer")
    run("cmake", "--install", build, "--prefix", prefix)
    run(
        "cmake",
        "-S",
        HERE,
        "-B",
        folder,
        "-G",
        "Ninja",
        f"-DCMAKE_PREFIX_PATH={prefix}",
        "-DCMAKE_BUILD_TYPE=Release",
        # A library under a sanitizer links with its like alone.
        *(f"-D{name}={setting(build, name)}" for name in ("CMAKE_CXX_COMPILER", "CMAKE_CXX_FLAGS")),
    )
    run("cmake", "--build", folder)
    return folder


def readme_example():
    text = (SOURCE / "README.md").read_text(encoding="utf-8")
    return text.split("```cpp\n")[1].split("```")[0]


def test_the_readme_example_is_the_one_that_is_built():
    assert (HERE / "example.cpp").read_text(encoding="utf-8") == readme_example()


def test_the_example_is_under_thirty_lines():
    assert len(readme_example().splitlines()) < 30


@pytest.mark.parametrize("kind", ["headers", "compiled"])
def test_an_installed_target_examines_a_report(consumer, kind):
    said = run(consumer / f"example_{kind}").splitlines()
    assert (
        "pressure.order: Set 1: Systolic 72 mmHg is not above diastolic 118 mmHg. Please check "
        "both against the monitor record."
    ) in said
    assert not any(line.startswith(("unit.", "impossible.")) for line in said)


def test_both_targets_say_the_same(consumer):
    assert run(consumer / "example_headers") == run(consumer / "example_compiled")
