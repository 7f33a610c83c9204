"""clean: what the policy says is changed, nothing else, and the ledger leads back."""

import math

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
import vitalproof as vp
from frames import FRAMES, numpy_frame
from hypothesis import given, settings
from hypothesis import strategies as st

NULLED = {
    (1, "systolic"): "pressure.order",
    (1, "diastolic"): "pressure.order",
    (3, "systolic"): "impossible.systolic",
}


def values(frame) -> dict[str, list]:
    """Any frame as lists, missing values as None."""
    if isinstance(frame, np.ndarray):
        frame = {name: frame[name] for name in frame.dtype.names}
    if isinstance(frame, pd.DataFrame):
        frame = {name: frame[name].astype(object).tolist() for name in frame}
    if hasattr(frame, "__arrow_c_stream__") or hasattr(frame, "__arrow_c_array__"):
        frame = pa.table(frame).to_pydict()
    return {str(name): [plain(v) for v in column] for name, column in dict(frame).items()}


def plain(value):
    missing = value is None or value is pd.NA or (isinstance(value, float) and math.isnan(value))
    return None if missing else value.item() if isinstance(value, np.generic) else value


@pytest.mark.parametrize("kind", FRAMES)
def test_a_frame_of_any_kind_is_cleaned_and_led_back(kind):
    frame = FRAMES[kind]()
    cleaned = vp.clean(frame)
    changed = {(line["row"], line["column"]): line["check"] for line in cleaned.ledger}
    assert {(r, list(values(frame)).index(c)) for r, c in changed} == {(1, 1), (1, 2), (3, 1)}
    before, after = values(frame), values(cleaned.frame)
    for at, (name, column) in enumerate(before.items()):
        expected = [
            None if (row, at) in {(1, 1), (1, 2), (3, 1)} else value
            for row, value in enumerate(column)
        ]
        assert [v or None for v in after[name]] == [v or None for v in expected]
    assert values(cleaned.ledger.restore(cleaned.frame)) == before
    if not isinstance(frame, vp_capsules()):
        assert type(cleaned.frame) is type(frame)


def vp_capsules() -> tuple[type, ...]:
    return tuple(type(FRAMES[kind]()) for kind in ("stream capsule", "array capsule"))


def test_a_ledger_has_a_line_for_each_value():
    cleaned = vp.clean(numpy_frame())
    assert {(line["row"], line["column"]): line["check"] for line in cleaned.ledger} == NULLED
    first = cleaned.ledger.records()[0]
    assert (first["row"], first["report"], first["sign"]) == (1, "1", "systolic")
    assert (first["was"], first["became"], first["unit"]) == ("72.0", None, "mmHg")
    assert first["source"] == vp.checks["pressure.order"].source
    assert cleaned.policy == {"reject": "null"}
    for table in (pa.table(cleaned.ledger), cleaned.ledger.to_polars(), cleaned.ledger.to_pandas()):
        assert len(table) == 3


@pytest.mark.parametrize(
    "kind", ["pandas", "pandas nullable", "polars", "pyarrow", "dict of NumPy"]
)
def test_a_ledger_read_back_from_a_file_leads_back_too(kind, tmp_path):
    frame = FRAMES[kind]()
    cleaned = vp.clean(frame)
    path = tmp_path / "ledger.csv"
    cleaned.ledger.to_pandas().to_csv(path, index=False)
    for ledger in (pd.read_csv(path, dtype=str), cleaned.ledger.to_arrow()):
        assert values(vp.restore(cleaned.frame, ledger)) == values(frame)


def test_what_a_table_cannot_lead_back_is_refused():
    lists = vp.clean({"systolic": [1139.0, 120.0]})
    with pytest.raises(TypeError, match="own restore"):
        vp.restore(lists.frame, lists.ledger.to_pandas())
    named = vp.clean(pl.DataFrame({"systolic": ["120", "Jane Doe"]}), policy={"unreadable": "null"})
    (line,) = named.ledger
    assert line["was"] == "text of 8 characters"
    with pytest.raises(ValueError, match="may not be shown"):
        vp.restore(named.frame, named.ledger.to_polars())
    assert named.ledger.restore(named.frame)["systolic"].to_list() == ["120", "Jane Doe"]


