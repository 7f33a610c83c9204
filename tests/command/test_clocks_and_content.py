"""Clocks, gaps and what a report should hold, as the program's user meets them."""

import csv
import io
import json

import pytest
from standard_reports import document, report, vitals
from support import findings, written

COLUMNS = [
    "report",
    "device",
    "taken_at",
    "systolic",
    "diastolic",
    "pulse",
    "respiratory_rate",
    "at_patient",
    "transfer_of_care",
    "disposition",
    "complaint",
]


def table(folder, *rows, name="week.csv"):
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return written(folder, text.getvalue(), name)


def sets(identifier, *minutes, **more):
    return [
        {
            "report": identifier,
            "taken_at": f"2026-03-01T{14 + m // 60:02}:{m % 60:02}:00",
            "systolic": 120 + m % 7,
            "diastolic": 80,
            "pulse": 80 + m % 5,
            "respiratory_rate": 16,
            **more,
        }
        for m in minutes
    ]


CALL = {
    "at_patient": "2026-03-01T14:00:00",
    "transfer_of_care": "2026-03-01T14:50:00",
    "disposition": "transported",
}


def asked(ran):
    return {(f["report"], f["check"]) for f in findings(ran.into)}


def test_columns_may_hold_the_times_of_the_call(audit, tmp_path):
    early = {**CALL, "at_patient": "2026-03-01T14:20:00"}
    ran = audit(table(tmp_path, *sets("26-1", 5, 25, 45, **early)))
    assert ran.status == 0 and ran.err == ""
    found = [f for f in findings(ran.into) if f["check"] == "standard.before_patient"]
    assert [(f["set"], f["taken_at"]) for f in found] == [("1", "2026-03-01T14:05:00")]
    assert "14:20" in found[0]["question"]


def test_an_unreadable_time_of_the_call_is_told_and_nothing_else_is_lost(audit, tmp_path):
    ran = audit(table(tmp_path, *sets("26-1", 5, 25, **{**CALL, "at_patient": "at noon"})))
    assert ran.status == 0
    assert ran.account()["rows_examined"] == 2
    assert "2 unreadable times" in ran.err and "at noon" not in ran.out + ran.err


def test_columns_are_listed_as_the_times_they_are(program, tmp_path, capfd):
    import subprocess

    path = table(tmp_path, *sets("26-1", 5, **CALL))
    out = subprocess.run([program, "columns", path], capture_output=True, text=True, check=True)
    assert "time at the patient" in out.stdout and "time of the transfer of care" in out.stdout


def test_one_shift_is_named_with_the_findings_it_would_remove(audit, tmp_path):
    ran = audit(table(tmp_path, *sets("26-1", -55, -40, -15, **CALL)))
    found = findings(ran.into)
    of_times = [f for f in found if f["check"].startswith("standard.")]
    (shift,) = [f for f in found if f["check"] == "clock.slow"]
    assert [f["set"] for f in of_times] == ["1"]  # one clock, one question
    assert "60 min later" in shift["question"]
    assert "would remove: 1" in shift["question"]
    assert shift["asks"] == "notice"  # an explanation: for the reviewer


def test_a_device_with_one_offset_is_one_finding_that_names_no_crew(audit, tmp_path):
    rows = [
        row for n in range(4) for row in sets(f"26-{n}", -55, -40, -15, device="Monitor 7", **CALL)
    ]
    ran = audit(table(tmp_path, *rows))
    (device,) = [f for f in findings(ran.into) if f["check"] == "clock.device"]
    assert device["report"] == device["crew"] == device["set"] == ""
    assert device["sign"] == "device"
    assert "4 of the 4 reports with device Monitor 7" in device["question"]
    assert "slow" in device["question"]
    assert "To ask whoever keeps the monitors" in ran.out
    lines = (ran.into / "findings.jsonl").read_text(encoding="utf-8").splitlines()
    (line,) = [one for one in map(json.loads, lines) if one["check"] == "clock.device"]
    assert line["place"] == {"device": "Monitor 7"}
    entry = next(b for b in ran.account()["batch_findings"] if b["check"] == "clock.device")
    assert (entry["shift"], entry["reports"], entry["shifted"]) == (60, 4, 4)


def test_reports_that_share_sets_are_named_and_the_rest_of_the_account_stands(audit, tmp_path):
    rows = sets("26-1", 5, 10) + sets("26-2", 65, 70) + sets("26-3", 125, 133)
    for row in rows[2:4]:  # the values of the first report, an hour later
        row.update({k: rows[rows.index(row) - 2][k] for k in ("systolic", "pulse")})
    ran = audit(table(tmp_path, *rows))
    (same,) = [f for f in findings(ran.into) if f["check"] == "repeated.report"]
    assert (same["report"], same["set"]) == ("26-2", "1")
    assert "report 26-1" in same["question"]
    assert ran.account()["rows_examined"] == 6


def test_reports_are_held_against_each_other_across_files(audit, tmp_path):
    one = table(tmp_path, *sets("26-1", 5, 10), name="one.csv")
    two = table(tmp_path, *sets("26-2", 5, 10), name="two.csv")
    assert ("26-2", "repeated.report") in asked(audit(one, two))


def test_a_check_of_the_batch_can_be_turned_off(audit, tmp_path):
    path = table(tmp_path, *sets("26-1", 5, 10), *sets("26-2", 5, 10))
    off = written(tmp_path, "schema = 1\n[repeated.report]\non = false\n", "limits.toml")
    assert ("26-2", "repeated.report") not in asked(audit(path, "--limits", off))


