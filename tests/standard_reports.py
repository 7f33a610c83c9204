"""Care reports in the national EMS data standard, written whole: every element it requires.

The agency is invented, and so is every value. What a caller does not give is "not recorded". The
order of elements and which of them are required are the standard's (NEMSIS v3.5.0 schemas).
"""

from collections.abc import Iterator, Sequence
from uuid import UUID

NOT_RECORDED = "7701003"
NAMESPACE = "http://www.nemsis.org"

Values = dict[str, str | None]

# Elements of a section by number; a dash and a name begin a group within it. A question mark: only
# where a value is given.
SECTIONS = {
    "eRecord": "01 -SoftwareApplicationGroup 02 03 04",
    "eResponse": "-AgencyGroup 01 - 03 04 -ServiceGroup 05 - 07 08 09 10 11 12 13 14 23 24",
    "eDispatch": "01 02",
    "eTimes": "01 03 05 06 07 09 11 12 13",
    "ePatient": "07 08 09 14 -AgeGroup 15 16",
    "ePayment": "01 50",
    "eScene": "01 06 07 08 09 18 19 21",
    "eSituation": "01 02 07 08 09 10 11 12 13 18 20",
    "eInjury": "01 03 04",
    "eArrest": "01 02 03 04 07 09 11 12 14 15? 16 17 18 20 21 22",
    "eHistory": "01 17",
    "eVitals": "=VitalGroup",
    "eExam": "01 02?",
    "eProtocols": "-ProtocolGroup 01",
    "eMedications": "=MedicationGroup",
    "eProcedures": "=ProcedureGroup",
    "eAirway": "=AirwayGroup",
    "eDisposition": "-DestinationGroup 05 06 07 - -IncidentDispositionGroup 27 28 29 30 - 16 17 18 "
    "19 20 21 22 23 -HospitalTeamActivationGroup 24 25 - 32",
    "eOutcome": "01 02 -EmergencyDepartmentProceduresGroup 09 19 - 10 11 "
    "-HospitalProceduresGroup 12 20 - 13 16 18",
}
GROUPS = {
    "VitalGroup": "01 02 -CardiacRhythmGroup 03 04 05 - -BloodPressureGroup 06 07? 08? 09? - "
    "-HeartRateGroup 10 11? - 12 13? 14 15? 16 17? 18 -GlasgowScoreGroup 19 20 21 22 23? - "
    "-TemperatureGroup 24? 25? - 26 -PainScaleGroup 27 - -StrokeScaleGroup 29 30 - 31",
    "MedicationGroup": "01 02 03 04 -DosageGroup 05 06 - 07 08 10",
    "ProcedureGroup": "01 02 03 05 06 07 08 10",
    "AirwayGroup": "-ConfirmationGroup 02 03 04 05? 06 - 10?",
}
# Not nillable, so they need a value; the codes are the standard's.
REQUIRED = {
    "eRecord.02": "Invented Charts",
    "eRecord.03": "Invented Charts",
    "eRecord.04": "1",
    "eResponse.01": "0001",
    "eResponse.05": "2205001",
    "eResponse.07": "2207015",
    "eResponse.13": "V1",
    "eResponse.14": "M1",
    "eResponse.23": "2223001",
    "eDispatch.01": "2301051",
    "eTimes.03": "2026-03-01T14:00:00-06:00",
    "eTimes.13": "2026-03-01T16:00:00-06:00",
    "eDisposition.27": "4227001",
}


def element(name: str, value: str | None) -> str:
    """A value, None for "not recorded", or a value with attributes before it: `@PN=8801019|`."""
    if value is None:
        return f'<{name} xsi:nil="true" NV="{NOT_RECORDED}"/>'
    attributes = ""
    if value.startswith("@"):
        stated, value = value[1:].split("|", 1)
        attributes = "".join(' {}="{}"'.format(*one.split("=")) for one in stated.split())
    if value:
        return f"<{name}{attributes}>{value}</{name}>"
    return f'<{name} xsi:nil="true"{attributes}/>'


def elements(section: str, layout: str, values: Values) -> Iterator[str]:
    group = ""
    for word in layout.split():
        if word.startswith("-"):
            if group:
                yield f"</{group}>"
            group = f"{section}.{word[1:]}" if len(word) > 1 else ""
            if group:
                yield f"<{group}>"
            continue
        name = f"{section}.{word.rstrip('?')}"
        if name in values or not word.endswith("?"):
            yield element(name, values.get(name, REQUIRED.get(name)))
    if group:
        yield f"</{group}>"


def report(
    identifier: str,
    sets: Sequence[Values],
    values: Values | None = None,
    groups: dict[str, Sequence[Values]] | None = None,
) -> str:
    """One PatientCareReport. `sets` are its vital signs by element, `groups` its MedicationGroups,
    ProcedureGroups and AirwayGroups."""
    given = {"eRecord.01": identifier, **(values or {})}
    repeated = {
        "VitalGroup": sets,
        "MedicationGroup": [{}],
        "ProcedureGroup": [{}],
        "AirwayGroup": [],
        **(groups or {}),
    }
    parts = []
    for section, layout in SECTIONS.items():
        inner: list[str] = []
        if layout.startswith("="):
            group = layout[1:]
            for one in repeated[group]:
                name = f"{section}.{group}"
                inner += [f"<{name}>", *elements(section, GROUPS[group], one), f"</{name}>"]
        else:
            inner += elements(section, layout, given)
        if inner:
            parts += [f"<{section}>", *inner, f"</{section}>"]
    uuid = UUID(bytes=identifier.encode().rjust(16, b"0")[-16:], version=4)
    return "\n".join([f'<PatientCareReport UUID="{uuid}">', *parts, "</PatientCareReport>", ""])


def document(*reports: str) -> str:
    """An EMSDataSet with one Header."""
    head = f'<EMSDataSet xmlns="{NAMESPACE}" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">'
    agency = (
        "<DemographicGroup><dAgency.01>0001</dAgency.01><dAgency.02>0001</dAgency.02>"
        "<dAgency.04>01</dAgency.04></DemographicGroup>"
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n{head}\n<Header>\n{agency}\n'
        + "".join(reports)
        + "</Header>\n</EMSDataSet>\n"
    )


def vitals(time: str, **signs: str | None) -> Values:
    """A set by the names of its signs, taken by this crew at 14:32 of an invented day."""
    numbers = {
        "rhythm": "03", "systolic": "06", "diastolic": "07", "pressure_method": "08",
        "mean_pressure": "09", "pulse": "10", "pulse_method": "11", "saturation": "12",
        "pulse_rhythm": "13", "respiratory_rate": "14", "effort": "15", "exhaled_co2": "16",
        "glucose": "18", "coma_eye": "19", "coma_verbal": "20", "coma_motor": "21",
        "qualifier": "22", "coma_total": "23", "temperature": "24", "responsiveness": "26",
        "prior_care": "02",
    }  # fmt: skip
    made: Values = {f"eVitals.{numbers[name]}": value for name, value in signs.items()}
    made["eVitals.01"] = f"2026-03-01T{time}-06:00"
    made.setdefault("eVitals.02", "9923001")
    return made
