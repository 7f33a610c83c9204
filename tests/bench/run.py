"""Measures all that docs/performance.md tells, and writes it.

    cmake --build build/release --target bench
    PYTHONPATH=tests .venv/bin/python -m bench.run --largest 500MB --only delimited memory

The first is the second without options. Needs memory for ten million rows five times over, and room
on the disk for the largest file and its findings; data lie in the build directory while they are
needed. `--quick` takes small data and one round: it shows that everything still runs, and its
figures mean nothing.
"""

import argparse
import os
import shutil
import sys
from dataclasses import replace
from pathlib import Path

from bench.document import Row, performance
from bench.machine import Machine, compiler_of
from bench.measuring import MEGABYTE, Settings, in_own_process

SOURCE = Path(__file__).resolve().parents[2]
SEED = 20260301
ROWS = ("columns", "ten_checks", "delimited", "standard_xml", "memory", "one_report", "python_call")


def size(text: str) -> int:
    number, unit = int(text[:-2]), text[-2:]
    return number * {"kB": 10**3, "MB": 10**6, "GB": 10**9}[unit]


def full(build: Path, work: Path, largest: int) -> Settings:
    return Settings(
        build=build,
        work=work,
        seed=SEED,
        rounds=9,  # half as many leave the medians to the load of the moment
        rows=10_000_000,
        csv_bytes=500 * MEGABYTE,
        xml_bytes=300 * MEGABYTE,
        memory_bytes=(*(s for s in (50 * MEGABYTE, 500 * MEGABYTE) if s < largest), largest),
        repeats=3000,
    )


def part_of(settings: Settings, part: int) -> Settings:
    return replace(
        settings,
        rows=settings.rows // part,
        csv_bytes=settings.csv_bytes // part,
        xml_bytes=settings.xml_bytes // part,
        memory_bytes=tuple(size // part for size in settings.memory_bytes),
    )


def small(settings: Settings) -> Settings:
    return replace(
        settings,
        rounds=1,
        rows=20_000,
        csv_bytes=2 * MEGABYTE,
        xml_bytes=2 * MEGABYTE,
        memory_bytes=(MEGABYTE, 2 * MEGABYTE),
        repeats=3,
    )


def measured(name: str, settings: Settings) -> Row:
    print(f"{name} ...", flush=True)
    # Libraries choose their threads when they are loaded; each row's are gone when it is done.
    row = in_own_process(f"bench.{name}", settings)
    for goal in row.goals:
        print("  " + " | ".join(goal.line(row.work)), flush=True)
    return row


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--build", type=Path, default=SOURCE / "build" / "release")
    parser.add_argument("--into", type=Path, default=SOURCE / "docs" / "performance.md")
    parser.add_argument("--work", type=Path, help="for data; a folder of the build by default")
    parser.add_argument("--largest", type=size, default=size("5GB"), help="of the files audited")
    parser.add_argument("--part", type=int, default=1, help="10: a tenth of all data")
    parser.add_argument("--quick", action="store_true", help="small data, one round")
    parser.add_argument("--only", choices=ROWS, nargs="+", default=ROWS, help="rows to measure")
    chosen = parser.parse_args()
    build = chosen.build.resolve()
    settings = full(build, chosen.work or build / "bench", chosen.largest)
    settings = small(settings) if chosen.quick else part_of(settings, chosen.part)
    os.environ["POLARS_MAX_THREADS"] = "1"
    sys.path.insert(0, str(settings.build / "python"))
    shutil.rmtree(settings.work, ignore_errors=True)
    settings.work.mkdir(parents=True)
    machine = Machine(compiler_of(settings.build))
    try:
        rows = [measured(name, settings) for name in chosen.only]
    finally:
        shutil.rmtree(settings.work)
    chosen.into.write_text(performance(rows, settings, machine, chosen.quick), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
