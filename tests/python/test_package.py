"""The wheel and the source archive: what they hold, and that they work where they are installed."""

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest
from sanitizer import sanitizer_of

SOURCE = Path(__file__).resolve().parents[2]
NOTICES = {"libboost-dev", "libfmt-dev", "libhowardhinnant-date-dev", "libxml2-dev", "pybind11"}
BUILDING = ["--no-build-isolation", "--no-deps", "--disable-pip-version-check", "--quiet"]


def run(*command: object, **options) -> str:
    tools = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    ran = subprocess.run(
        [str(part) for part in command],
        capture_output=True,
        text=True,
        env=os.environ | {"PATH": tools, "CMAKE_BUILD_PARALLEL_LEVEL": "2"},
        **options,
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout


@pytest.fixture(scope="module")
def archive(build, tmp_path_factory) -> Path:
    """The source archive."""
    if sanitizer_of(build) == "tsan":
        pytest.skip("the tools that build packages do not end under the thread sanitizer")
    into = tmp_path_factory.mktemp("archive")
    build = f"import scikit_build_core.build as b; b.build_sdist({str(into)!r})"
    run(sys.executable, "-c", build, cwd=SOURCE)
    (path,) = into.glob("vitalproof-*.tar.gz")
    return path


@pytest.fixture(scope="module")
def wheel(archive, tmp_path_factory) -> Path:
    """The wheel, built from the source archive and nothing else."""
    into = tmp_path_factory.mktemp("wheel")
    run("tar", "-xzf", archive, "-C", into)
    (unpacked,) = into.glob("vitalproof-*/")
    run(sys.executable, "-m", "pip", "wheel", unpacked, "--wheel-dir", into, *BUILDING)
    (path,) = into.glob("vitalproof-*.whl")
    return path


@pytest.fixture(scope="module")
def repaired(wheel, tmp_path_factory) -> Path:
    """The wheel with the libraries it needs inside."""
    into = tmp_path_factory.mktemp("repaired")
    run(sys.executable, "-m", "auditwheel", "repair", wheel, "--wheel-dir", into)
    (path,) = into.glob("vitalproof-*.whl")
    return path


@pytest.fixture(scope="module")
def environment(repaired, tmp_path_factory) -> Path:
    """A fresh environment with the repaired wheel, which finds NumPy where the suites have it."""
    into = tmp_path_factory.mktemp("environment")
    run(sys.executable, "-m", "venv", "--without-pip", into)
    (packages,) = into.glob("lib/python*/site-packages")
    run(sys.executable, "-m", "pip", "--python", into / "bin" / "python", "install", repaired,
        "--no-deps", "--no-index", "--disable-pip-version-check", "--quiet")  # fmt: skip
    import numpy

    (packages / "numpy.pth").write_text(f"{Path(numpy.__file__).parents[1]}\n", encoding="utf-8")
    return into


def test_the_archive_holds_what_a_build_needs_and_no_more(archive):
    with tarfile.open(archive) as packed:
        names = {name.partition("/")[2] for name in packed.getnames()}
    assert {"CMakeLists.txt", "LICENSE", "pyproject.toml", "README.md"} <= names
    assert "lib/page/built.cpp" in names and not any("node_modules" in name for name in names)
    folders = {name.partition("/")[0] for name in names if "/" in name}
    assert folders == {"bindings", "docs", "include", "lib"}


def test_the_wheel_holds_the_module_its_types_and_the_notices(wheel):
    with zipfile.ZipFile(wheel) as packed:
        names = set(packed.namelist())
        held = {Path(name).stem for name in names if name.startswith("vitalproof/notices/")}
        for name in names:
            if name.startswith("vitalproof/notices/"):
                assert packed.read(name).strip(), name
    files = {p.name for p in (SOURCE / "bindings/python/vitalproof").iterdir() if p.is_file()}
    assert {f"vitalproof/{name}" for name in files} <= names
    assert any(name.startswith("vitalproof/_core.") and name.endswith(".so") for name in names)
    assert any(name.endswith("licenses/LICENSE") for name in names)
    assert held >= NOTICES


def test_the_repaired_wheel_needs_nothing_but_a_usual_linux(repaired):
    told = " ".join(run(sys.executable, "-m", "auditwheel", "show", repaired).split())
    assert "manylinux" in repaired.name
    assert 'is consistent with the following platform tag: "manylinux' in told
    with zipfile.ZipFile(repaired) as packed:
        inside = {Path(n).name.partition("-")[0] for n in packed.namelist() if ".libs/" in n}
    assert {"libdate", "libfmt", "libxml2"} <= inside


def test_an_installed_wheel_is_the_program_and_the_package(environment, program, tmp_path):
    installed = environment / "bin" / "vitalproof"
    assert run(installed, "--version") == run(program, "--version")
    file = SOURCE / "fixtures" / "batches" / "demo.csv"
    for own, into in ((installed, "wheel"), (program, "program")):
        run(own, "audit", file, "--into", tmp_path / into, "--as-of", "2026-03-01T12:00Z")
    for name in ("audit.json", "findings.csv", "findings.jsonl", "audit.html"):
        assert (tmp_path / "wheel" / name).read_bytes() == (
            tmp_path / "program" / name
        ).read_bytes()
    says = "import vitalproof as v; print(v.__file__, v.flag({'sbp': [1139.0]}).counts())"
    said = run(environment / "bin" / "python", "-c", says, cwd=tmp_path)
    assert str(environment) in said
    assert "'impossible.systolic': 1" in said


def test_a_zone_is_found_in_the_systems_database(environment, tmp_path):
    import vitalproof as vp

    assert Path(vp.zone_database, "America", "New_York").is_file()
    says = (
        "import vitalproof as v, numpy as n;"
        "t = n.array(['2026-07-01T10:00'], dtype='datetime64[s]');"
        "f = {'report': ['a'], 'time': t, 'sbp': [1139.0]};"
        "print(v.examine(f, time_zone='America/New_York')[0]['taken_at'], v.zone_database)"
    )
    said = run(environment / "bin" / "python", "-c", says, cwd=tmp_path).split()
    assert said == ["2026-07-01T10:00:00-04:00", vp.zone_database]


# What pybind11 does to every class, and to one that Python cannot make.
OF_PYBIND11 = (
    "metaclass differs",
    '.__init__ is inconsistent, stub does not have *args parameter "args"',
)


def test_the_stubs_say_what_the_module_has(package):
    command = [sys.executable, "-m", "mypy.stubtest", "vitalproof._core", "--concise"]
    ran = subprocess.run(
        [*command, "--mypy-config-file", SOURCE / "pyproject.toml"],
        capture_output=True,
        text=True,
        cwd=package,
    )
    assert ran.stderr == ""
    lines = ran.stdout.splitlines()
    assert len(lines) > 5  # it ran, and looked at the classes
    assert [line for line in lines if not line.endswith(OF_PYBIND11)] == []


def test_the_package_keeps_its_own_types(package):
    run(sys.executable, "-m", "mypy", "--config-file", SOURCE / "pyproject.toml", "-p",
        "vitalproof", "--cache-dir", os.devnull, cwd=package)  # fmt: skip
