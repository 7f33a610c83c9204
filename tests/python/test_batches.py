"""Batches of other engines: whole reports, and the same totals over a million rows everywhere."""

import os
import shutil
import sys

import duckdb
import numpy as np
import polars as pl
import pyarrow as pa
import pyarrow.dataset
import pyarrow.parquet
import pytest
import vitalproof as vp
from vitalproof import batches

CHECKS = ["pressure", "impossible", "change", "spike", "zero"]
MILLION = 1_000_000


@pytest.fixture(scope="module")
def million() -> pa.Table:
    """A million rows of reports with 1 to 12 sets, sorted by report and time."""
    rng = np.random.default_rng(20260301)
    sizes = rng.integers(1, 13, MILLION // 6)
    report = np.repeat(np.arange(len(sizes)), sizes)[:MILLION]
    report = np.concatenate([report, np.arange(MILLION - len(report)) + len(sizes)])
    systolic = rng.normal(130, 40, MILLION).round()
    systolic[rng.random(MILLION) < 0.01] *= 10
    pulse = rng.normal(85, 30, MILLION).round()
    pulse[rng.random(MILLION) < 0.02] = np.nan
    return pa.table(
        {
            "report": report,
            "time": np.arange(MILLION).astype("datetime64[m]").astype("datetime64[s]"),
            "systolic": systolic,
            "diastolic": (systolic * 0.65 + rng.normal(0, 12, MILLION)).round(),
            "pulse": pulse,
        }
    )


@pytest.fixture(scope="module")
def expected(million) -> dict[str, int]:
    flags = vp.flag(million, checks=CHECKS, judge_units=False)
    counts = {code: flags[code].count() for code in flags}
    assert counts["pressure.order"] > 1000
    assert counts["spike.systolic"] > 100
    return counts


def totals(tables, codes) -> dict[str, int]:
    """Counted as they come, none of them kept."""
    counted = dict.fromkeys(codes, 0)
    for table in tables:
        for code in codes:
            counted[code] += pa.compute.sum(table.column(code)).as_py() or 0
    return counted


def test_record_batches_of_any_size_give_the_same_totals(million, expected):
    for rows in (7919, 65_536):
        parts = million.to_batches(max_chunksize=rows)
        assert totals(batches.flag_batches(parts, checks=CHECKS), expected) == expected


def test_duckdb_hands_over_batches(million, expected):
    with duckdb.connect() as connection:
        connection.register("sets", million)
        reader = connection.sql("select * from sets order by report, time").to_arrow_reader(50_000)
        assert totals(batches.flag_batches(reader, checks=CHECKS), expected) == expected


def test_a_parquet_dataset_is_read_part_by_part(million, expected, tmp_path):
    each = MILLION // 20
    for number in range(20):  # files that end within a report
        part = million.slice(number * each, each)
        pa.parquet.write_table(part, tmp_path / f"{number:02}.parquet", row_group_size=20_000)
    dataset = pa.dataset.dataset(tmp_path, format="parquet")
    before = pa.total_allocated_bytes()
    most = 0

    def watched():
        nonlocal most
        for table in batches.flag_batches(batches.dataset_batches(dataset), checks=CHECKS):
            most = max(most, pa.total_allocated_bytes() - before)
            yield table

    assert totals(watched(), expected) == expected
    assert most < million.nbytes / 4


def test_polars_maps_batches(million, expected):
    lazy = pl.from_arrow(million).lazy()
    flagged = lazy.map_batches(
        lambda frame: batches.with_flags(frame, CHECKS), validate_output_schema=False
    ).collect()
    assert {code: flagged[code].sum() for code in expected} == expected


def test_findings_of_batches_count_their_rows_on(million):
    some = million.slice(0, 20_000)
    whole = vp.examine(some, checks=CHECKS, judge_units=False)
    parts = pa.concat_tables(batches.examine_batches(some.to_batches(3001), checks=CHECKS))
    assert parts.column("row").to_pylist() == [f["row"] for f in whole]
    assert parts.column("fingerprint").to_pylist() == [f["fingerprint"] for f in whole]


def sets(*reports) -> pa.Table:
    names = pa.array(list(reports), type=pa.string())
    return pa.table({"report": names, "systolic": pa.array([120.0] * len(reports), pa.float64())})


def test_no_part_ends_within_a_report():
    parts = [sets("a", "a", "b"), sets("b"), sets("b", "c"), sets(), sets("c"), sets("d")]
    whole = [part.column("report").to_pylist() for part in batches.whole_reports(parts)]
    assert [name for part in whole for name in part] == list("aabbbccd")
    held = [set(part) for part in whole]
    assert not any(a & b for n, a in enumerate(held) for b in held[n + 1 :])


def test_a_report_that_comes_again_is_refused():
    with pytest.raises(batches.SplitReportError, match=r'"a" comes again.*sort by "report"'):
        list(batches.whole_reports([sets("a", "b"), sets("c", "a"), sets("d")]))


def test_rows_that_name_no_report_stand_alone():
    parts = [sets(None, None), sets(None, "a"), sets("a")]
    whole = [p.column("report").to_pylist() for p in batches.whole_reports(parts)]
    assert [name for part in whole for name in part] == [None, None, None, "a", "a"]


def test_without_a_report_column_batches_stay_as_they_are():
    parts = [pa.table({"systolic": [1139.0]}), pa.table({"systolic": [120.0]})]
    flagged = list(batches.flag_batches(parts, checks="impossible.systolic"))
    assert [t.column("impossible.systolic").to_pylist() for t in flagged] == [[True], [False]]


def test_a_report_without_end_is_a_mistake_in_its_column(monkeypatch):
    monkeypatch.setattr(batches, "MOST_ROWS", 5)
    with pytest.raises(ValueError, match="over 5 rows"):
        list(batches.whole_reports([sets(*"aaa"), sets(*"aaa")]))


@pytest.mark.filterwarnings("ignore::FutureWarning")  # of Spark about pandas 3
def test_spark_maps_in_arrow(million, expected, package, monkeypatch):
    pyspark = pytest.importorskip("pyspark", reason="needs pyspark, which .ci/setup leaves out")
    if shutil.which("java") is None:
        pytest.skip("needs a JVM, such as Debian's openjdk-17-jre-headless")
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(package), *filter(None, sys.path)]))
    monkeypatch.setenv("PYSPARK_PYTHON", sys.executable)
    session = (
        pyspark.sql.SparkSession.builder.master("local[2]")
        .config("spark.ui.enabled", "false")
        .config("spark.sql.session.timeZone", "UTC")
        .config("spark.driver.memory", "2g")
        .getOrCreate()
    )
    try:
        frame = session.createDataFrame(million).repartition(4, "report")
        frame = frame.sortWithinPartitions("report", "time")
        fields = "report bigint, time timestamp, systolic double, diastolic double, pulse double"
        flagged = frame.mapInArrow(
            batches.spark_mapper(CHECKS), batches.spark_schema(fields, CHECKS)
        )
        sums = [pyspark.sql.functions.sum(flagged[f"`{c}`"].cast("bigint")) for c in expected]
        counted = flagged.agg(*sums).collect()[0]
    finally:
        session.stop()
    assert dict(zip(expected, (n or 0 for n in counted), strict=True)) == expected
