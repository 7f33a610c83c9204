"""Runs every suite that has been built and counts single test cases.

The C++ cases run under ctest, the Python ones under pytest; each writes a JUnit file into the
build directory, and what follows is read from those files. The last line printed is
`N passed, N failed`, with `, N skipped` after it when something was. The status is 0 only when
something ran and nothing failed. A suite that ends badly without naming a failed case counts as
one failed case, so that a crash can never pass.
"""

import argparse
import os
import re
import shutil
import subprocess
import sys
import textwrap
import time
import xml.etree.ElementTree as ElementTree
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

from sanitizer import environment_of_package

SOURCE = Path(__file__).resolve().parent.parent
LINES_SHOWN = 120


@dataclass(frozen=True)
class Case:
    name: str
    outcome: str  # passed, failed or skipped
    text: str = ""


def text_of(case: ElementTree.Element, *tags: str) -> str:
    """Message and text of the case's children with these tags, in document order."""
    parts = []
    for child in case:
        if child.tag in tags:
            message, body = child.get("message") or "", (child.text or "").strip()
            parts += [message] if message and message not in body else []
            parts += [body] if body else []
    return "\n".join(parts)


def ctest_case(case: ElementTree.Element) -> Case:
    name, status = case.get("name", "?"), case.get("status")
    if status == "run":
        return Case(name, "passed")
    skipped = case.find("skipped")
    reason = skipped.get("message", "") if skipped is not None else ""
    # ctest says "notrun" both of a test that skipped itself and of one that could not start.
    if status == "disabled" or (status == "notrun" and reason.startswith("SKIP_")):
        said = text_of(case, "system-out").splitlines()
        return Case(name, "skipped", said[-1] if said else reason or "disabled")
    return Case(name, "failed", text_of(case, "failure", "skipped", "system-out"))


def pytest_case(case: ElementTree.Element) -> Case:
    place, name = case.get("classname", ""), case.get("name", "?")
    name = f"{place}::{name}" if place else name
    if case.find("failure") is not None or case.find("error") is not None:
        return Case(name, "failed", text_of(case, "failure", "error", "system-out", "system-err"))
    skipped = case.find("skipped")
    if skipped is not None:
        return Case(name, "skipped", skipped.get("message", ""))
    return Case(name, "passed")


def read_report(report: Path, case_from) -> list[Case]:
    try:
        return [case_from(case) for case in ElementTree.parse(report).iter("testcase")]
    except (OSError, ElementTree.ParseError) as error:
        return [Case(report.name, "failed", f"The suite left no readable report: {error}")]


def run(title: str, command: list[str], report: Path, case_from, environment=None) -> list[Case]:
    """Runs one suite and answers its cases, with a failed one added when it ended badly."""
    report.parent.mkdir(parents=True, exist_ok=True)
    report.unlink(missing_ok=True)
    log = report.with_suffix(".log")
    started = time.monotonic()
    with log.open("wb") as out:
        status = subprocess.run(
            command, stdout=out, stderr=subprocess.STDOUT, cwd=SOURCE, env=environment
        ).returncode
    cases = read_report(report, case_from)
    if status != 0 and not any(case.outcome == "failed" for case in cases):
        said = log.read_text(encoding="utf-8", errors="replace")
        cases.append(Case(title, "failed", f"The suite ended with status {status}.\n{said}"))
    seconds = time.monotonic() - started
    print(f"{title}: {totals(cases)} in {seconds:.0f} s", flush=True)
    return cases


def run_ctest(arguments: argparse.Namespace) -> list[Case]:
    report = arguments.build / "reports" / "ctest.xml"
    command = [arguments.ctest, "--test-dir", str(arguments.build), "--output-junit", str(report)]
    command += ["--no-tests=ignore", "--parallel", str(os.cpu_count() or 1)]
    cases = run("C++ and compiler cases", command, report, ctest_case)
    # A case that ran out of time or crashed says nothing itself; ctest's log says how it ended.
    log = report.with_suffix(".log").read_text(encoding="utf-8", errors="replace")
    ends = dict(re.findall(r"Test +#\d+: (.*?) \.*\*\*\*(.*?) +[\d.]+ sec", log))
    return [with_end(case, ends.get(case.name, "Failed")) for case in cases]


def with_end(case: Case, end: str) -> Case:
    told = case.outcome != "failed" or end == "Failed" or end in case.text
    return case if told else replace(case, text=f"{end}\n{case.text}".strip())


