"""The stories of the Ullaskerry Harbour Co-operative: six engines, three oils, six pairs of eyes.

All is invented: the place, the co-operative, its engines, oils, filters and laboratories. The
north shore counts in miles and US quarts, the south shore in kilometres and litres, the boats and
the workshop in engine hours.
"""

from __future__ import annotations

from datetime import date

from lees.demo.laboratory import Laboratory
from lees.demo.stories import FillTruth, Means, OilTruth, Story

BLUE = OilTruth(
    name="the co-operative's blue 5W-30",
    grade="5W-30",
    kv40=61.2,
    kv100=10.4,
    flash=232,
    bn=7.1,
    elements={"Ca": 2210, "Mg": 14, "P": 790, "Zn": 870, "Mo": 76, "B": 62, "Si": 4, "Na": 2},
)
GREEN = OilTruth(
    name="the co-operative's green 0W-20",
    grade="0W-20",
    kv40=43.8,
    kv100=8.2,
    flash=228,
    bn=7.6,
    elements={"Ca": 1240, "Mg": 480, "P": 760, "Zn": 835, "Mo": 84, "B": 3, "Si": 5, "Na": 3},
)
GREY = OilTruth(
    name="the co-operative's grey 15W-40",
    grade="15W-40",
    kv40=109.0,
    kv100=14.6,
    flash=234,
    bn=10.3,
    elements={"Ca": 2930, "Mg": 16, "P": 1060, "Zn": 1180, "Mo": 2, "B": 1, "Si": 4, "Na": 2},
)

GANNET_LANE = Laboratory(
    name="Gannet Lane oil bench",
    address="4 Gannet Lane, Ullaskerry North",
    methods={"kv100": "D445", "sus210": "D2161", "flash": "D92", "bn": "D4739", "fuel": "D3525"},
    units={"flash": "°F"},
    digits={"kv100": 2, "sus210": 1, "bn": 1, "fuel": 1, "insolubles": 1, "water": 1},
    below={"fuel": 0.5, "water": 0.1},
)
THIRD_QUAY = Laboratory(
    name="Third Quay laboratory",
    address="Third Quay, Ullaskerry South",
    methods={"kv100": "D445", "flash": "D92", "bn": "D2896", "soot": "E2412"},
    digits={"kv100": 2, "bn": 1, "soot": 1, "fuel": 1, "water": 2},
    below={"fuel": 1.0, "water": 0.05, "Sn": 1.0, "Ag": 1.0},
)
NORTH_MOLE = Laboratory(
    name="North Mole laboratory",
    address="Mole Road 11, Ullaskerry South",
    methods={"kv100": "D445", "kv40": "D445", "flash": "D92", "bn": "D2896", "fuel": "D3525"},
    digits={"kv100": 2, "kv40": 1, "bn": 1, "fuel": 1, "Cr": 1, "Sn": 1, "Ni": 1, "Pb": 1},
    below={"fuel": 0.5, "Sn": 0.5, "Ni": 0.5, "Pb": 0.5},
    decimal_comma=True,
)
TIDEGAUGE_YARD = Laboratory(
    name="Tidegauge Yard laboratory",
    address="Tidegauge Yard, Ullaskerry South",
    methods={"kv100": "D445", "flash": "D92", "bn": "D2896", "soot": "D5967"},
    digits={"kv100": 2, "bn": 1, "soot": 1},
    below={"Sn": 1.0, "Ni": 1.0},
)

LONG_RUN = Story(
    folder="01-long-run",
    engine="Island bus 3, engine",
    engine_words="3.5 L, six cylinders, petrol",
    run_unit="mi",
    oil=BLUE,
    sump_kg=4.48,
    shear=0.035,
    base_loss=0.130,
    rates={
        "Fe": 6.0, "Cr": 0.3, "Al": 1.1, "Cu": 0.9, "Pb": 0.15, "Sn": 0.05, "Ni": 0.08,
        "Mn": 0.25, "Si": 1.8, "Na": 0.9, "K": 0.4,
    },
    fills=(
        FillTruth("Bottle 3-07", date(2025, 7, 4), 7.90, 96_410, fuel=0.0004, top_up_kg=0.2),
        FillTruth("Bottle 3-08", date(2026, 1, 16), 10.15, 106_560, fuel=0.0004, top_up_kg=0.2),
        FillTruth("Bottle 3-09", date(2026, 8, 21), 12.64, 119_200, fuel=0.0004, top_up_kg=0.41),
    ),
    laboratory=GANNET_LANE,
    reported=(
        "Fe", "Cr", "Al", "Cu", "Pb", "Sn", "Ni", "Mn", "Si", "Na", "K", "B", "Mo", "Ca", "Mg",
        "P", "Zn", "kv100", "sus210", "flash", "bn", "fuel", "water", "insolubles",
    ),
    means=Means(
        {
            "Fe": 12, "Cr": 1, "Al": 3, "Cu": 4, "Pb": 1, "Sn": 0, "Ni": 0, "Mn": 1, "Si": 12,
            "Na": 8, "K": 2, "B": 70, "Mo": 90, "Ca": 2150, "Mg": 120, "P": 760, "Zn": 850,
        },
        run="6,200 mi",
        count=240,
    ),
    remark=(
        "Iron stands above the mean, which was drawn from oil that had run 6,200 miles. Nothing "
        "asks for attention. We suggest an oil change at 12,000 miles for the next fill."
    ),
)  # fmt: skip

