"""Runs the fuzz targets, and keeps of what they learn the few inputs that cover it.

    cmake --preset fuzz && cmake --build --preset fuzz
    .venv/bin/python tests/fuzz/run.py --minutes 5

Targets run one after another, or several at a time. New inputs gather in the build directory; with
`--keep` the smallest of those that cover what all of them cover replace tests/fuzz/corpus, but for
the inputs put there by hand. A crash ends its target with the input's name, and the status is 1.
Prints a table: target, runs, minutes, inputs.
"""

import argparse
import re
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve().parent
SOURCE = HERE.parent.parent
LONGEST = 4096  # bytes of an input: enough for every rule, and quick
# Of a target's inputs in the project, the smallest first.
MOST_KEPT = 100
MOST_BYTES = 20_000


@dataclass(frozen=True)
class Result:
    target: str
    runs: int
    seconds: float
    inputs: int
    size: int
    crashed: str


def targets() -> list[str]:
    return sorted(path.stem for path in HERE.glob("*.cpp") if path.stem != "replay")


def size_of(folder: Path) -> tuple[int, int]:
    sizes = [file.stat().st_size for file in folder.iterdir()]
    return len(sizes), sum(sizes)


def fuzz(target: str, build: Path, minutes: float) -> Result:
    program = build / "tests" / "bin" / f"fuzz_{target}"
    work = build / "fuzz" / target
    crashes = build / "fuzz" / "crashes"
    for folder in (work, crashes):
        folder.mkdir(parents=True, exist_ok=True)
    options = [f"-max_total_time={int(minutes * 60)}", f"-max_len={LONGEST}", "-timeout=10"]
    options += [
        "-rss_limit_mb=2048",
        "-print_final_stats=1",
        f"-artifact_prefix={crashes}/{target}-",
    ]
    words = HERE / "words" / f"{target}.txt"
    options += [f"-dict={words}"] if words.is_file() else []
    began = time.monotonic()
    ran = subprocess.run(
        [program, *options, work, HERE / "corpus" / target],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        errors="replace",
    )
    seconds = time.monotonic() - began
    (build / "fuzz" / f"{target}.log").write_text(ran.stderr, encoding="utf-8")
    runs = re.search(r"number_of_executed_units: (\d+)", ran.stderr)
    crash = re.search(r"Test unit written to (\S+)", ran.stderr)
    said = crash.group(1) if crash else "" if ran.returncode == 0 else "ended badly, see its log"
    return Result(target, int(runs.group(1)) if runs else 0, seconds, *size_of(work), said)


def keep(target: str, build: Path) -> None:
    """The smallest inputs that cover what all of them do, into the project."""
    program = build / "tests" / "bin" / f"fuzz_{target}"
    kept = build / "fuzz" / f"{target}-kept"
    kept.mkdir(exist_ok=True)
    for file in kept.iterdir():
        file.unlink()
    corpus = HERE / "corpus" / target
    subprocess.run(
        [program, "-merge=1", f"-max_len={LONGEST}", kept, corpus, build / "fuzz" / target],
        check=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    by_hand = {
        file.name for file in corpus.iterdir() if not re.fullmatch("[0-9a-f]{40}", file.name)
    }
    for file in corpus.iterdir():
        if file.name not in by_hand:
            file.unlink()
    room = MOST_BYTES
    by_size = sorted(kept.iterdir(), key=lambda file: (file.stat().st_size, file.name))
    for file in by_size[:MOST_KEPT]:
        room -= file.stat().st_size
        if room < 0:
            break
        (corpus / file.name).write_bytes(file.read_bytes())


def main() -> int:
    parser = argparse.ArgumentParser(description="Run the fuzz targets.")
    parser.add_argument("targets", nargs="*", help="all of them by default")
    parser.add_argument("--build", type=Path, default=SOURCE / "build" / "fuzz")
    parser.add_argument("--minutes", type=float, default=1, help="for each target")
    parser.add_argument("--at-once", type=int, default=1)
    parser.add_argument("--keep", action="store_true", help="replace the corpus by what covers all")
    arguments = parser.parse_args()
    chosen = arguments.targets or targets()
    with ThreadPoolExecutor(arguments.at_once) as side_by_side:
        results = list(
            side_by_side.map(lambda t: fuzz(t, arguments.build, arguments.minutes), chosen)
        )
    print("| target | runs | minutes | inputs gathered | bytes |\n|---|---|---|---|---|")
    for r in results:
        print(f"| {r.target} | {r.runs:,} | {r.seconds / 60:.1f} | {r.inputs} | {r.size:,} |")
    for r in results:
        if r.crashed:
            print(f"{r.target} crashed: {r.crashed}")
    if arguments.keep:
        for target in chosen:
            keep(target, arguments.build)
    return 1 if any(r.crashed for r in results) else 0


if __name__ == "__main__":
    sys.exit(main())
