"""Three ways to the same findings: single reports, columns, and the program.

Random reports hold every state a reading can be in: numbers on and around limits, zeros of either
sign, NaN, infinities, whole numbers beyond 64 bits, HI, LO, absences with each reason, and texts
that are no value; with ages, times, methods and what is known of the patient.
"""

import csv
import math
import os
import subprocess
import tempfile
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
import vitalproof as vp
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

# More may be asked for; the last test prints how many there were.
EXAMPLES = int(os.environ.get("VITALPROOF_EXAMPLES", "150"))

SIGNS = [s for s in vp.signs.values() if s.name != "responsiveness"]
LEVELS = ["A", "V", "P", "U", "alert", "pain", "", "refused", "?"]
STATES = ["HI", "LO", ">600", "<20", "refused", "N/A", "unable", "not recorded", "", "12O", "#REF!"]
FACTS = ["arrest", "compressions", "airway_tube", "ventilated", "paced", "assist_device"]
EDGES = [0.0, -0.0, 1.0, -1.0, 2.0**53 + 2, 2.0**64, 10.0**25, 1e-7, 98.6, 36.6, 5.4, 600.0]
NO_NUMBERS = [math.nan, math.inf, -math.inf]
START = datetime(2026, 3, 1, 23, 50)


def limits_of(sign: vp.Sign) -> list[float]:
    """The figures a check may compare the sign with, and their neighbours."""
    tables = (f"impossible.{sign.name}", f"unlikely.{sign.name}", f"usual.{sign.name}")
    limits = vp.Limits()
    figures = [limit.value for t in tables if t in limits for limit in limits[t].values()]
    return [figure + step for figure in figures for step in (-1.0, -0.5, 0.0, 0.5, 1.0)]


def numbers(sign: vp.Sign) -> st.SearchStrategy[float]:
    return st.one_of(
        st.sampled_from(limits_of(sign)),
        st.integers(0, 260).map(float),
        st.sampled_from(EDGES),
        st.sampled_from(NO_NUMBERS),
    )


@dataclass
class Set:
    minute: int | None
    readings: dict[str, float | str]
    known: dict[str, bool]
    pressure_method: str | None

    def time(self) -> datetime | None:
        return None if self.minute is None else START + timedelta(minutes=self.minute)


@dataclass
class Call:
    age: float | None
    disposition: str | None
    sets: list[Set] = field(default_factory=list)


@st.composite
def calls(draw) -> list[Call]:
    """Reports with fewer sets than would let a column's numbers speak about its unit."""
    columns = {
        sign.name: st.one_of(numbers(sign), st.sampled_from(STATES))
        if draw(st.booleans())
        else numbers(sign)
        for sign in draw(st.lists(st.sampled_from(SIGNS), min_size=1, unique=True))
    }
    if draw(st.booleans()):
        columns["responsiveness"] = st.sampled_from(LEVELS)
    facts = st.fixed_dictionaries({}, optional={name: st.booleans() for name in FACTS})
    sets = st.builds(
        Set,
        minute=st.none() | st.integers(0, 90),
        readings=st.fixed_dictionaries(columns),
        known=facts,
        pressure_method=st.sampled_from([None, None, "machine", "ear", "palpated"]),
    )
    return draw(
        st.lists(
            st.builds(
                Call,
                age=st.none() | st.sampled_from([0.01, 0.5, 1.99, 2.0, 15.9, 16.0, 40.0, 65.0]),
                disposition=st.sampled_from([None, "refused", "dead on scene", "transported"]),
                sets=st.lists(sets, min_size=1, max_size=6),
            ),
            min_size=1,
            max_size=3,
        )
    )


def cell(reading: float | str) -> str:
    """A number as a file holds it: all its digits, no exponent."""
    if isinstance(reading, str):
        return reading
    if math.isnan(reading):
        return ""
    if math.isinf(reading):
        return str(reading)
    return format(Decimal(repr(reading)), "f")


def is_set(one: Set) -> bool:
    return any(cell(reading) for reading in one.readings.values())


def identifier(number: int) -> str:
    return f"R{number}"


def as_reports(batch: list[Call]) -> list[vp.Report]:
    return [
        vp.Report(
            identifier(n),
            [as_vital_set(one) for one in call.sets if is_set(one)],
            age=call.age,
            disposition=call.disposition,
        )
        for n, call in enumerate(batch)
        if any(is_set(one) for one in call.sets)
    ]