QUIET_REPORT = Story(
    folder="02-quiet-report",
    engine="Mail launch, port engine",
    engine_words="2.2 L, four cylinders, diesel, turbocharged",
    run_unit="h",
    oil=GREY,
    sump_kg=6.54,
    shear=0.03,
    base_loss=5.4,
    rates={
        "Fe": 790.0, "Cr": 45.0, "Al": 130.0, "Cu": 165.0, "Pb": 80.0, "Sn": 15.0, "Ni": 10.0,
        "Ag": 0.0, "Si": 130.0, "Na": 190.0, "K": 60.0,
    },
    fills=(
        FillTruth("ML-P 11", date(2025, 9, 12), 0.150, 2_214, soot=0.004),
        FillTruth("ML-P 12", date(2026, 4, 17), 0.152, 2_366, soot=0.004),
        FillTruth("ML-P 13", date(2026, 9, 4), 0.148, 2_514, soot=0.005),
    ),
    laboratory=THIRD_QUAY,
    reported=(
        "Fe", "Cr", "Al", "Cu", "Pb", "Sn", "Ni", "Ag", "Si", "Na", "K", "Ca", "Mg", "P", "Zn",
        "Mo", "B", "kv100", "flash", "bn", "soot", "fuel", "water",
    ),
    means=Means(
        {
            "Fe": 22, "Cr": 1, "Al": 4, "Cu": 5, "Pb": 3, "Sn": 1, "Ni": 1, "Ag": 0, "Si": 8,
            "Na": 9, "K": 3,
        },
        run="125 h",
        count=85,
    ),
    remark=(
        "All metals are at or under those of like engines. This oil could have stayed longer; "
        "we recommend 200 hours for the next fill."
    ),
)  # fmt: skip

BASE_NUMBER = Story(
    folder="03-base-number",
    engine="Island bus 1, engine",
    engine_words="1,2 L, three cylinders, petrol, turbocharged",
    run_unit="km",
    oil=GREEN,
    sump_kg=3.61,
    shear=0.06,
    base_loss=0.1527,
    rates={
        "Fe": 4.6, "Cr": 0.22, "Al": 1.5, "Cu": 1.1, "Pb": 0.1, "Sn": 0.06, "Ni": 0.05,
        "Mn": 0.3, "Si": 1.6, "Na": 0.5, "K": 0.3,
    },
    fills=(
        FillTruth("B1/14", date(2025, 10, 2), 9.80, 71_200, fuel=0.0008),
        FillTruth("B1/15", date(2026, 8, 14), 14.60, 85_800, fuel=0.001, top_up_kg=0.34),
    ),
    laboratory=NORTH_MOLE,
    reported=(
        "Fe", "Al", "Cr", "Cu", "Pb", "Sn", "Ni", "Mn", "Si", "Na", "K", "Ca", "Mg", "Zn", "P",
        "Mo", "B", "kv40", "kv100", "vi", "flash", "bn", "fuel",
    ),
    means=Means(
        {
            "Fe": 17, "Al": 6, "Cr": 1, "Cu": 5, "Pb": 0.6, "Sn": 0.4, "Ni": 0.3, "Mn": 1,
            "Si": 12, "Na": 5, "K": 2,
        },
        count=112,
    ),
    remark=(
        "Wear is low for the distance and the viscosity is that of its grade. The next oil "
        "change may wait until 22.000 km."
    ),
)  # fmt: skip

