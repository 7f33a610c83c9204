"""Invented files: written by bench_data, from a seed."""

import json
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from bench.measuring import Settings
from standard_reports import document, report


@dataclass(frozen=True)
class DataFile:
    path: Path
    account: dict  # what it holds, as its writer counted

    @property
    def bytes(self) -> int:
        return self.account["bytes"]


def made(settings: Settings, form: str, size: int, *more: Path) -> DataFile:
    path = settings.work / f"{size}.{form}"
    words = [settings.tool("data"), form, str(size), str(settings.seed), *more]
    with path.open("wb") as file:
        ran = subprocess.run(words, stdout=file, stderr=subprocess.PIPE, check=True)
    return DataFile(path, json.loads(ran.stderr))


@contextmanager
def csv_file(settings: Settings, size: int) -> Iterator[DataFile]:
    file = made(settings, "csv", size)
    try:
        yield file
    finally:
        file.path.unlink()


@contextmanager
def xml_file(settings: Settings, size: int) -> Iterator[DataFile]:
    frame = settings.work / "frame.xml"
    frame.write_text(frame_text(), encoding="utf-8")
    file = made(settings, "xml", size, frame)
    try:
        yield file
    finally:
        file.path.unlink()
        frame.unlink()


def frame_text() -> str:
    """A document with one report of one set; words in braces are what bench_data fills in. Every
    element that the standard requires of a report is there."""
    one_set = {
        "eVitals.01": "{time}",
        "eVitals.02": "9923001",
        "eVitals.06": "{systolic}",
        "eVitals.07": "{diastolic}",
        "eVitals.09": "{mean_pressure}",
        "eVitals.10": "{pulse}",
        "eVitals.12": "{saturation}",
        "eVitals.14": "{respiratory_rate}",
        "eVitals.16": "@ETCO2Type=3340001|{exhaled_co2}",
        "eVitals.18": "{glucose}",
        "eVitals.19": "{coma_eye}",
        "eVitals.20": "{coma_verbal}",
        "eVitals.21": "{coma_motor}",
        "eVitals.23": "{coma_total}",
        "eVitals.24": "{temperature}",
        "eVitals.26": "{responsiveness}",
    }
    call = {
        "eResponse.14": "{crew}",
        "eTimes.01": "{first-26}",
        "eTimes.03": "{first-25}",
        "eTimes.05": "{first-24}",
        "eTimes.06": "{first-9}",
        "eTimes.07": "{first-2}",
        "eTimes.09": "{first+14}",
        "eTimes.11": "{last+2}",
        "eTimes.12": "{last+6}",
        "eTimes.13": "{last+30}",
        "ePatient.15": "64",
        "ePatient.16": "2516009",
    }
    # The identifier is replaced behind: the report's UUID is made of it.
    whole = document(report("000000000000", [one_set], call))
    named = whole.replace(">000000000000<", ">{report}<")
    return named.replace('-303030303030"', '-{number}"')
