"""Reports whose rows lie apart, and identifiers that come again."""

import csv

HEADER = "report,crew,taken_at,systolic,diastolic,pulse\n"
# Two calls at the same time, in the order in which they were charted.
BY_TIME = HEADER + (
    "26-1,M1,2026-03-01T10:00,124,80,72\n"
    "26-2,M2,2026-03-01T10:02,72,118,80\n"
    "26-1,M1,2026-03-01T10:06,122,81,74\n"
    "26-2,M2,2026-03-01T10:07,120,70,82\n"
)


def audited(audit, tmp_path, text):
    path = tmp_path / "week.csv"
    path.write_text(text, encoding="utf-8")
    return audit(path)


def test_rows_in_the_order_of_time_give_whole_reports(audit, tmp_path):
    result = audited(audit, tmp_path, BY_TIME)
    account = result.account()
    assert (account["reports"], account["sets"], account["rows_read"]) == (2, 4, 4)
    assert "put together, 2 times" in result.out
    with (result.into / "findings.csv").open(encoding="utf-8", newline="") as file:
        rejected = [row for row in csv.DictReader(file) if row["asks"] == "reject"]
    assert {(row["report"], row["set"]) for row in rejected} == {("26-2", "1")}


def test_an_identifier_that_comes_again_with_another_crew_is_said(audit, tmp_path):
    result = audited(audit, tmp_path, BY_TIME + "26-1,M9,2026-03-04T08:00,130,84,70\n")
    assert result.account()["reports"] == 3
    assert "1 repeated report identifier, first in line 6" in result.err