def pytest_files() -> dict[str, list[Path]]:
    """The files of the Python suites: those of the package, and the others."""
    ignored = ("node_modules", "build")
    files: dict[str, list[Path]] = {"package": [], "program": []}
    for file in sorted((SOURCE / "tests").rglob("test_*.py")):
        parts = file.relative_to(SOURCE).parts
        if not any(part in ignored for part in parts):
            files["package" if parts[1] == "python" else "program"].append(file)
    return files


def run_pytest(arguments: argparse.Namespace) -> list[Case]:
    """The Python cases, told by the environment which build they are to examine.

    Two processes side by side: each suite takes minutes on one processor. The program's cases have
    one of their own, since the peak of a child's memory begins at the size of its parent, and the
    package's cases load a lot.
    """
    environment = os.environ | {
        "VITALPROOF_BUILD": str(arguments.build),
        "VITALPROOF_PROGRAM": str(arguments.build / "bin" / "vitalproof"),
    }

    def run_files(name: str, files: list[Path]) -> list[Case]:
        report = arguments.build / "reports" / f"pytest-{name}.xml"
        command = [sys.executable, "-m", "pytest", "--continue-on-collection-errors"]
        command += ["--junitxml", str(report), "-o", f"cache_dir={report.with_suffix('.cache')}"]
        command += map(str, files)
        more = environment_of_package(arguments.build) if name == "package" else {}
        return run(f"Python cases, {name}", command, report, pytest_case, environment | more)

    groups = {name: files for name, files in pytest_files().items() if files}
    with ThreadPoolExecutor(len(groups) or 1) as side_by_side:
        found = side_by_side.map(run_files, groups, groups.values())
        return [case for cases in found for case in cases]


def run_page(arguments: argparse.Namespace) -> list[Case]:
    """The reviewer's page in a browser, where there is one."""
    folder = SOURCE / "tests" / "page"
    needed = {
        "Node": shutil.which("node"),
        "chromium": shutil.which("chromium"),
        "tests/page/node_modules": (folder / "node_modules").is_dir(),
        "lib/page/node_modules": (SOURCE / "lib" / "page" / "node_modules").is_dir(),
    }
    missing = [name for name, found in needed.items() if not found]
    if missing:
        return [Case("tests/page", "skipped", f"needs {', '.join(missing)} (.ci/setup)")]
    report = arguments.build / "reports" / "page.xml"
    environment = os.environ | {
        "VITALPROOF_PROGRAM": str(arguments.build / "bin" / "vitalproof"),
        "VITALPROOF_PICTURES": str(arguments.build / "reports" / "page"),
        "PLAYWRIGHT_JUNIT_OUTPUT_FILE": str(report),
    }
    command = ["node", str(folder / "node_modules" / "@playwright" / "test" / "cli.js"), "test"]
    command += ["--config", str(folder / "playwright.config.ts"), "--reporter", "list,junit"]
    return run("Page cases", command, report, pytest_case, environment)


def totals(cases: list[Case]) -> str:
    count = {
        outcome: sum(case.outcome == outcome for case in cases)
        for outcome in ("passed", "failed", "skipped")
    }
    skipped = f", {count['skipped']} skipped" if count["skipped"] else ""
    return f"{count['passed']} passed, {count['failed']} failed{skipped}"


def show(cases: list[Case]) -> None:
    """Skipped cases with their reason, then failed ones with the end of their output."""
    for case in cases:
        if case.outcome == "skipped":
            print(f"skipped  {case.name}: {case.text or 'no reason given'}")
    for case in cases:
        if case.outcome == "failed":
            lines = case.text.splitlines()
            kept = lines[-LINES_SHOWN:]
            if len(kept) < len(lines):
                kept.insert(0, f"... {len(lines) - LINES_SHOWN} lines before these")
            print(f"\nFAILED   {case.name}\n" + textwrap.indent("\n".join(kept), "    "))


def main() -> int:
    parser = argparse.ArgumentParser(description="Run every suite and count the cases.")
    parser.add_argument("--build", type=Path, required=True, help="the build directory")
    parser.add_argument("--ctest", default="ctest", help="the ctest program")
    arguments = parser.parse_args()
    arguments.build = arguments.build.resolve()

    cases = run_ctest(arguments) + run_pytest(arguments) + run_page(arguments)
    show(cases)
    print(f"\n{totals(cases)}", flush=True)
    ran = any(case.outcome != "skipped" for case in cases)
    return 0 if ran and not any(case.outcome == "failed" for case in cases) else 1


if __name__ == "__main__":
    sys.exit(main())
