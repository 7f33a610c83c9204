"""Numbers with their units. A reading never takes a bare number."""

from dataclasses import dataclass

from vitalproof import _core


@dataclass(frozen=True)
class Unit:
    """A unit a vital sign may be charted in: `120 * mmHg` is a quantity."""

    symbol: str

    def __rmul__(self, number: float) -> "Quantity":
        return Quantity(float(number), self)

    def __str__(self) -> str:
        return self.symbol


@dataclass(frozen=True)
class Quantity:
    """A number in a unit. Quantities are not calculated with; `convert` changes their unit."""

    value: float
    unit: Unit

    def __str__(self) -> str:
        return f"{self.value:g} {self.unit}"


mmHg = Unit("mmHg")
kPa = Unit("kPa")
per_minute = Unit("/min")
percent = Unit("%")
fraction = Unit("fraction")
mg_per_dL = Unit("mg/dL")
mmol_per_L = Unit("mmol/L")
degC = Unit("°C")
degF = Unit("°F")
points = Unit("points")


def convert(quantity: Quantity, to: Unit | str, sign: str) -> Quantity:
    """The same quantity of a sign in another of its units; UCUM names are known.

    Which sign decides what can be converted: mg/dL into mmol/L is a matter of glucose alone.
    """
    target = to if isinstance(to, Unit) else unit_named(to)
    value = _core.convert(sign, quantity.value, quantity.unit.symbol, target.symbol)
    return Quantity(value, target)


def unit_named(name: str) -> Unit:
    """A unit by one of its names: `mm[Hg]`, `Cel`, `[degF]`, `mg/dL`."""
    symbol = _core.unit_symbol(name)
    if not symbol:
        raise ValueError(f'"{name}" is no unit of a vital sign')
    return Unit(symbol)
