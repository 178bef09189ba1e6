"""What the sheets say of other formulas and editions is so: each amount worked out here by that other formula.

Sources beside each row; a formula without one is the sheet's own or geometry.
"""

from math import cos, pi, radians, sin, sqrt

import pytest
from astral.julian import julianday_to_juliancentury
from astral.sun import refraction_at_zenith, sun_declination

from app.domain.trades import drainage, lighting, selling_sums, stone, water
from app.domain.trades.planting.placing import ROW
from app.domain.trades.registry import CALCULATIONS

SOLID_10 = 0.9989  # ohm in 1,000 ft of 10 gauge at 20 °C: hyperphysics.gsu.edu, wire tables
ROW_OF_FOUR = [
    lighting.Piece(name=str(at), start="source" if at == 1 else str(at - 1), length=long, gauge="10", watts=20)
    for at, long in enumerate((50, 25, 25, 25), 1)
]


def by_steady_current() -> float:
    """Volts at the last of four lamps, each drawing what it draws at 12 V."""
    volts, ohms = 12.0, lighting.resistance("10", 75)
    for at, piece in enumerate(ROW_OF_FOUR):
        volts -= 2 * piece.length * (4 - at) * 20 / 12 * ohms / 1000
    return volts


def curve_number_runoff(storm: float, number: float, first: float = 0.2) -> float:
    """TR-55 (USDA NRCS, 1986), equations 2-1 to 2-4, with the share that is taken up at first as given."""
    held = 1000 / number - 10
    return (storm - first * held) ** 2 / (storm + (1 - first) * held)


def coulomb(friction: float, wall: float) -> float:
    """Coulomb's coefficient of active earth pressure for an upright wall and level ground [degrees]."""
    phi, delta = radians(friction), radians(wall)
    root = sqrt(sin(phi + delta) * sin(phi) / cos(delta))
    return cos(phi) ** 2 / (cos(delta) * (1 + root) ** 2)


def cooper_off() -> float:
    """How far Cooper's declination of a day (Solar Energy 12, 1969) lies from the NOAA equations of astral at most."""
    century = julianday_to_juliancentury
    jan_1 = 2461406.5 + 0.7  # 2027, about noon in the east of the United States
    return max(
        abs(23.45 * sin(radians(360 * (284 + day) / 365)) - sun_declination(century(jan_1 + day - 1)))
        for day in range(1, 366)
    )


def wind_gallons(wind: float) -> float:
    """Gallons a day from 100 sq ft by ASHRAE's (95 + 0.425 v)(pw − pa)/Y; pressures in in Hg from memory."""
    return (95 + 0.425 * wind) * (0.875 - 0.436) / 1050 * 100 * 24 / 8.34


def paid(monthly: float) -> float:
    return 25_000 * monthly / (1 - (1 + monthly) ** -60)


