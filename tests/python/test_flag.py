"""flag: boolean columns from frames of every kind, in place, whatever the threads."""

import datetime
import warnings

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
import vitalproof as vp
from frames import FRAMES, VALUES, numpy_frame
from vitalproof import _core
from vitalproof._verbs import Choices, Opened

EXPECTED = {
    "pressure.order": [1],
    "impossible.systolic": [3],
    "pressure.half": [2, 3],
    "unlikely.pulse": [4],
}


def fired(flags: vp.Flags, code: str) -> list[int]:
    return np.flatnonzero(flags[code].fired).tolist()


def copied(frame, **options) -> list[str]:
    """The columns of vital signs that were not looked at where they lie."""
    choices = {"columns": None, "units": None, "dates": None, "time_zone": None}
    choices |= {"judge_units": False, "threads": 1} | options
    return Opened(frame, Choices(**choices)).table.copied()


@pytest.mark.parametrize("kind", FRAMES)
def test_a_frame_of_any_kind_gives_the_same_flags(kind):
    flags = vp.flag(FRAMES[kind]())
    assert {code: fired(flags, code) for code in EXPECTED} == EXPECTED
    assert flags.rows == len(flags) == 5
    assert flags.counts() == vp.flag(numpy_frame()).counts()
    assert flags.notes == []


def test_what_could_not_be_evaluated_is_told_apart():
    flags = vp.flag(numpy_frame())
    order = flags["pressure.order"]
    assert order.evaluated.tolist() == [True, True, False, False, True]
    assert pa.array(order).to_pylist() == [False, True, None, None, False]
    assert flags.to_pandas()["pressure.order"].tolist() == [False, True, pd.NA, pd.NA, False]
    assert flags.to_polars()["pressure.order"].to_list() == [False, True, None, None, False]


def test_a_row_without_any_sign_is_no_set_and_nothing_is_evaluated():
    flags = vp.flag({"systolic": [120.0, None], "report": ["a", "a"]})
    assert all(flags[code].evaluated.tolist()[1] is False for code in flags)
    assert flags["unreadable.systolic"].evaluated.tolist() == [True, False]


def test_flags_leave_as_arrow_without_a_copy():
    flags = vp.flag(numpy_frame())
    batch = flags.to_arrow()
    batch.validate(full=True)
    assert batch.schema.names == flags.codes
    bits = flags["pressure.order"].packed
    values = batch.column("pressure.order").buffers()[1]
    assert values.address == bits.__array_interface__["data"][0]
    assert not bits.flags.writeable
    del flags
    assert batch.column("pressure.order").to_pylist() == [False, True, None, None, False]
    table = pa.table(vp.flag(numpy_frame()))  # as a stream
    assert table.column("pressure.order").to_pylist() == [False, True, None, None, False]


def test_contiguous_and_strided_float64_are_looked_at_in_place():
    matrix = np.column_stack([np.array([120.0, 72.0]), np.array([80.0, 118.0])])
    frame = {"systolic": matrix[:, 0], "diastolic": matrix[:, 1]}
    assert copied(frame) == []
    assert copied(pd.DataFrame(matrix, columns=["systolic", "diastolic"])) == []
    assert copied(pa.table({"systolic": [120.0], "diastolic": [80.0]})) == []
    assert copied(pl.DataFrame({"systolic": [120.0], "diastolic": [80.0]})) == []
    assert copied(frame, units={"systolic": "kPa"}) == []
    reversed_rows = {name: column[::-1] for name, column in frame.items()}
    assert copied(reversed_rows) == []
    assert fired(vp.flag(reversed_rows), "pressure.order") == [0]


def test_only_what_must_be_is_copied():
    frame = pa.table({"systolic": [120.0, None], "diastolic": [80.0, 90.0], "pulse": [80, 90]})
    assert copied(frame) == ["systolic", "pulse"]


def test_the_frame_is_never_changed():
    frame = numpy_frame()
    before = {name: column.copy() for name, column in frame.items()}
    for column in frame.values():
        column.setflags(write=False)
    vp.flag(frame)
    vp.examine(frame)
    vp.clean(frame)
    for name, column in frame.items():
        np.testing.assert_array_equal(column, before[name])


