"""Single sets and reports, built from quantities."""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta

from vitalproof import _core
from vitalproof._catalogue import signs
from vitalproof._quantities import Quantity

Reading = Quantity | str | int | None


class VitalSet:
    """The vital signs of one time.

    A reading is a quantity (`120 * mmHg`), a text as it was charted ("98.6 °F", "HI", "refused",
    "A" for alert), or None for a field left empty; points of a coma score may be whole numbers. A
    sign that is not named is not carried. `known` says what decides whether a value is true:
    `{"arrest": True}`; what is not said is not known.
    """

    def __init__(
        self,
        taken_at: datetime | timedelta | str | None = None,
        *,
        known: Mapping[str, bool] | None = None,
        pressure_method: str | None = None,
        pulse_method: str | None = None,
        **readings: Reading,
    ) -> None:
        self._core = _core.Set()
        for sign, reading in readings.items():
            _put(self._core, sign, reading)
        if pressure_method is not None:
            self._core.set_method("pressure", pressure_method)
        if pulse_method is not None:
            self._core.set_method("pulse", pulse_method)
        if taken_at is not None:
            _set_time(self._core, taken_at)
        self._core.state(dict(known or {}))


class Report:
    """A patient care report: its sets, and what is known of all of them."""

    def __init__(
        self,
        id: str = "",
        sets: Iterable[VitalSet] = (),
        *,
        age: timedelta | float | None = None,
        crew: str = "",
        device: str = "",
        incident: str = "",
        disposition: str | None = None,
        known: Mapping[str, bool] | None = None,
    ) -> None:
        """`age` is a stretch of time, or a number of years."""
        self._core = _core.Report()
        self._core.id, self._core.crew = id, crew
        self._core.device, self._core.incident = device, incident
        if age is not None:
            years = age / timedelta(days=365.2425) if isinstance(age, timedelta) else float(age)
            self._core.set_age(years)
        if disposition is not None:
            self._core.set_disposition(disposition)
        self._core.state(dict(known or {}))
        for vitals in sets:
            self._core.add(vitals._core)


def _put(into: "_core.Set", sign: str, reading: Reading) -> None:
    if reading is None:
        into.put_text(sign, "")
    elif isinstance(reading, Quantity):
        into.put_value(sign, reading.value, reading.unit.symbol)
    elif isinstance(reading, str):
        into.put_text(sign, reading)
    elif isinstance(reading, int) and sign in signs and signs[sign].unit == "points":
        into.put_value(sign, float(reading), "points")
    elif sign in signs:
        raise TypeError(
            f"{sign} needs a unit, such as {reading!r} * vitalproof.UNIT, or a text such as "
            f'"{reading} {signs[sign].unit}"'
        )
    else:
        into.put_text(sign, "")  # says which names there are


def _set_time(of: "_core.Set", at: datetime | timedelta | str) -> None:
    if isinstance(at, timedelta):
        of.set_time(at // timedelta(seconds=1), None, True)
        return
    moment = datetime.fromisoformat(at) if isinstance(at, str) else at
    offset = moment.utcoffset()
    local = moment.replace(tzinfo=UTC)
    minutes = None if offset is None else offset // timedelta(minutes=1)
    of.set_time(int(local.timestamp() // 1), minutes, False)