def test_the_future_depends_on_the_moment_the_audit_speaks_for(audit, tmp_path):
    path = table(tmp_path, *sets("26-1", 5, 10))
    before = audit(path, "--as-of", "2026-02-28T00:00Z", into="before")
    after = audit(path, "--as-of", "2026-03-02T00:00Z", into="after")
    assert ("26-1", "clock.future") in asked(before)
    assert ("26-1", "clock.future") not in asked(after)


ARREST = {
    "eArrest.01": "3001005",
    "eArrest.03": "3003005",
    "eArrest.12": "3012003",
    "eArrest.14": "2026-03-01T14:30:00-06:00",
    "eArrest.15": "2026-03-01T14:50:00-06:00",
    "eArrest.16": "3016011",
    "eTimes.07": "2026-03-01T14:10:00-06:00",
    "eTimes.12": "2026-03-01T15:20:00-06:00",
    "eDisposition.28": "4228001",
    "eDisposition.30": "4230001",
}
IN_ARREST = vitals("14:35:00", systolic="0", diastolic="0", pulse="0", respiratory_rate="0")
BACK = vitals(
    "14:54:00", systolic="96", diastolic="60", pulse="104", saturation="94", respiratory_rate="12"
)
TUBE = {"eAirway.02": "2026-03-01T14:40:00-06:00", "eAirway.04": "4004001"}


def arrest_report(identifier, *airway, co2=None):
    shown = {"eVitals.16": "@ETCO2Type=3340001|" + co2} if co2 else {}
    later = vitals("15:15:00", systolic="104", diastolic="64", pulse="98", saturation="96",
                   respiratory_rate="12")  # fmt: skip
    return report(
        identifier,
        [IN_ARREST, {**BACK, **shown}, {**later, **shown}],
        ARREST,
        {"AirwayGroup": list(airway)},
    )


def test_an_arrest_with_a_pulse_that_came_back_is_not_rejected(audit, tmp_path):
    ran = audit(written(tmp_path, document(arrest_report("a1", TUBE, co2="38")), "a.xml"))
    assert [f for f in findings(ran.into) if f["asks"] == "reject"] == []
    assert not [check for _, check in asked(ran) if check.startswith("tube.without")]


def test_the_same_arrest_without_proof_of_the_tube_is_the_first_question(audit, tmp_path):
    ran = audit(written(tmp_path, document(arrest_report("a1", TUBE)), "a.xml"))
    found = findings(ran.into)
    assert [f for f in found if f["asks"] == "reject"] == []
    (proof,) = [f for f in found if f["check"] == "tube.without_co2"]
    assert (proof["asks"], proof["priority"]) == ("query", "1")


@pytest.mark.parametrize(
    ("complaint", "check"),
    [("Difficulty breathing", "holds.breathing"), ("Fall, no injury", None)],
)
def test_a_complaint_decides_what_a_report_should_hold(audit, tmp_path, complaint, check):
    ran = audit(table(tmp_path, *sets("26-1", 5, 15, 25, complaint=complaint)))
    # The table has no column of saturation: then nobody can say that it was not taken.
    assert check is None or ("26-1", check) not in asked(ran)
    header = "report,respiratory_rate,saturation,complaint\n"
    named = f'26-1,16,,"{complaint}"\n'
    ran = audit(written(tmp_path, header + named, "with.csv"), into="with")
    assert (("26-1", "holds.breathing") in asked(ran)) == (check == "holds.breathing")


def test_a_report_of_more_sets_than_any_call_has_is_named_and_costs_no_time(audit, tmp_path):
    long = sets("26-1", *range(0, 3 * 1100, 3), disposition="transported")
    ran = audit(table(tmp_path, *long, *sets("26-2", 5, 45, **CALL)))
    assert "1 report with more than 1,024 sets" in ran.err
    assert ran.account()["reports_too_long"] == 1
    assert {r for r, check in asked(ran) if check.startswith("gap.")} == {"26-2"}


def test_a_night_on_which_the_clocks_go_back_is_neither_out_of_order_nor_full_of_gaps(
    audit, tmp_path
):
    clocks = ("00:50", "01:05", "01:20", "01:35", "01:50")  # New York, before they went back
    lines = [f"26-1,2025-11-02T{clock},{80 + n},transported" for n, clock in enumerate(clocks)]
    path = written(tmp_path, "report,taken_at,pulse,disposition\n" + "\n".join(lines) + "\n")
    ran = audit(path, "--time-zone", "America/New_York")
    checks = [check for _, check in sorted(asked(ran))]
    assert "clock.time_twice" in checks
    assert not {"clock.order", "gap.between_sets"} & set(checks)


def test_times_of_the_call_are_dated_as_the_column_of_dates_is(audit, tmp_path):
    header = "report,date,time,pulse,patient contact,transfer of care,disposition\n"
    rows = [
        f"26-1,03/14/2026,14:{m},80,03/14/2026 14:20,03/14/2026 14:50,transported\n"
        for m in ("05", "25", "45")
    ]
    also = "26-2,03/04/2026,14:05,80,03/04/2026 14:00,03/04/2026 14:30,transported\n"
    ran = audit(written(tmp_path, header + "".join(rows) + also))
    assert ran.err == ""
    assert ("26-1", "standard.before_patient") in asked(ran)
    assert ("26-2", "standard.before_patient") not in asked(ran)