def test_the_closest_name_of_a_policy_counts():
    frame = numpy_frame()
    assert len(vp.clean(frame, policy={"reject": "keep"}).ledger) == 0
    by_check = vp.clean(frame, policy={"pressure.order": "keep"})
    assert [line["check"] for line in by_check.ledger] == ["impossible.systolic"]
    by_family = vp.clean(frame, policy={"pressure": "keep", "pressure.order": "null"})
    assert len(by_family.ledger) == 3
    more = vp.clean(frame, policy={"unlikely": "null"})
    assert (4, "pulse") in {(line["row"], line["column"]) for line in more.ledger}


def test_each_value_a_check_speaks_of_may_have_its_own_action():
    frame = pd.DataFrame({"eye": [0], "verbal": [0], "motor": [0], "total": [9]})
    frame = frame.add_prefix("gcs ")
    parts = dict.fromkeys(("coma_eye", "coma_verbal", "coma_motor"), "null")
    cleaned = vp.clean(frame, policy={"coma.parts_zero": parts})
    assert {line["sign"] for line in cleaned.ledger} == set(parts)
    assert cleaned.frame["gcs total"].tolist() == [9]
    with pytest.raises(ValueError, match='Did you mean "coma_eye"'):
        vp.clean(frame, policy={"coma.parts_zero": {"coma_eyes": "null"}})


def test_a_value_is_given_as_if_meant_in_another_unit():
    frame = pd.DataFrame({"temp": [36.6, 98.6], "glucose": [100.0, 110.0]})
    cleaned = vp.clean(frame, policy={"unit": "convert"})
    (line,) = cleaned.ledger
    assert (line["check"], line["was"]) == ("unit.temperature_fahrenheit", "98.6")
    assert float(line["became"]) == pytest.approx(37.0, abs=1e-9)
    assert cleaned.frame["temp"].tolist() == [36.6, float(line["became"])]
    pd.testing.assert_frame_equal(cleaned.ledger.restore(cleaned.frame), frame)


def test_a_pair_in_kilopascals_is_converted_together():
    frame = {"systolic": np.array([16.0, 120.0]), "diastolic": np.array([10.6, 80.0])}
    cleaned = vp.clean(frame, policy={"unit": "convert"})
    assert {line["check"] for line in cleaned.ledger} == {"unit.pressure"}
    np.testing.assert_allclose(cleaned.frame["systolic"], [16 * 7.500617, 120], rtol=1e-6)
    np.testing.assert_allclose(cleaned.frame["diastolic"], [10.6 * 7.500617, 80], rtol=1e-6)


def test_whole_numbers_get_room_for_a_missing_value_or_are_refused():
    frame = pd.DataFrame({"systolic": np.array([1139, 120])})
    cleaned = vp.clean(frame)
    assert cleaned.frame["systolic"].dtype == "Int64"
    pd.testing.assert_frame_equal(cleaned.ledger.restore(cleaned.frame), frame)
    arrays = vp.clean({"systolic": np.array([1139, 120])})
    assert arrays.frame["systolic"].dtype == np.float64
    assert arrays.ledger.restore(arrays.frame)["systolic"].dtype == np.int64
    with pytest.raises(ValueError, match="nullable"):
        vp.clean({"systolic": np.array([2**60 + 1, 120])})


def test_a_structured_array_of_whole_numbers_says_what_it_lacks():
    frame = np.array([(1139,)], dtype=[("systolic", np.int64)])
    with pytest.raises(ValueError, match='"systolic" of int64 has no room'):
        vp.clean(frame)


def test_a_whole_pressure_is_nulled_as_it_stands():
    frame = pl.DataFrame({"bp": ["120/80", "72/118", "1139/90"], "note": ["a", "b", "c"]})
    cleaned = vp.clean(frame)
    assert cleaned.frame["bp"].to_list() == ["120/80", None, None]
    assert cleaned.ledger.restore(cleaned.frame).equals(frame)


