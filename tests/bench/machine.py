"""What a measurement was made on: processor, versions, and how quiet it was. No names, no paths."""

import datetime
import os
import platform
import re
import resource
import subprocess
import time
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

LIBRARIES = ("numpy", "pandas", "polars", "duckdb", "pyarrow")


def first_line(*command: str) -> str:
    ran = subprocess.run(command, capture_output=True, text=True, check=True)
    return ran.stdout.splitlines()[0]


def debian_version(package: str) -> str:
    return first_line("dpkg-query", "--show", "--showformat=${Version}\\n", package)


def compiler_of(build: Path) -> str:
    """The compiler that the build directory was configured with, and its options."""
    cache = (build / "CMakeCache.txt").read_text(encoding="utf-8")
    said = dict(re.findall(r"^(CMAKE_CXX_\w+):\w+=(.*)$", cache, re.MULTILINE))
    options = said.get("CMAKE_CXX_FLAGS_RELEASE", "")
    return f"{first_line(said['CMAKE_CXX_COMPILER'], '--version')} {options}".strip()


def processor() -> str:
    text = Path("/proc/cpuinfo").read_text(encoding="utf-8")
    said = dict(re.findall(r"^(model name|cpu family|model|flags)\s*: (.*)$", text, re.MULTILINE))
    vectors = [name for name in ("avx2", "avx512f") if name in said.get("flags", "").split()]
    numbers = f"family {said.get('cpu family', '?')}, model {said.get('model', '?')}"
    return f"{said.get('model name', platform.machine())} ({numbers}; {', '.join(vectors)})"


def busy_seconds() -> float:
    """Processor time that the system has spent on anything but waiting."""
    line = Path("/proc/stat").read_text(encoding="ascii").splitlines()[0]
    user, nice, system, _, _, interrupts, soft, stolen, *_ = map(int, line.split()[1:])
    ticks = user + nice + system + interrupts + soft + stolen
    return ticks / os.sysconf("SC_CLK_TCK")


def own_seconds() -> float:
    used = [resource.getrusage(w) for w in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(u.ru_utime + u.ru_stime for u in used)


@dataclass
class Machine:
    """Made when a run begins, asked when it ends."""

    compiler: str

    def __post_init__(self) -> None:
        self._began = (time.monotonic(), busy_seconds(), own_seconds())

    def others(self) -> float:
        """The share of the processors that other programs took while this one measured."""
        began, busy, own = self._began
        seconds = (time.monotonic() - began) * (os.cpu_count() or 1)
        return max(0.0, (busy_seconds() - busy) - (own_seconds() - own)) / seconds

    def text(self, day: datetime.date) -> str:
        memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
        libraries = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
        parsers = f"libxml2 {debian_version('libxml2')}, expat {debian_version('libexpat1')}"
        return (
            f"Measured on {day}: {processor()}, {os.cpu_count()} processors, {memory:.0f} GiB, "
            f"Linux {platform.release().split('-')[0]}; {self.compiler}; "
            f"Python {platform.python_version()}, {libraries}; {parsers}. While it was measured, "
            f"other programs took {100 * self.others():.0f} % of the processors; where that is not "
            "near 0 the seconds are too long, and ratios of one thread with two say little.\n"
        )