def as_vital_set(one: Set) -> vp.VitalSet:
    readings = {
        name: reading
        if isinstance(reading, str)
        else vp.Quantity(reading, vp.Unit(vp.signs[name].unit))
        for name, reading in one.readings.items()
    }
    return vp.VitalSet(one.time(), known=one.known, pressure_method=one.pressure_method, **readings)


def as_frame(batch: list[Call]) -> dict[str, object]:
    rows = [(n, call, one) for n, call in enumerate(batch) for one in call.sets]
    frame: dict[str, object] = {
        "report": [identifier(n) for n, _, _ in rows],
        "age": np.array([math.nan if c.age is None else c.age for _, c, _ in rows]),
        "disposition": [c.disposition for _, c, _ in rows],
        "time": np.array(
            ["NaT" if one.minute is None else one.time() for _, _, one in rows],
            dtype="datetime64[s]",
        ),
        "pressure method": [one.pressure_method for _, _, one in rows],
    }
    for name in FACTS:
        frame[name] = [one.known.get(name) for _, _, one in rows]
    for name in batch[0].sets[0].readings:
        readings = [one.readings[name] for _, _, one in rows]
        if any(isinstance(r, str) for r in readings):
            frame[name] = [cell(r) for r in readings]
        else:
            frame[name] = np.array(readings, dtype=np.float64)
    return frame


def write_csv(frame: dict[str, object], batch: list[Call], path: Path) -> None:
    rows = [one for call in batch for one in call.sets]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(frame)
        for at, one in enumerate(rows):
            known = [{True: "yes", False: "no", None: ""}[one.known.get(f)] for f in FACTS]
            age = frame["age"][at]
            time = one.time()
            writer.writerow(
                [
                    frame["report"][at],
                    "" if math.isnan(age) else repr(float(age)),
                    frame["disposition"][at] or "",
                    "" if time is None else time.isoformat(),
                    one.pressure_method or "",
                    *known,
                    *(cell(one.readings[name]) for name in batch[0].sets[0].readings),
                ]
            )


def by_program(program: Path, frame: dict[str, object], batch: list[Call]) -> list[tuple]:
    with tempfile.TemporaryDirectory() as folder:
        path, into = Path(folder, "batch.csv"), Path(folder, "audit")
        write_csv(frame, batch, path)
        ran = subprocess.run(
            [program, "audit", path, "--into", into, "--quiet"], capture_output=True, text=True
        )
        assert ran.returncode == 0, ran.stderr
        with (into / "findings.csv").open(encoding="utf-8", newline="") as file:
            return [
                (f["report"], int(f["set"]), f["check"], f["fingerprint"])
                for f in csv.DictReader(file)
                if f["check"] not in ("clock.device", "repeated.report")  # of a batch, not a frame
            ]


def told(findings: vp.Findings) -> list[tuple]:
    return [(f["report"], f["set"], f["check"], f["fingerprint"]) for f in findings]


seen = {"examples": 0, "findings": 0, "checks": set()}


@settings(
    max_examples=EXAMPLES,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(batch=calls())
@example(
    batch=[
        Call(None, None, [Set(0, {"pulse": 0.0, "exhaled_co2": -0.0}, {"airway_tube": True}, None)])
    ]
)
def test_reports_columns_and_the_program_find_the_same(program, batch):
    frame = as_frame(batch)
    by_records = told(vp.examine(as_reports(batch)))
    found = vp.examine(frame, threads=2)
    assert told(found) == by_records
    assert by_program(program, frame, batch) == by_records

    flags = vp.flag(frame, threads=2)
    flagged = {(int(row), code) for code in flags for row in np.flatnonzero(flags[code].fired)}
    assert flagged == {(f["row"], f["check"]) for f in found if f["check"] in flags}
    for code in flags:
        assert not (flags[code].fired & ~flags[code].evaluated).any()

    seen["examples"] += 1
    seen["findings"] += len(found)
    seen["checks"] |= {f["check"] for f in found}


def test_the_examples_above_were_many_and_not_about_nothing():
    if not seen["examples"]:
        pytest.skip("the test above did not run")
    print(
        seen["examples"], "examples,", seen["findings"], "findings,", len(seen["checks"]), "checks"
    )
    assert seen["examples"] >= EXAMPLES
    assert seen["findings"] > 10 * EXAMPLES
    # Checks of reports and batches ask for times of a call, treatments and other files.
    of_reports = ("after", "arrest", "clock", "ending", "gap", "holds", "standard", "tube")
    reachable = [code for code in vp.checks if code.split(".")[0] not in of_reports]
    assert len(seen["checks"]) > len(reachable) // 2
