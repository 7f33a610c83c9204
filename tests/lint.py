"""Reads our C++ sources with clang-format and clang-tidy, and the Python ones with ruff.

clang-tidy examines what the build directory's compile_commands.json names inside the tree;
headers are examined where those include them. It takes half a minute a file, so a file that was
read without a finding is remembered in the build directory by all that it comes to when its headers
are in it, and read again only when that changes: a run that is broken off goes on where it was. The
status is 0 when nothing was found.
"""

import argparse
import concurrent.futures
import hashlib
import json
import os
import shlex
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


def compiled(build: Path) -> dict[Path, list[str]]:
    """Our own files among those the build compiles, and how; generated ones lie elsewhere."""
    commands = json.loads((build / "compile_commands.json").read_text(encoding="utf-8"))
    named = {
        Path(command["directory"], command["file"]).resolve(): [
            "env",
            f"--chdir={command['directory']}",
            *shlex.split(command["command"]),
        ]
        for command in commands
    }
    return {file: named[file] for file in sources(".cpp") if file in named}


def found_by(*command: str | Path) -> str:
    """What a tool found, empty when it is content."""
    ran = subprocess.run(
        [str(part) for part in command], capture_output=True, text=True, cwd=SOURCE
    )
    return "" if ran.returncode == 0 else (ran.stdout + ran.stderr).strip()


def without_output(command: list[str]) -> list[str]:
    at = command.index("-o")
    return command[:at] + command[at + 2 :]


def tidied(file: Path, command: list[str], build: Path) -> str:
    """What clang-tidy found; files that it was content with are remembered."""
    whole = subprocess.run([*without_output(command), "-E", "-C"], capture_output=True)
    rules = (SOURCE / ".clang-tidy").read_bytes()
    key = hashlib.sha256(rules + whole.stdout).hexdigest()
    content = build / "content" / key
    if whole.returncode == 0 and content.exists():
        return ""
    found = found_by("clang-tidy-14", "--quiet", "-p", build, file)
    if not found:
        content.parent.mkdir(exist_ok=True)
        content.touch()
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description="Read our sources with the linters.")
    parser.add_argument("--build", type=Path, required=True, help="a configured build directory")
    parser.add_argument("files", type=Path, nargs="*", help="what clang-tidy reads (default: all)")
    arguments = parser.parse_args()

    chosen = {file.resolve() for file in arguments.files}
    commands = compiled(arguments.build)
    commands = {file: how for file, how in commands.items() if not chosen or file in chosen}
    formatted = sources(".cpp", ".hpp")
    ruff = Path(sys.executable).with_name("ruff")
    python = sources(".py")
    found = 0
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        jobs = [
            pool.submit(found_by, ruff, *words, *python)
            for words in (("check", "--quiet"), ("format", "--check"))
        ]
        jobs.append(pool.submit(found_by, "clang-format-14", "--dry-run", "-Werror", *formatted))
        jobs += [pool.submit(tidied, file, how, arguments.build) for file, how in commands.items()]
        for done, job in enumerate(concurrent.futures.as_completed(jobs), 1):
            if text := job.result():
                found += 1
                print(text + "\n", flush=True)
            if sys.stderr.isatty():
                print(f"\r{done} of {len(jobs)} ", end="", file=sys.stderr, flush=True)

    read = f"clang-tidy {len(commands)}, clang-format {len(formatted)}, ruff {len(python)}"
    print(f"Files read by {read}; {found} with findings")
    return 1 if found or not formatted else 0


if __name__ == "__main__":
    sys.exit(main())
