"""One thread or several: the same results, and the same end when something goes wrong."""

import resource
import signal
import subprocess

HEADER = "PCR,Crew,Time,Sys,Dia,Pulse,SpO2\n"


def batch(reports):
    """Reports of many lengths, every few of them with a row that cannot be read."""
    lines = []
    for report in range(reports):
        for minute in range(report % 11):
            saturation = "9O" if (report + minute) % 17 == 0 else 97
            lines.append(
                f"26-{report},M{report % 5},2026-03-01T10:{minute:02}:00Z,"
                f"{72 + 11 * minute},{118 - 5 * minute},{80 + report % 40},{saturation}\n"
            )
        if report % 7 == 0:
            lines.append(f"26-{report},M1,2026-03-01T11:00:00Z,1,2,3,4,5,6\n")
    return HEADER + "".join(lines)


def long_report(sets, pressures="120,80"):
    return "".join(
        f"26-long,M9,2026-03-{1 + i // 1440:02}T{i // 60 % 24:02}:{i % 60:02}:00Z,"
        f"{pressures},{60 + i % 90},98\n"
        for i in range(sets)
    )


def without_header(text):
    return text.removeprefix(HEADER)


def several_files(tmp_path):
    """Reports of many lengths, two too long for a piece, one of them with more findings than are
    held at once; a report of the standard in which every one of many groups is refused; and
    monitors whose clocks are off."""
    week = tmp_path / "week.csv"
    week.write_text(
        batch(900)
        + long_report(20_000)
        + without_header(batch(300))
        + long_report(5_000, "72,118").replace("26-long", "26-longer")
        + without_header(batch(300))
    )
    group = "<eVitals.VitalGroup><eVitals.10>80</eVitals.10></eVitals.VitalGroup>\n"
    record = "<eRecord><eRecord.01>26-1</eRecord.01></eRecord>"
    xml = tmp_path / "week.xml"
    xml.write_text(
        "<EMSDataSet>"
        + f"<PatientCareReport>{record}<eVitals>{group}</eVitals></PatientCareReport>\n" * 900
        + f"<PatientCareReport><eVitals>{group * 3000}</eVitals></PatientCareReport>\n" * 2
        + f"<PatientCareReport>{record}<eVitals>{group}</eVitals></PatientCareReport>\n" * 900
        + "</EMSDataSet>"
    )
    calls = tmp_path / "calls.csv"
    calls.write_text(
        "report,device,taken_at,pulse,at_patient,transfer_of_care,disposition\n"
        + "".join(
            f"r{call},M{call % 300},2026-03-01T{9 + call % 3 // 2:02}:{minute}:00,80,"
            "2026-03-01T09:05:00,2026-03-01T09:35:00,transported\n"
            for call in range(4000)
            for minute in (10, 20, 30)
        )
    )
    return [week, xml, calls]


def test_any_number_of_threads_gives_the_same_bytes(audit, tmp_path):
    files = several_files(tmp_path)
    as_of = ("--as-of", "2026-04-01T12:00Z")
    one = audit(*files, "--threads", "1", *as_of, into="one")
    account = one.account()
    assert one.status == 0 and account["rows_unread"] > 6000
    assert account["by_check"]["pressure.order"] > 5000
    assert account["by_check"]["clock.device"] == 100
    for threads in ("2", "5", "8"):
        several = audit(*files, "--threads", threads, *as_of, into=f"with-{threads}")
        assert several.status == 0
        for name in [path.name for path in one.into.iterdir()]:
            assert (several.into / name).read_bytes() == (one.into / name).read_bytes(), name
        assert several.out.replace(str(several.into), "") == one.out.replace(str(one.into), "")


def test_an_output_that_breaks_off_in_the_other_thread_is_4(program, tmp_path):
    week = tmp_path / "week.csv"
    week.write_text(batch(3000))

    def allow_small_files_only():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))

    for threads in ("1", "2"):
        into = tmp_path / f"with-{threads}"
        ran = subprocess.run(
            [program, "audit", week, "--into", into, "--threads", threads],
            capture_output=True,
            text=True,
            timeout=120,
            preexec_fn=allow_small_files_only,
        )
        assert ran.returncode == 4 and "could not be written" in ran.stderr
        assert not into.exists() and not list(tmp_path.glob("*unfinished*"))


def test_threads_must_be_a_number_above_zero(audit, tmp_path):
    week = tmp_path / "week.csv"
    week.write_text(batch(2))
    for wrong in ("0", "-1", "two"):
        assert audit(week, "--threads", wrong).status == 2
