"""A seeded slice of the measurement in docs/detection.md: results must not drop.

Sources: NHANES 2009-2012, CRASH-2, PhysioNet Challenge 2012 and a monitor's numerics, as
../shared/data has them. The floors lie a little below what was measured with the same seed.
"""

import pytest
from detection.detecting import measure, wilson
from detection.planted import KINDS
from detection.real_charts import COLUMNS, SOURCES, Report, write

SLIPS = [kind for kind in KINDS if kind.found is not None]


@pytest.fixture(scope="module")
def measured(program, shared_data, tmp_path_factory):
    return measure(
        program,
        shared_data,
        tmp_path_factory.mktemp("detection"),
        seed=7,
        most=40,
        training=False,
        reports_of_each=400,
    )


def shares(measured, kind, awake=False) -> tuple[int, float, float]:
    rows = [o for c, o in measured.cases if c.kind == kind and not (awake and c.altered)]
    found = sum(o.found for o in rows) / len(rows)
    return len(rows), found, sum(o.first for o in rows) / len(rows)


@pytest.mark.parametrize("kind", [k for k in SLIPS if k.found == 0.97], ids=lambda k: k.name)
def test_needs_shared_data_plain_slips_are_found_and_explained(measured, kind):
    count, found, _ = shares(measured, kind.name)
    _, _, first = shares(measured, kind.name, awake=True)
    assert count >= 20
    assert found >= 0.95
    assert first >= FIRST_OF_AWAKE.get(kind.name, 0.90)


# What docs/detection.md reports, less what a small sample may fall short by.
FIRST_OF_AWAKE = {"unit_glucose": 0.75}


@pytest.mark.parametrize(
    ("kind", "least_found", "least_first"),
    [
        ("transposed", 0.62, 0.48),
        ("dropped", 0.90, 0.32),
        ("doubled", 0.97, 0.80),
        ("one_too_many", 0.95, 0.45),
    ],
)
def test_needs_shared_data_slips_of_a_digit_are_found(measured, kind, least_found, least_first):
    _, found, first = shares(measured, kind)
    assert found >= least_found
    assert first >= least_first


def test_needs_shared_data_a_strong_guess_is_right_and_seldom_made_where_none_can_be(measured):
    strong = [o for c, o in measured.cases if o.strength == "strong" and c.kind != "two_wrong"]
    assert sum(o.first for o in strong) / len(strong) >= 0.95
    unknown = [o for c, o in measured.cases if c.kind == "two_wrong"]
    assert sum(o.strength == "strong" for o in unknown) / len(unknown) <= 0.25


def test_needs_shared_data_real_sets_are_left_in_peace(measured):
    sets = sum(u.sets for u in measured.untouched.values())
    assert 1000 * sum(u.asked for u in measured.untouched.values()) / sets <= 10
    assert 1000 * sum(u.slips for u in measured.untouched.values()) / sets <= 1


def test_needs_shared_data_noise_is_not_called_a_slip(measured):
    _, found, first = shares(measured, "last_digit")
    assert found < 0.2
    assert first < 0.05


def test_an_interval_is_that_of_a_published_example():
    """Newcombe 1998, Statistics in Medicine 17:857, table I, method 3: 81 of 263."""
    low, high = wilson(81, 263)
    assert (round(low, 4), round(high, 4)) == (0.2553, 0.3662)


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.name)
def test_a_planted_slip_says_what_it_hid(kind):
    import random

    one = {sign: "98" for sign in COLUMNS} | {"systolic": "120", "diastolic": "80", "pulse": "104"}
    one |= {"temperature": "36.8", "glucose": "140", "respiratory_rate": "18"}
    if kind.name == "wrong_field":
        del one["respiratory_rate"]
    made = next((m for m in (kind.plant(one, random.Random(i)) for i in range(200)) if m), None)
    assert made is not None
    planted, hid = made
    assert planted != one
    restored = {sign: text for sign, text in (planted | hid).items() if sign in one}
    assert restored == one


def test_a_table_is_written_as_it_was_read(tmp_path):
    report = Report("7", "40", [{"pulse": "80"}, {"systolic": "12O"}], [0, 65])
    write(tmp_path / "t.csv", [report])
    assert (tmp_path / "t.csv").read_text(encoding="utf-8").splitlines() == [
        "report,age,time,SBP mmHg,Pulse",
        "7,40,00:00,,80",
        "7,40,01:05,12O,",
    ]


def test_every_source_is_measured():
    assert set(SOURCES) == {"nhanes", "crash2", "icu", "monitor"}