@pytest.fixture(scope="module")
def many_rows() -> dict[str, np.ndarray]:
    rng = np.random.default_rng(20260301)
    rows = 200_000
    frame = {
        "report": np.sort(rng.integers(0, rows // 6, rows)),
        "time": np.arange(rows).astype("datetime64[m]").astype("datetime64[s]"),
        "systolic": rng.normal(120, 45, rows).round(),
        "diastolic": rng.normal(80, 30, rows).round(),
        "pulse": rng.normal(80, 30, rows).round(),
    }
    frame["pulse"][::7] = np.nan
    return frame


def test_threads_change_nothing(many_rows):
    one = vp.flag(many_rows, threads=1)
    for threads in (2, 3, 8):
        more = vp.flag(many_rows, threads=threads)
        assert one.codes == more.codes
        for code in one:
            np.testing.assert_array_equal(one[code].packed, more[code].packed)
            np.testing.assert_array_equal(one[code].evaluated, more[code].evaluated)
    found = vp.examine(many_rows, threads=1, limits=vp.Limits(without="clinical"))
    assert (
        found.records()
        == vp.examine(many_rows, threads=4, limits=vp.Limits(without="clinical")).records()
    )
    assert len(found) > 1000


def test_rows_of_a_report_may_lie_apart_and_out_of_order(many_rows):
    rng = np.random.default_rng(7)
    order = rng.permutation(len(many_rows["report"]))
    shuffled = {name: column[order] for name, column in many_rows.items()}
    sorted_flags, shuffled_flags = vp.flag(many_rows), vp.flag(shuffled)
    assert sorted_flags["repeated.set"].count() + sorted_flags["change.pulse"].count() > 0
    for code in sorted_flags:
        np.testing.assert_array_equal(
            sorted_flags[code].fired[order], shuffled_flags[code].fired, code
        )
        np.testing.assert_array_equal(
            sorted_flags[code].evaluated[order], shuffled_flags[code].evaluated, code
        )


def test_checks_that_are_not_asked_say_why():
    flags = vp.flag({"systolic": [120.0]}, limits=vp.Limits(without="unlikely"))
    assert "no column names the report" in flags.not_asked["change.systolic"]
    assert "examine asks it" in flags.not_asked["tube.without_co2"]
    assert "turned off" in flags.not_asked["unlikely.systolic"]
    with pytest.raises(KeyError, match="whole report"):
        flags["tube.without_co2"]
    with pytest.raises(KeyError, match=r"pressure\.order"):
        flags["presure.order"]


def test_checks_are_chosen_by_code_family_kind_and_what_is_asked():
    frame = numpy_frame()
    assert vp.flag(frame, checks="pressure.order").codes == ["pressure.order"]
    assert {c.partition(".")[0] for c in vp.flag(frame, checks=["unit", "coma"])} == {
        "unit",
        "coma",
    }
    assert all(vp.checks[c].asks == "reject" for c in vp.flag(frame, checks="reject"))
    rejected = vp.flag(frame).any(asks="reject")
    assert rejected.tolist() == vp.flag(frame, checks="reject").any().tolist()
    with pytest.raises(ValueError, match='Did you mean "pressure"'):
        vp.flag(frame, checks="presure")


@pytest.mark.parametrize(("unit", "factor"), [("kPa", 7.50061683), ("mm[Hg]", 1.0), ("mmHg", 1.0)])
def test_units_are_declared_by_usual_and_ucum_names(unit, factor):
    flags = vp.flag({"systolic": np.array([200.0, 301.0]) / factor}, units={"systolic": unit})
    assert fired(flags, "impossible.systolic") == [1]
    assert flags.understanding.units["systolic"] == ("kPa" if unit == "kPa" else "mmHg")


def test_units_are_read_from_names_as_in_a_file():
    frame = {"BGL mmol/L": [5.5], "Temp F": [98.6], "EtCO2 (kPa)": [5.0], "SpO2 %": [97]}
    units = vp.understand(frame).units
    assert units == {"BGL mmol/L": "mmol/L", "Temp F": "°F", "EtCO2 (kPa)": "kPa", "SpO2 %": "%"}
    assert vp.flag(frame).counts() == {}


def test_a_column_in_another_unit_is_read_so_and_said():
    frame = {"temp": np.full(40, 98.6)}
    with pytest.warns(vp.UnitWarning, match="°F"):
        flags = vp.flag(frame)
    assert flags["unit.temperature_fahrenheit"].count() == 0
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert vp.flag(frame, judge_units=False)["unit.temperature_fahrenheit"].count() == 40
    with pytest.warns(vp.UnitWarning, match="read as stated"):
        assert vp.flag({"temp C": np.full(40, 98.6)})["unit.temperature_fahrenheit"].count() == 40


ERRORS = {
    "unequal lengths": (
        lambda: vp.flag({"systolic": [1.0, 2.0], "pulse": [1.0]}),
        'column "pulse" has 1 rows, the others 2',
    ),
    "unknown column in a mapping": (
        lambda: vp.flag(numpy_frame(), columns={"systolc": "systolic"}),
        'Did you mean "systolic"',
    ),
    "unknown meaning in a mapping": (
        lambda: vp.flag(numpy_frame(), columns={"pulse": "puls"}),
        'Did you mean "pulse',
    ),
    "unit of no column": (
        lambda: vp.flag(numpy_frame(), units={"glucos": "mg/dL"}),
        "no column is called so",
    ),
    "unit of another sign": (
        lambda: vp.flag(numpy_frame(), units={"systolic": "mg/dL"}),
        '"mg/dL" is no unit of systolic: give mmHg or kPa',
    ),
    "no vital sign": (lambda: vp.flag({"name": ["x"]}), "no column holds a vital sign"),
    "two columns for one sign": (
        lambda: vp.flag({"sbp": [1.0], "systolic": [1.0]}),
        "systolic",
    ),
    "the long form": (
        lambda: vp.flag({"report": [1], "vital": ["SBP"], "value": [120]}),
        "Pivot it first",
    ),
    "several sets a row": (
        lambda: vp.flag({"report": [1], "SBP 1": [120], "SBP 2": [110]}),
        "a row of its own",
    ),
    "levels as numbers": (lambda: vp.flag({"avpu": [1, 2]}), "scales of responsiveness"),
    "times without a unit": (
        lambda: vp.flag({"report": [1], "time": [5], "sbp": [120]}),
        "datetime64",
    ),
    "a zone that is none": (
        lambda: vp.flag(numpy_frame(), time_zone="America/NewYork"),
        "America/New_York",
    ),
    "an order that is none": (lambda: vp.flag(numpy_frame(), dates="us"), "day-first"),
}


@pytest.mark.parametrize("case", ERRORS)
def test_misuse_is_an_error_that_names_it(case):
    call, words = ERRORS[case]
    with pytest.raises(ValueError, match=words.replace("(", r"\(")):
        call()


TYPE_ERRORS = {
    "a lazy frame": (lambda: pl.LazyFrame(VALUES), "collect"),
    "no frame": (lambda: 5, "int is no frame"),
    "complex numbers": (lambda: {"systolic": np.array([1j])}, 'column "systolic"'),
}


@pytest.mark.parametrize("case", TYPE_ERRORS)
def test_what_is_no_frame_is_a_type_error(case):
    frame, words = TYPE_ERRORS[case]
    with pytest.raises(TypeError, match=words):
        vp.flag(frame())


def test_an_arrow_type_that_holds_no_number_is_named():
    frame = pa.table({"systolic": pa.array([[1.0]]), "pulse": [80]})
    with pytest.raises(ValueError, match=r"systolic.*\+l"):
        vp.flag(frame)
    assert vp.flag(frame, columns={"systolic": None})["zero.pulse"].count() == 0


def test_other_kinds_of_columns():
    flags = vp.flag(
        pa.table(
            {
                "report": pa.array(["a", "b", None]).dictionary_encode(),
                "systolic": pa.array(["120", None, "1139"], type=pa.large_string()),
                "diastolic": pa.array([80, None, 90], type=pa.uint8()),
                "pulse": pa.array(["80", "a text that is longer", "95"], type=pa.string_view()),
                "glucose": pa.nulls(3),
                "arrest": [True, None, False],
            }
        )
    )
    assert fired(flags, "impossible.systolic") == [2]
    assert fired(flags, "unreadable.pulse") == [1]
    assert flags.notes == ["1 rows name no report, first in row 2: each is examined by itself"]


def test_whole_numbers_name_reports_exactly():
    big = 2**60
    frame = {
        "report": np.array([big, big + 1]),
        "systolic": [120.0, 121.0],
        "time": np.array(["2026-03-01T10:00", "2026-03-01T10:05"], dtype="datetime64[m]"),
    }
    found = vp.examine(frame | {"systolic": [1139.0, 1139.0]})
    assert [f["report"] for f in found] == [str(big), str(big + 1)]
    assert [f["set"] for f in found] == [1, 1]


ZONED = pd.to_datetime(["2026-07-01T14:32:00Z", "2026-07-01T14:42:00Z"])
TIMES = {
    "pandas, zone": lambda: ZONED.tz_convert("America/New_York").to_series(index=[0, 1]),
    "pandas, other resolution": lambda: (
        ZONED.tz_convert("America/New_York").as_unit("ms").to_series(index=[0, 1])
    ),
    "polars, zone": lambda: (
        pl.Series([datetime.datetime(2026, 7, 1, 14, 32), datetime.datetime(2026, 7, 1, 14, 42)])
        .dt.replace_time_zone("UTC")
        .dt.convert_time_zone("America/New_York")
    ),
    "pyarrow, zone": lambda: pa.array(
        [1782916320, 1782916920], type=pa.timestamp("s", "America/New_York")
    ),
    "texts with offsets": lambda: ["2026-07-01T10:32:00-04:00", "2026-07-01 10:42-04:00"],
}


@pytest.mark.parametrize("kind", TIMES)
def test_times_with_a_zone_show_the_wall_clock_of_the_zone(kind):
    frame = {"report": ["a", "a"], "time": TIMES[kind](), "systolic": [1139.0, 1139.0]}
    found = vp.examine(frame, checks="impossible")
    assert [f["taken_at"] for f in found] == [
        "2026-07-01T10:32:00-04:00",
        "2026-07-01T10:42:00-04:00",
    ]


def test_wall_clocks_elapsed_times_and_dates_beside_times():
    wall = {
        "report": ["a"],
        "systolic": [1139.0],
        "time": np.array(["2026-03-01T14:32"], dtype="datetime64[ns]"),
    }
    assert vp.examine(wall)[0]["taken_at"] == "2026-03-01T14:32:00"
    placed = vp.examine(wall, time_zone="America/New_York")
    assert placed[0]["taken_at"] == "2026-03-01T14:32:00-05:00"
    apart = pa.table(
        {
            "report": ["a"],
            "systolic": [1139.0],
            "date": [datetime.date(2026, 3, 1)],
            "time": [datetime.time(14, 32)],
        }
    )
    assert vp.examine(apart)[0]["taken_at"] == "2026-03-01T14:32:00"
    elapsed = wall | {"time": np.array([90], dtype="timedelta64[m]")}
    assert vp.examine(elapsed)[0]["taken_at"] == "01:30"


def test_dates_that_read_two_ways_are_said_and_settled_by_the_caller():
    frame = {"report": ["a"], "time": ["03/04/2026 10:00"], "systolic": [1139.0]}
    undecided = vp.examine(frame)
    assert undecided[0]["taken_at"] is None
    assert "dates=" in undecided.notes[0]
    assert vp.examine(frame, dates="day-first")[0]["taken_at"] == "2026-04-03T10:00:00"


def test_the_gil_is_released_while_rows_are_examined():
    import threading
    import time

    frame = {"systolic": np.random.default_rng(1).normal(120, 40, 3_000_000)}
    opened = Opened(frame, Choices(None, None, None, None, False, 1))
    codes = [c for c in vp.flag({"systolic": [1.0]})]
    counted = [0]
    done = threading.Event()

    def count():
        while not done.is_set():
            counted[0] += 1
            time.sleep(0.0005)

    other = threading.Thread(target=count)
    other.start()
    began = time.perf_counter()
    before = counted[0]
    _core.examine(opened.table, _core.Limits(), False, 1)
    opened.table.flag(_core.Limits(), codes, 1)
    seconds, steps = time.perf_counter() - began, counted[0] - before
    done.set()
    other.join()
    # Held, the other thread would stand still: a step or two at the edges.
    assert steps > 20 or seconds < 0.02
