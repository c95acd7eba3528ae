"""`lees calc dilution`: how much fuel is in the oil, from all that is known together."""

from __future__ import annotations

from dataclasses import dataclass

from cyclopts import App, Parameter

from lees.cli.calc.typed import chance, measured, notes, show_example
from lees.oil.dilution import ReportedFuel, ViscosityDrop
from lees.oil.flash import FlashDrop

app = App(name="dilution", result_action="return_value")


@Parameter(name="*")
@dataclass
class Known:
    """What is known of the oil."""

    fresh: str | None = None
    """The fresh oil's viscosity."""
    used: str | None = None
    """The used oil's viscosity, at the same temperature."""
    at: str = "100 °C"
    """The temperature of both viscosities, 40 or 100 °C."""
    fresh_flash: str | None = None
    """The fresh oil's flash point, open cup."""
    used_flash: str | None = None
    """The used oil's flash point, open cup."""
    reported: str | None = None
    """The laboratory's own figure, such as '2.1 %' or '<1 %'."""
    method: str | None = None
    """The method of that figure, such as ASTM D3525."""

    def viscosity(self) -> ViscosityDrop | None:
        """Return the fall of viscosity, where both are known."""
        from lees.oil.precision import Laboratory, precision, standard_uncertainty
        from lees.quantity.entry import parse_entry
        from lees.quantity.measured import Measured

        if self.fresh is None or self.used is None:
            return None
        temperature_c = round(parse_entry(self.at, "temperature").to("°C"), 6)
        key = "kv40" if temperature_c == 40 else "kv100"

        def taken(text: str) -> Measured:
            typed = measured(text, "kinematic_viscosity", "mm²/s")
            if any(sign in text for sign in ("±", "+/-", "+-")):
                return typed
            found = precision(key, "ASTM D445", typed.value, "mm²/s")
            return standard_uncertainty(found, Laboratory.DIFFERENT)

        return ViscosityDrop(taken(self.fresh), taken(self.used), temperature_c)

    def flash(self) -> FlashDrop | None:
        """Return the fall of the flash point, where both are known."""
        from lees.oil.flash import Cup, FlashPoint, flash_drop
        from lees.oil.precision import Laboratory
        from lees.quantity.entry import parse_entry

        if self.fresh_flash is None or self.used_flash is None:
            return None
        points = [
            FlashPoint(parse_entry(text, "temperature").to("°C"), "ASTM D92", Cup.OPEN)
            for text in (self.fresh_flash, self.used_flash)
        ]
        return flash_drop(points[0], points[1], laboratory=Laboratory.DIFFERENT)

    def figure(self) -> ReportedFuel | None:
        """Return the laboratory's own figure, with the precision of its method."""
        from lees.oil.precision import Laboratory, precision, standard_uncertainty
        from lees.quantity.entry import Qualifier, parse_entry

        if self.reported is None:
            return None
        entry = parse_entry(self.reported, "content", default="%")
        percent = entry.to("%")
        found = standard_uncertainty(
            precision("fuel", "ASTM D3525", percent, "%"), Laboratory.DIFFERENT
        )
        below = entry.qualifier is Qualifier.BELOW
        return ReportedFuel(percent, found.uncertainty, self.method, below)


@app.default
def dilution(kind: str = "gasoline", *, known: Known | None = None) -> None:
    """Fuel in the oil, from viscosity, flash point and the laboratory's figure together.

    Example: lees calc dilution gasoline --fresh '10.5 cSt' --used '9.3 cSt' --reported '1.5 %' --method 'ASTM D3525'   →   median 1.6 %

    Parameters
    ----------
    kind
        The fuel: gasoline or diesel.
    """  # noqa: E501
    from lees.errors import WrongEntry
    from lees.oil.dilution import Evidence, fuel_dilution
    from lees.oil.fuels import fuel

    told = known or Known()
    evidence = Evidence(told.viscosity(), told.flash(), told.figure())
    if evidence == Evidence():
        raise WrongEntry(
            kind,
            "comes with nothing to judge by",
            "give --fresh and --used, --fresh-flash and --used-flash, or --reported",
        )
    of = fuel(kind)
    found = fuel_dilution(evidence, of=of)
    low, middle, high = (found.quantile_percent(p) for p in (0.05, 0.5, 0.95))
    print(f"{of.name} in the oil, by mass: median {middle:.1f} %, 90 %: {low:.1f} to {high:.1f} %")
    print(
        f"  more than 2 %: {chance(found.probability_above(2))}; "
        f"more than 5 %: {chance(found.probability_above(5))}"
    )
    if found.from_viscosity_alone:
        alone = ", ".join(f"{rule} {x:.1f} %" for rule, x in found.from_viscosity_alone.items())
        each = ", ".join(f"{rule} {x:.1f} %" for rule, x in found.by_rule.items())
        print(f"  viscosity alone is consistent with up to: {alone}")
        print(f"  median by each rule, with all that is known: {each}")
        print(
            f"  viscosity changed otherwise: −{found.shear_down_percent:.1f} % by shear-down, "
            f"+{found.thickening_percent:.1f} % by thickening"
        )
    print(
        "  source: Walther to Arrhenius against shear-down and thickening, flash point by API 2B7; "
        "means beforehand of 2, 5 and 3 % (from memory)"
    )
    notes(found.warnings)


show_example(app, dilution)
