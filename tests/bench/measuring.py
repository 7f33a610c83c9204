"""How the benchmarks measure: settings, rounds taken in turns, programs run to their end."""

import importlib
import json
import random
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

MEGABYTE = 1_000_000


@dataclass(frozen=True)
class Settings:
    build: Path
    work: Path  # for data; emptied afterwards
    seed: int
    rounds: int
    rows: int  # of the columns
    csv_bytes: int
    xml_bytes: int
    memory_bytes: tuple[int, ...]
    repeats: int  # of what takes microseconds

    @property
    def program(self) -> Path:
        return self.build / "bin" / "vitalproof"

    def tool(self, name: str) -> Path:
        return self.build / "tests" / "bin" / f"bench_{name}"


class Times:
    """Seconds by what took them, a list with one of each round."""

    def __init__(self, seconds: Mapping[str, list[float]]) -> None:
        self.seconds = dict(seconds)

    def __getitem__(self, name: str) -> float:
        return statistics.median(self.seconds[name])

    def ratio(self, slower: str, faster: str) -> float:
        """How many times as long one takes: the median over rounds, so that load on the machine
        that comes and goes falls on both."""
        pairs = zip(self.seconds[slower], self.seconds[faster], strict=True)
        return statistics.median(a / b for a, b in pairs)

    def spread(self, name: str) -> str:
        """The median, and between what the rounds lay."""
        all_of_it = self.seconds[name]
        return f"{self[name]:.3f} ({min(all_of_it):.3f}-{max(all_of_it):.3f})"


def in_turns(rounds: int, ways: Mapping[str, Callable[[], float]]) -> Times:
    """Each way once a round; a way answers the seconds it took.

    The order is drawn anew for every round: what runs behind a program that gave back gigabytes
    pays for memory that the machine has to find again, and always to run behind the same would be
    measured too.
    """
    seconds: dict[str, list[float]] = {name: [] for name in ways}
    order = list(ways)
    drawn = random.Random(len(order))
    for _ in range(rounds):
        drawn.shuffle(order)
        for name in order:
            seconds[name].append(ways[name]())
    return Times(seconds)


def seconds_of(work: Callable[[], Any]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


@dataclass(frozen=True)
class Ran:
    seconds: float
    peak_bytes: int


def run_program(settings: Settings, *words: str | Path) -> Ran:
    """Runs the program under test to its end; counted from before its start."""
    return Ran(**answer_of([settings.tool("run"), settings.program, *words]))


def answer_of(words: Sequence[str | Path]) -> Any:
    """What a program prints, as JSON."""
    ran = subprocess.run([str(word) for word in words], stdout=subprocess.PIPE, check=True)
    return json.loads(ran.stdout)


def run_python(module: str, *words: Any) -> Any:
    """What a module of these prints in an interpreter of its own, as JSON."""
    return answer_of([sys.executable, "-m", module, *map(str, words)])


def in_own_process(module: str, settings: Settings) -> Any:
    """The module's `measure(settings)`, in a new interpreter."""
    with ProcessPoolExecutor(max_workers=1, mp_context=get_context("spawn")) as pool:
        return pool.submit(_measure, module, settings).result()


def _measure(module: str, settings: Settings) -> Any:
    return importlib.import_module(module).measure(settings)