@pytest.mark.parametrize(
    ("key", "words", "told", "found", "near"),
    [
        ("voltage-drop", "1.68 V", 1.68, 100 / 12 * 200 * 12 / 11_920, 0.005),
        ("voltage-drop", "3.33 V", 3.33, lighting.voltage_lost(200, 100 / 12, SOLID_10), 0.005),
        ("voltage-drop", "22 % more", 1.22, lighting.resistance("12", 75) / lighting.resistance("12", 20), 0.005),
        ("light-circuit", "10.55 V", 10.55, by_steady_current(), 0.005),
        ("light-circuit", "10.36 V", 10.36, lighting.voltages(ROW_OF_FOUR, 12.0, 75.0)[-1].volts, 0.005),
        ("transformer", "11 % larger", 1.11, (1.25 / 0.9) / (1 / 0.8), 0.005),
        ("basin", "void ratio of 0.67", 0.67, 0.4 / (1 - 0.4), 0.005),
        ("basin", "is 29 % porosity", 0.29, 0.4 / (1 + 0.4), 0.005),
        ("basin", "40 % too much", 1.40, 0.40 / (0.4 / 1.4), 0.005),
        ("dry-well", "29 % too little", 0.71, (1 / 0.40) / (1.4 / 0.4), 0.005),
        ("soak-trench", "40 % too much", 1.40, 0.40 / (0.4 / 1.4), 0.005),
        ("make-up", "11 gal", 11, wind_gallons(0), 0.5),
        ("make-up", "34 in wind", 34, wind_gallons(440), 0.5),
        ("make-up", "8.9", 8.9, 100 / 12 * 7.48052 / 7, 0.05),
        ("spillway", "22, 64 and 180", 22, water.weir_flow(1 / 12, 0.25) * 60, 0.5),
        ("spillway", "22, 64 and 180", 64, water.weir_flow(1 / 12, 0.5) * 60, 0.5),
        ("spillway", "22, 64 and 180", 180, water.weir_flow(1 / 12, 1) * 60, 0.5),
        ("runoff", "0.8 % less", 0.008, 1 - 43_200 / 43_560, 0.0005),  # an acre-inch an hour is 1.008 cu ft/s
        ("runoff", "0.02 in", 0.02, curve_number_runoff(1, 74), 0.005),
        ("runoff", "3.2 in", 3.2, curve_number_runoff(6, 74), 0.05),
        ("storm", "0.17 in", 0.17, curve_number_runoff(1, 75, 0.05), 0.005),
        ("storm", "0.03 in", 0.03, drainage.runoff_depth(1, 75), 0.005),
        ("storm", "gives 1.67", 1.67, curve_number_runoff(7, 50), 0.005),
        ("storm-drain", "78 gpm by 2012", 78, drainage.storm_drain("IPC 2012", 4, "1/8"), 0.5),
        ("storm-drain", "115 gpm by 2021", 115, drainage.storm_drain("IPC 2021", 4, "1/8"), 0.5),
        ("storm-drain", "0.0104 gpm", 0.0104, 7.480519 / 12 / 60, 0.00005),
        ("storm-drain", "0.014, a third more", 4 / 3, 0.014 * 96.25, 0.02),
        ("drain-pipe", "123 gpm", 123, drainage.full_pipe_flow(4, 0.01, 0.009), 0.5),
        ("drain-pipe", "93", 93, drainage.full_pipe_flow(4, 0.01, 0.012), 0.6),
        ("gutter", "9 % less", 0.91, 1000 / drainage.pitched_area(1000, 6), 0.005),
        ("gutter", "a third more", 4 / 3, pi * 1.5**2 * 1200 / (drainage.leader_capacity(3, 7 / 24) * 96.25), 0.02),
        ("concrete", "70 or 72", 70, 40 * 1.05 / 0.60, 0.01),
        ("concrete", "70 or 72", 72, 40 * 1.08 / 0.60, 0.01),
        ("concrete", "45, 60 or 90", 45, 27 / 0.60, 0.01),
        ("piers", "here 0.87", 0.87, 10 * pi / 4 * 3 / 27, 0.005),
        ("piers", "3 % less", 0.97, 10 * pi / 4 * 3 / 27 / 0.90, 0.005),
        ("piers", "0.05 % smaller", 0.0005, 1 - 3.14 / pi, 0.00005),
        ("base", "5.6 tons", 5.6, 150 / 200 * 6 * 1.25, 0.05),
        ("base", "here 5.7", 5.7, stone.weight_bought(150 * 0.5, 140, 0.08) / 2000, 0.05),
        ("loads", "10 % more loads", 1.10, 1.43 / 1.30, 0.005),
        ("swell", "10 % more", 1.10, 1.43 / 1.30, 0.005),
        ("end-areas", "half as much again", 1.5, (1 / 2) / (1 / 3), 0.001),
        ("grid-cut", "3 cu yd", 3, 2500 * (0.4 / 4 - (0.2 / 3 + 0.2 / 3) / 2) / 27, 0.1),
        ("steps", "11 to 11 1/2", 11, 17 - 6, 0.01),
        ("steps", "11 5/8 to 12 1/2", 11.625, 70 / 6, 0.07),
        ("wall-forces", "11 % less", 0.89, coulomb(30, 20) / ((1 - sin(radians(30))) / (1 + sin(radians(30)))), 0.005),
        ("plants", "exactly 115.5", 115.5, 100 / ROW, 0.05),
        ("plants", "2.28 or 2.25", 2.25, 144 / 8**2, 0.005),
        ("plants", "4.6 and 10.4", 10.4, 144 / 4**2 / ROW, 0.05),
        ("plant-hole", "78 to 84 %", 0.78, 325 / (100 * pi / 4 * 2**2 * 16 / 12), 0.005),
        ("plant-hole", "78 to 84 %", 0.84, 550 / (100 * pi / 4 * (28 / 12) ** 2 * 18.5 / 12), 0.01),
        ("sun-and-shadow", "up to 1.0°", 1.0, cooper_off(), 0.05),
        ("sun-and-shadow", "5° stands 0.16° lower", 0.16, refraction_at_zenith(85), 0.005),
        ("sun-and-shadow", "20° 0.04°", 0.04, refraction_at_zenith(70), 0.005),
        ("sprinkler-rate", "0.05 % more", 1.0005, 96.3 / 96.25, 0.00005),
        ("margin", "6 % short", 0.94, 1.25 / selling_sums.price_at_margin(1, 0.25), 0.005),
        ("markup", "20 % of margin", 0.20, 1 - 1 / 1.25, 0.001),
        ("loan", "7.72 %", 7.72, 1200 * (1.08 ** (1 / 12) - 1), 0.005),
        ("loan", "$503.58", 503.58, paid(1.08 ** (1 / 12) - 1), 0.005),
        ("loan", "$506.91", 506.91, selling_sums.monthly_payment(25_000, 0.08, 60), 0.005),
    ],
)
def test_what_another_formula_gives_is_as_the_sheet_says(key, words, told, found, near) -> None:
    assert words in CALCULATIONS[key].differs
    assert found == pytest.approx(told, abs=near)