CALIPER = Story(
    folder="04-caliper",
    engine="Island bus 2, engine",
    engine_words="1.8 L, four cylinders, petrol",
    run_unit="km",
    oil=BLUE,
    sump_kg=3.78,
    shear=0.03,
    base_loss=0.096,
    rates={"Fe": 2.9, "Cr": 0.1, "Al": 0.9, "Cu": 0.7, "Pb": 0.1, "Si": 1.7, "Na": 0.5},
    fills=(FillTruth("Bus 2, June", date(2026, 6, 12), 10.2, 143_900),),
    laboratory=Laboratory(
        name="Old Customs House oil room",
        address="told over the telephone",
        methods={"kv100": "D445", "flash": "D92"},
        digits={"kv100": 1},
    ),
    reported=("Fe", "Cr", "Al", "Cu", "Pb", "Si", "Na", "Ca", "P", "Zn", "kv100", "flash"),
    means=None,
    remark="",
)

SHORT_TRIPS = Story(
    folder="05-short-trips",
    engine="School shuttle, engine",
    engine_words="2.0 L, four cylinders, petrol, direct injection, turbocharged",
    run_unit="mi",
    oil=BLUE,
    sump_kg=4.07,
    shear=0.045,
    base_loss=0.30,
    rates={
        "Fe": 18.0, "Cr": 0.8, "Al": 4.0, "Cu": 3.0, "Pb": 1.2, "Sn": 0.3, "Ni": 0.3, "Si": 8.0,
        "Na": 1.5, "K": 1.2,
    },
    fills=(
        FillTruth("SS-4", date(2025, 9, 26), 4.10, 38_050, fuel=0.009),
        FillTruth(
            "SS-5", date(2026, 3, 2), 2.85, 40_900, fuel=0.038, rates={"Fe": 26.0, "Pb": 2.5}
        ),
    ),
    laboratory=Laboratory(
        name="Ropewalk oil laboratory",
        address="Ropewalk 2, Ullaskerry North",
        methods={"kv100": "D445", "flash": "D92", "bn": "D4739", "fuel": "D3525"},
        units={"flash": "°F"},
        digits={"kv100": 2, "bn": 1, "fuel": 1, "water": 2},
        below={"water": 0.05, "Sn": 1.0, "Ni": 1.0},
    ),
    reported=(
        "Fe", "Cr", "Al", "Cu", "Pb", "Sn", "Ni", "Si", "Na", "K", "Ca", "Mg", "P", "Zn", "Mo",
        "B", "kv100", "flash", "bn", "fuel", "water",
    ),
    means=Means(
        {
            "Fe": 13, "Cr": 1, "Al": 4, "Cu": 3, "Pb": 1, "Sn": 0, "Ni": 0, "Si": 12, "Na": 4,
            "K": 2,
        },
        run="4,300 mi",
        count=160,
    ),
    remark="Change the oil at 3,000 miles while the shuttle runs short trips.",
)  # fmt: skip

DUST = Story(
    folder="06-dust",
    engine="Workshop generator, engine",
    engine_words="3.3 L, four cylinders, diesel",
    run_unit="h",
    oil=GREY,
    sump_kg=7.31,
    shear=0.03,
    base_loss=3.6,
    rates={
        "Fe": 720.0, "Cr": 25.0, "Al": 70.0, "Cu": 90.0, "Pb": 60.0, "Sn": 12.0, "Ni": 8.0,
        "Si": 75.0, "Na": 60.0, "K": 20.0,
    },
    fills=(
        FillTruth("WG 21", date(2026, 3, 20), 0.244, 6_118, soot=0.006),
        FillTruth(
            "WG 22",
            date(2026, 9, 18),
            0.262,
            6_380,
            soot=0.008,
            top_up_kg=0.43,
            rates={"Si": 960.0, "Al": 255.0, "Fe": 2_050.0, "Cr": 165.0, "Pb": 110.0},
        ),
    ),
    laboratory=TIDEGAUGE_YARD,
    reported=(
        "Fe", "Cr", "Al", "Cu", "Pb", "Sn", "Ni", "Si", "Na", "K", "Ca", "Mg", "P", "Zn",
        "kv100", "flash", "bn", "soot",
    ),
    means=Means(
        {
            "Fe": 27, "Cr": 1, "Al": 3, "Cu": 4, "Pb": 3, "Sn": 1, "Ni": 0, "Si": 7, "Na": 4,
            "K": 1,
        },
        run="250 h",
        count=61,
    ),
    remark=(
        "Silicon and aluminium have risen together, and iron and chromium with them: look for "
        "dust in the intake. We advise to change the oil at 150 hours next time."
    ),
)  # fmt: skip

STORIES = (LONG_RUN, QUIET_REPORT, BASE_NUMBER, CALIPER, SHORT_TRIPS, DUST)