def test_an_index_and_duplicated_other_columns_stay():
    frame = pd.DataFrame([[1139.0, 1, 2]], index=["x"], columns=["systolic", "note", "note"])
    cleaned = vp.clean(frame)
    assert cleaned.frame.index.tolist() == ["x"]
    assert list(cleaned.frame.columns) == ["systolic", "note", "note"]
    pd.testing.assert_frame_equal(cleaned.ledger.restore(cleaned.frame), frame)


def test_a_policy_that_names_no_check_or_action_is_an_error():
    with pytest.raises(ValueError, match=r'Did you mean "pressure\.order"'):
        vp.clean(numpy_frame(), policy={"presure.order": "null"})
    with pytest.raises(ValueError, match="keep, null, convert"):
        vp.clean(numpy_frame(), policy={"reject": "drop"})


def test_a_policy_on_a_check_that_is_not_asked_of_rows_is_said():
    cleaned = vp.clean(numpy_frame(), policy={"tube.without_co2": "null"})
    assert "tube.without_co2 nulls nothing: it looks at a whole report" in cleaned.notes[0]


numbers = st.one_of(
    st.floats(width=64),
    st.floats(width=64, allow_nan=False).map(lambda x: float(round(x)) if abs(x) < 1e9 else x),
    st.integers(0, 400).map(float),
    st.sampled_from([-0.0, 98.6, 5.4, 16.0, 10.6, 37.0]),
)
frames = st.integers(1, 12).flatmap(
    lambda rows: st.fixed_dictionaries(
        {
            name: st.lists(numbers, min_size=rows, max_size=rows)
            for name in ("systolic", "diastolic", "pulse", "temp", "glucose", "saturation")
        }
        | {"coma_eye": st.lists(st.integers(-1, 9), min_size=rows, max_size=rows)}
    )
)
policies = st.dictionaries(
    st.sampled_from(["reject", "query", "unit", "unlikely", "zero", "impossible", "pressure"]),
    st.sampled_from(["keep", "null", "convert"]),
)
MAKERS = {
    "NumPy": lambda f: {name: np.array(column) for name, column in f.items()},
    "pandas": pd.DataFrame,
    "pandas of Arrow": lambda f: pa.table(f).to_pandas(types_mapper=pd.ArrowDtype),
    "polars": pl.DataFrame,
    "pyarrow": pa.table,
}


def bits(frame) -> dict[str, list[str]]:
    """The type of each column and its values to the last bit."""
    names = frame.column_names if isinstance(frame, pa.Table) else list(frame)
    if isinstance(frame, pl.DataFrame):
        names = frame.columns
    return {name: bits_of(frame[name]) for name in names}


def bits_of(column) -> list[str]:
    arrow = isinstance(column, pa.ChunkedArray)
    listed = column.to_pylist() if arrow else column.tolist() if is_array(column) else list(column)
    kind = str(column.type if arrow else column.dtype)
    return [kind, *(v.hex() if isinstance(v, float) else str(v) for v in listed)]


def is_array(column) -> bool:
    return isinstance(column, np.ndarray)


@pytest.mark.parametrize("kind", MAKERS)
@settings(max_examples=60, deadline=None)
@given(columns=frames, policy=policies)
def test_original_is_cleaned_and_ledger_to_the_last_bit(kind, columns, policy):
    frame = MAKERS[kind](columns)
    before = bits(frame)
    cleaned = vp.clean(frame, policy=policy, judge_units=False)
    assert bits(frame) == before
    assert bits(cleaned.ledger.restore(cleaned.frame)) == before
    after = bits(cleaned.frame)
    changed = {(line["column"], line["row"]) for line in cleaned.ledger}
    for name, (_, *column) in before.items():
        for row, was in enumerate(column):
            same = after[name][row + 1] == was or float_of(after[name][row + 1]) == float_of(was)
            assert same or (name, row) in changed


def float_of(text: str) -> float | None:
    try:
        return float.fromhex(text) if "x" in text else float(text)
    except ValueError:
        return None
