"""The program's audit of one file, in rounds with others and with its own stages."""

import json
import shutil
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from bench.data import DataFile
from bench.document import short, table
from bench.measuring import Ran, Settings, Times, answer_of, run_program, seconds_of

# Each does what the one before does, and its own part.
STAGES = {
    "read": "bytes read",
    "parts": "{parts} parted",
    "reports": "care reports read",
    "examine": "examined and explained",
    "audit": "counted by check, sign and crew",
}


def audited(
    settings: Settings, file: DataFile, threads: int, name: str = "audit"
) -> tuple[Ran, dict]:
    """Audits with all checks, findings written; holds the account against what was written."""
    into = settings.work / name
    words = ("audit", file.path, "--into", into, "--quiet", "--threads", str(threads))
    ran = run_program(settings, *words)
    account = account_in(into)
    require_whole(account, file)
    shutil.rmtree(into)
    return ran, account


def two_at_once(settings: Settings, file: DataFile) -> float:
    """Seconds until two audits of one thread each, which share nothing, have both ended."""

    def run() -> None:
        with ThreadPoolExecutor(2) as pool:
            for ran in [pool.submit(audited, settings, file, 1, n) for n in ("one", "other")]:
                ran.result()

    return seconds_of(run)


def found_in(settings: Settings, file: DataFile) -> int:
    """How many findings there are; one thread and two give the same."""
    counts = [audited(settings, file, threads)[1]["by_check"] for threads in (1, 2)]
    if counts[0] != counts[1]:
        raise RuntimeError(f"one thread and two find otherwise in {file.path.name}")
    return sum(counts[0].values())


def size_written(settings: Settings, file: DataFile) -> int:
    """Bytes of all files that an audit of it writes."""
    into = settings.work / "audit"
    run_program(settings, "audit", file.path, "--into", into, "--quiet")
    size = sum(path.stat().st_size for path in into.iterdir())
    shutil.rmtree(into)
    return size


def merely_written(settings: Settings, size: int) -> float:
    """Seconds to write as many bytes to a new file, in the blocks that an audit writes."""
    block = bytes(256 * 1024)
    path = settings.work / "written"

    def write() -> None:
        with path.open("wb", buffering=0) as file:
            for _ in range(size // len(block)):
                file.write(block)
            file.write(block[: size % len(block)])

    seconds = seconds_of(write)
    path.unlink()
    return seconds


def account_in(into: Path) -> dict:
    return json.loads((into / "audit.json").read_text(encoding="utf-8"))


def require_whole(account: dict, file: DataFile) -> None:
    sets = file.account["sets"]
    if (account["rows_read"], account["rows_examined"]) != (sets, sets):
        raise RuntimeError(f"the program lost a row of {file.path.name}")
    if account["reports"] != file.account["reports"]:
        raise RuntimeError(f"the program counts other reports in {file.path.name}")


def ways(settings: Settings, file: DataFile) -> dict[str, Callable[[], float]]:
    """The audit by one thread and by two, two audits at once, and the stages."""
    made = {
        f"audit {n}": lambda n=n: audited(settings, file, n)[0].seconds
        for n in (1, 2)
    }  # fmt: skip
    made["two audits"] = lambda: two_at_once(settings, file)
    file.account["written"] = size_written(settings, file)
    made["written"] = lambda: merely_written(settings, file.account["written"])
    for stage in STAGES:
        made[stage] = lambda s=stage: answer_of([settings.tool("stages"), s, file.path])["seconds"]
    return made


def stages_text(times: Times, parts: str, file: DataFile) -> str:
    """Where the time of one thread goes."""
    lines = []
    before = 0.0
    for name in [*STAGES, "audit 1"]:
        label = "findings, page and account written" if name == "audit 1" else STAGES[name]
        share = 100 * (times[name] - before) / times["audit 1"]
        rate = file.bytes / times[name] / 1e6
        lines.append([label.format(parts=parts), f"{times[name]:.3f}", f"{share:.0f}", short(rate)])
        before = times[name]
    head = ["up to", "seconds", "own share, %", "MB/s so far"]
    return (
        "Where the time of one thread goes, stage by stage:\n\n"
        + table(head, lines)
        + f"\nOf the last, {times['written']:.3f} s are what the system takes for "
        f"{file.account['written'] / 1e6:,.0f} MB in a new file, whatever they say.\n"
    )


def threads_bound(times: Times, serial: float, serial_is: str) -> str:
    """What bounds two threads: what one of them does alone, and what the machine gives two."""
    share = serial / times["audit 1"]
    of_machine = 2 * times.ratio("audit 1", "two audits")
    return (
        "With two threads one reads, and whichever is free examines and puts into words; what is "
        f"written to files is written behind both. {serial_is} {100 * share:.0f} % of the work, "
        f"which by itself would allow {short(1 / max(share, 0.5))} times. Two audits at once, of "
        f"one thread each and sharing nothing, end after {short(times['two audits'])} s: two "
        f"processors of this machine do {short(of_machine)} times the work of one, and no more can "
        "come of two threads. "
    )
