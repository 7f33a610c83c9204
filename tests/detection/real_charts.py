"""Real sets of vital signs as charted, in one form: a report, its sets in order, text in cells.

Nothing is edited. What is put together says so: NHANES readings come without times and are taken to
lie a minute apart (the survey takes three in a row), intensive-care readings of one hour are one
set, and a monitor's 0.0 is no reading (all common practice, no source). Half of the reports, by
their number, are for training: only on them are constants of the model settled.
"""

import csv
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

Set = dict[str, str]

# By sign, as the files written for the audit head their columns.
COLUMNS = {
    "systolic": "SBP mmHg",
    "diastolic": "DBP mmHg",
    "mean_pressure": "MAP mmHg",
    "pulse": "Pulse",
    "ecg_rate": "ECG Rate",
    "respiratory_rate": "RR",
    "saturation": "SpO2 %",
    "glucose": "Glucose mg/dL",
    "temperature": "Temp C",
    "coma_eye": "GCS Eye",
    "coma_verbal": "GCS Verbal",
    "coma_motor": "GCS Motor",
    "coma_total": "GCS Total",
}


@dataclass(frozen=True)
class Report:
    id: str
    age: str
    sets: list[Set] = field(default_factory=list)  # text by sign
    minutes: list[int | None] = field(default_factory=list)


def is_for_training(number: str) -> bool:
    """Identifiers are all even or not, so that bit says nothing; the next one does."""
    return int(number) // 2 % 2 == 0


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def filled(cells: dict[str, str | None]) -> Set:
    return {sign: text for sign, text in cells.items() if text not in (None, "", "NA")}


def nhanes(data: Path) -> list[Report]:
    reports: dict[str, Report] = {}
    for row in rows_of(data / "nhanes-2009-2012.csv"):
        report = reports.setdefault(row["ID"], Report(row["ID"], row["Age"]))
        cells = {"systolic": row["BPSys"], "diastolic": row["BPDia"], "pulse": row["Pulse"]}
        report.minutes.append(len(report.sets))
        report.sets.append(filled(cells))
    return list(reports.values())


def crash2(data: Path) -> list[Report]:
    names = {
        "systolic": "sbp",
        "pulse": "hr",
        "respiratory_rate": "rr",
        "coma_eye": "gcseye",
        "coma_verbal": "gcsverbal",
        "coma_motor": "gcsmotor",
        "coma_total": "gcs",
    }
    return [
        Report(
            row["entryid"],
            row["age"],
            [filled({sign: row[name] for sign, name in names.items()})],
            [None],
        )
        for row in rows_of(data / "crash2-trauma.csv")
    ]


ICU_NAMES = {
    "NISysABP": "systolic",
    "NIDiasABP": "diastolic",
    "NIMAP": "mean_pressure",
    "HR": "pulse",
    "RespRate": "respiratory_rate",
    "SaO2": "saturation",
    "Glucose": "glucose",
    "Temp": "temperature",
    "GCS": "coma_total",
}
CUFF = ("systolic", "diastolic", "mean_pressure")


def icu(data: Path) -> list[Report]:
    """Of each hour the first reading of every sign; the cuff's three of one minute."""
    by_stay: dict[str, dict[int, dict[int, Set]]] = defaultdict(lambda: defaultdict(dict))
    ages: dict[str, str] = {}
    for row in rows_of(data / "icu-2012.csv"):
        hours, minutes = row["Time"].split(":")
        at = 60 * int(hours) + int(minutes)
        if row["Parameter"] == "Age":
            ages[row["RecordID"]] = row["Value"]
        elif row["Parameter"] in ICU_NAMES:
            at_once = by_stay[row["RecordID"]][at // 60].setdefault(at, {})
            at_once.setdefault(ICU_NAMES[row["Parameter"]], row["Value"])
    reports = []
    for stay, hours_of_stay in by_stay.items():
        report = Report(stay, ages.get(stay, ""))
        for _, moments in sorted(hours_of_stay.items()):
            report.minutes.append(min(moments))
            report.sets.append(one_set([moments[at] for at in sorted(moments)]))
        reports.append(report)
    return reports


def one_set(moments: list[Set]) -> Set:
    merged: Set = {}
    for moment in moments:
        cuff_begun = any(sign in merged for sign in CUFF)
        for sign, text in moment.items():
            if sign not in merged and not (sign in CUFF and cuff_begun):
                merged[sign] = text
    return merged


MONITOR_NAMES = {
    "systolic": "ABPSys",
    "diastolic": "ABPDias",
    "mean_pressure": "ABPMean",
    "pulse": "PULSE",
    "ecg_rate": "HR",
    "respiratory_rate": "RESP",
    "saturation": "SpO2",
}


def monitor(data: Path) -> list[Report]:
    """One patient's monitor, twenty minutes a report, since no call lasts so long."""
    reports: dict[int, Report] = {}
    for row in rows_of(data / "monitor-numerics.csv"):
        minute = int(row["minute"])
        number = 2 * (minute // 20)
        report = reports.setdefault(number, Report(str(number), ""))
        cells = {s: row[name] for s, name in MONITOR_NAMES.items() if row[name] != "0.0"}
        if filled(cells):
            report.minutes.append(minute)
            report.sets.append(filled(cells))
    return [report for report in reports.values() if report.sets]


SOURCES = {"nhanes": nhanes, "crash2": crash2, "icu": icu, "monitor": monitor}


def write(path: Path, reports: list[Report]) -> None:
    """A table as an agency would export it; elapsed times, blank cells where nothing is charted."""
    signs = [s for s in COLUMNS if any(s in one for report in reports for one in report.sets)]
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        timed = any(at is not None for report in reports for at in report.minutes)
        head = ["report", "age"] + (["time"] if timed else [])
        table.writerow(head + [COLUMNS[sign] for sign in signs])
        for report in reports:
            for at, one in zip(report.minutes, report.sets, strict=True):
                when = [f"{at // 60:02}:{at % 60:02}"] if timed and at is not None else []
                table.writerow([report.id, report.age, *when] + [one.get(s, "") for s in signs])
