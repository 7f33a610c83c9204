"""Slips planted in the national standard's sample reports, which carry treatments and times."""

import json
import random
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from pathlib import Path

from detection.detecting import Case, Outcome, audit_files, outcome
from detection.planted import KINDS, Kind
from detection.real_charts import Set, filled

SPACE = "{http://www.nemsis.org}"
ELEMENTS = {
    "systolic": "eVitals.06",
    "diastolic": "eVitals.07",
    "pulse": "eVitals.10",
    "saturation": "eVitals.12",
    "respiratory_rate": "eVitals.14",
    "glucose": "eVitals.18",
    "temperature": "eVitals.24",
    "coma_total": "eVitals.23",
}
# An element that was emptied needs a reason, so these are left to the tables.
LEFT_OUT = ("two_numbers", "run_together", "wrong_field")


@dataclass(frozen=True)
class Place:
    file: Path
    group: int  # from 1


def groups_of(tree: ElementTree.ElementTree) -> list[ElementTree.Element]:
    return list(tree.iter(f"{SPACE}eVitals.VitalGroup"))


def element_of(group: ElementTree.Element, sign: str) -> ElementTree.Element | None:
    return next(group.iter(SPACE + ELEMENTS[sign]), None)


def set_of(group: ElementTree.Element) -> Set:
    found = {sign: element_of(group, sign) for sign in ELEMENTS}
    return filled({sign: e.text for sign, e in found.items() if e is not None})


def plant_in(place: Place, kind: Kind, dice: random.Random, into: Path) -> Case | None:
    tree = ElementTree.parse(place.file)
    group = groups_of(tree)[place.group - 1]
    one = set_of(group)
    made = kind.plant(one, dice)
    if made is None:
        return None
    planted, hid = made
    for sign, text in planted.items():
        if one.get(sign) != text:
            element_of(group, sign).text = text
    tree.write(into, encoding="utf-8", xml_declaration=True)
    total = one.get("coma_total", "")
    altered = total != "" and float(total) < 15
    new = {s: planted[s] for s in hid}
    source = "standard's samples"
    return Case(source, kind.name, into.name, place.group, (place.file.name, 0), hid, new, altered)


def of_group(findings: list[dict], group: int) -> list[dict]:
    start = f"eVitals.VitalGroup[{group}]"
    of_set = [f for f in findings if f["place"].get("element", "").startswith(start)]
    # The standard has one element for a pulse and for a rate by ECG.
    return [json.loads(json.dumps(f).replace('"ecg_rate"', '"pulse"')) for f in of_set]


def measure_samples(
    program: Path, data: Path, folder: Path, seed: int, of_each: int
) -> list[tuple[Case, Outcome]]:
    files = sorted((data / "nemsis" / "samples").glob("*.xml"))
    places = [
        Place(file, group + 1)
        for file in files
        for group in range(len(groups_of(ElementTree.parse(file))))
    ]
    cases = []
    for kind in (k for k in KINDS if k.name not in LEFT_OUT):
        dice = random.Random(f"{seed} {kind.name}")
        dice.shuffle(places)
        of_kind = 0
        for place in places:
            case = plant_in(place, kind, dice, folder / f"{kind.name}-{of_kind}.xml")
            if case is not None:
                cases.append(case)
                of_kind += 1
            if of_kind == of_each:
                break
    before = audit_files(program, files, folder / "samples")
    after = audit_files(program, sorted(folder.glob("*-*.xml")), folder / "planted")
    return [
        (
            case,
            outcome(
                case,
                of_group(after.get(case.report, []), case.set),
                of_group(before.get(case.original[0], []), case.set),
            ),
        )
        for case in cases
    ]
