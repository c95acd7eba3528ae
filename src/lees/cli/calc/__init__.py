"""`lees calc …`: conversions and calculations by hand, one family a module."""

from __future__ import annotations

from cyclopts import App

FAMILIES = {
    "convert": "Convert an entry to another unit.",
    "viscosity": "Viscosity at a temperature, from two points or one; temperature for a viscosity.",
    "viscosity-index": "Viscosity index from the viscosities at 40 and 100 °C.",
    "saybolt": "Saybolt seconds from a kinematic viscosity and back, at one temperature.",
    "grade": "Limits of a viscosity grade, and the odds that an oil is in it.",
    "precision": "Repeatability and reproducibility; whether results differ, or breach a limit.",
    "base-number": "Loss of base number, odds of crossing a floor, crossing of the acid number.",
    "blend": "Viscosity of a blend, or the share added, by five mixing rules side by side.",
    "flash": "Fall of a flash point where cups allow it, and flash points of fuel blends.",
    "dilution": "Fuel in the oil, from viscosity, flash point and the laboratory's figure.",
    "additives": "Fresh against used by additive elements, shares of candidates, detergent type.",
    "consistency": "Values of one report against each other, with the odds of a misprint.",
    "media": "Area of the media by strip and by pleats, whether the two agree, pleat spacing.",
    "can": "Hoop stress in the wall of a can: an upper bound, never its burst pressure.",
    "ports": "Open area of inlet holes and louvres, speed in them, pressure lost there.",
    "permeability": "Solidity from mass per area, permeability by rival models or from air.",
    "bypass": "Pressure across the media, when the bypass valve opens, what leaks past it.",
    "retention": "β and efficiency, what a leak leaves, mass caught, debris by weight.",
    "bubble-point": "Pore diameter of a bubble point, by formula and by an empirical rule.",
    "uncertainty": "Carry uncertainty through a formula of your own, by both ways of the GUM.",
    "trend": "Straight line through readings, and where it crosses a level or another line.",
    "wear": "Metal shed per distance or hour: plain, by mass balance, and against a mean.",
    "particles": "Exact limits of a count, scale-up by area, codes of ISO 4406 and ISO 16232.",
}

app = App(
    name="calc",
    help="Convert and calculate by hand; what stands after ± is one standard uncertainty.",
    result_action="return_value",
)
for _name, _help in FAMILIES.items():
    app.command(f"lees.cli.calc.{_name.replace('-', '_')}:app", name=_name, help=_help)
