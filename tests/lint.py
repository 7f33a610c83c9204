"""Reads our C++ sources with clang-format and clang-tidy, and the Python ones with ruff.

clang-tidy examines what the build directory's compile_commands.json names inside the tree;
headers are examined where those include them. The status is 0 when nothing was found.
"""

import argparse
import concurrent.futures
import json
import os
import subprocess
import sys
from pathlib import Path

SOURCE = Path(__file__).resolve().parent.parent
ROOMS = ("include", "lib", "bindings", "tests")
SKIPPED = {"node_modules", "build", "__pycache__"}


def sources(*suffixes: str) -> list[Path]:
    return sorted(
        file
        for room in ROOMS
        for file in (SOURCE / room).rglob("*")
        if file.suffix in suffixes and not SKIPPED.intersection(file.parts[len(SOURCE.parts) :])
    )


def compiled(build: Path) -> list[Path]:
    """Our own files among those the build compiles; generated ones lie outside the rooms."""
    commands = json.loads((build / "compile_commands.json").read_text(encoding="utf-8"))
    named = {Path(command["directory"], command["file"]).resolve() for command in commands}
    return sorted(named.intersection(sources(".cpp")))


def found_by(*command: str | Path) -> str:
    """What a tool found, empty when it is content."""
    ran = subprocess.run(
        [str(part) for part in command], capture_output=True, text=True, cwd=SOURCE
    )
    return "" if ran.returncode == 0 else (ran.stdout + ran.stderr).strip()


def main() -> int:
    parser = argparse.ArgumentParser(description="Read our sources with the linters.")
    parser.add_argument("--build", type=Path, required=True, help="a configured build directory")
    arguments = parser.parse_args()

    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        tidied = compiled(arguments.build)
        tidy = ("clang-tidy-14", "--quiet", "-p", arguments.build)
        jobs = [pool.submit(found_by, *tidy, file) for file in tidied]
        formatted = sources(".cpp", ".hpp")
        jobs += [
            pool.submit(found_by, "clang-format-14", "--dry-run", "-Werror", file)
            for file in formatted
        ]
        ruff = Path(sys.executable).with_name("ruff")
        python = sources(".py")
        jobs += [
            pool.submit(found_by, ruff, *words, *python)
            for words in (("check", "--quiet"), ("format", "--check"))
        ]
    findings = [text for text in (job.result() for job in jobs) if text]

    print("\n\n".join(findings))
    read = f"clang-tidy {len(tidied)}, clang-format {len(formatted)}, ruff {len(python)}"
    print(f"Files read by {read}; {len(findings)} with findings")
    return 1 if findings or not formatted else 0


if __name__ == "__main__":
    sys.exit(main())
