"""Gas for grills, burners and heaters, as a budget aid: demand, cylinders, pipe by its longest length, vents.

The gas fitter designs, the authority approves: what is told here never says that a pipe is enough.
"""

from collections.abc import Mapping, Sequence
from math import sqrt

from app.domain.trades.validity import OutsideValidity, above_zero, within

PROPANE_BTU_A_POUND = 21_548.0  # published properties of propane (91,502 Btu a gallon); another set prints 21,591
PROPANE_BTU_A_CUBIC_FOOT = 2_488.0  # after vaporization; another set prints 2,516
INSIDE: Mapping[str, float] = {"1/2": 0.622, "3/4": 0.824, "1": 1.049, "1-1/4": 1.380, "1-1/2": 1.610, "2": 2.067}
# lb of propane left → °F → Btu/h a cylinder gives without freezing up (100 lb cylinder): a published table of a maker
# of burners; its first column (0 °F) is inferred
DRAW: Mapping[int, Mapping[int, float]] = {
    100: {0: 113_000, 20: 167_000, 40: 214_000, 60: 277_000, 70: 300_000},
    50: {0: 64_000, 20: 94_000, 40: 125_000, 60: 154_000, 70: 167_000},
    20: {0: 36_000, 20: 51_000, 40: 68_000, 60: 83_000, 70: 92_000},
    10: {0: 28_000, 20: 38_000, 40: 49_000, 60: 60_000, 70: 66_000},
}
# cu ft/h by size and longest length [ft]: Schedule 40 metallic pipe, natural gas of 0.60 specific gravity, inlet below
# 2 psi; ANSI Z223.1/NFPA 54-2012 as quoted in an appliance manual. The edition is part of the key
LENGTHS = (10, 20, 40, 50, 60, 100, 200)
TABLES: Mapping[str, Mapping[str, tuple[float, ...]]] = {
    "2012, 0.5 in w.c.": {
        "1/2": (172, 118, 81, 72, 65, 50, 34),
        "3/4": (360, 247, 170, 151, 137, 104, 71),
        "1": (678, 466, 320, 284, 257, 195, 134),
        "1-1/4": (1390, 957, 657, 583, 528, 400, 275),
        "1-1/2": (2090, 1430, 985, 873, 791, 600, 412),
        "2": (4020, 2760, 1900, 1680, 1520, 1160, 794),
    },
    "2012, 1.0 in w.c.": {
        "1/2": (250, 172, 118, 105, 95, 72, 50),
        "3/4": (524, 360, 247, 219, 199, 151, 104),
        "1": (986, 678, 466, 413, 374, 284, 195),
    },
}
_CR: Mapping[str, float] = {
    "natural": 0.6094,
    "propane": 1.2462,
}  # International Fuel Gas Code, equation 4-1 (from memory)


def flow_of(heat: float, content: float) -> float:
    """Gas [cu ft/h] that a burner of `heat` [Btu/h] takes, of gas of `content` [Btu/cu ft, 500 to 3,500].

    Raises: OutsideValidity. Source: definition (International Fuel Gas Code, longest length method: 150,000 ÷ 1,100).

    >>> round(flow_of(150_000, 1100))
    136
    """
    return heat / within("Heat content", content, 500, 3500, "Btu/cu ft")


def cylinder_hours(pounds: float, heat: float) -> float:
    """Hours that `pounds` [lb, to 500] of propane burn at `heat` [Btu/h], if the cylinder can give it.

    Raises: OutsideValidity. Source: propane's heat content as published.

    >>> round(cylinder_hours(20, 65_000), 1)
    6.6
    """
    within("Propane", above_zero("Propane", pounds, "lb"), None, 500, "lb")
    return pounds * PROPANE_BTU_A_POUND / above_zero("Heat", heat, "Btu/h")


def cylinder_draw(pounds_left: float, fahrenheit: float) -> float:
    """Btu/h that a 100 lb cylinder with `pounds_left` [lb, 10 to 100] gives at `fahrenheit` [°F, 0 to 70] without end.

    Between the printed points it is straight; beyond them there is no answer. Raises: OutsideValidity.
    Source: a published table of cylinder draw.

    >>> cylinder_draw(100, 40), cylinder_draw(15, 20)
    (214000.0, 44500.0)
    """
    within("Propane left", pounds_left, 10, 100, "lb")
    within("Temperature", fahrenheit, 0, 70, "°F")
    below = max(row for row in DRAW if row <= pounds_left)
    above = min(row for row in DRAW if row >= pounds_left)
    share = 0.0 if above == below else (pounds_left - below) / (above - below)
    low, high = _at_temperature(DRAW[below], fahrenheit), _at_temperature(DRAW[above], fahrenheit)
    return low + share * (high - low)


def _at_temperature(row: Mapping[int, float], fahrenheit: float) -> float:
    below, above = max(t for t in row if t <= fahrenheit), min(t for t in row if t >= fahrenheit)
    share = 0.0 if above == below else (fahrenheit - below) / (above - below)
    return row[below] + share * (row[above] - row[below])


def pipe_capacity(diameter: float, length: float, *, gas: str, drop: float = 0.5) -> float:
    """Gas [cu ft/h] that a pipe of inside `diameter` [in, 0.3 to 4] and longest `length` [ft, 5 to 500] carries.

    `drop` [in w.c., 0.1 to 3], pressure below 1.5 psi; `gas` natural or propane. D = Q^0.381 / (19.17 (dH / (Cr
    L))^0.206). Raises: OutsideValidity. Source: International Fuel Gas Code, equation 4-1 (from memory); within 1.5 %
    of NFPA 54's table.

    >>> round(pipe_capacity(1.049, 50, gas="natural"))
    286
    """
    within("Inside diameter", diameter, 0.3, 4, "in")
    within("Longest length", length, 5, 500, "ft")
    within("Pressure drop", drop, 0.1, 3, "in w.c.")
    return float((diameter * 19.17 * (drop / (_CR[gas] * length)) ** 0.206) ** (1 / 0.381))


GRAVITY: Mapping[str, float] = {"natural": 0.60, "propane": 1.52}  # of air; as the code's tables name them


def spitzglass_capacity(diameter: float, length: float, *, gas: str, drop: float = 0.5) -> float:
    """Gas [cu ft/h] by Spitzglass' low-pressure formula, beside `pipe_capacity`.

    3550 √(dH d⁵ / (s L (1 + 3.6/d + 0.03 d))). Units, ranges and `gas` as there. It gives small pipes less. Raises:
    OutsideValidity. Source: J. M. Spitzglass' formula for below 1 psi as handbooks of gas flow print it (from memory),
    held against the library fluids in tests.

    >>> round(spitzglass_capacity(1.049, 50, gas="natural"))
    244
    """
    within("Inside diameter", diameter, 0.3, 4, "in")
    within("Longest length", length, 5, 500, "ft")
    within("Pressure drop", drop, 0.1, 3, "in w.c.")
    slowed = 1 + 3.6 / diameter + 0.03 * diameter
    return 3550 * sqrt(drop * diameter**5 / (GRAVITY[gas] * length * slowed))


def table_capacity(edition: str, size: str, length: float) -> float:
    """Gas [cu ft/h] by the table of an `edition`, for the next longer printed length [ft, to 200].

    Raises: OutsideValidity for a size or length that is not printed. Source: the edition named.

    >>> table_capacity("2012, 0.5 in w.c.", "1", 45)
    284
    """
    table = TABLES[edition]
    if size not in table:
        raise OutsideValidity(f"The table “{edition}” has no {size} in pipe here; it has {', '.join(table)} in.")
    column = next((at for at, printed in enumerate(LENGTHS) if length <= printed + 1e-9), None)
    if column is None:
        raise OutsideValidity(
            f"{length:g} ft is longer than the table goes ({LENGTHS[-1]} ft): the gas fitter sizes it."
        )
    return table[size][column]


def smallest(capacities: Sequence[tuple[str, float]], flow: float) -> str:
    """The first size whose capacity carries `flow`, both in one unit. Raises: OutsideValidity where none does.

    >>> smallest([("1/2", 72), ("3/4", 151)], 100)
    '3/4'
    """
    found = next((size for size, capacity in capacities if capacity >= flow - 1e-9), None)
    if found is None:
        raise OutsideValidity("More gas is asked for than the largest of these pipes carries: the gas fitter sizes it.")
    return found


def inside_for(flow: float, length: float, *, gas: str) -> float:
    """Inside diameter [in] of the first of `INSIDE` that carries `flow` [cu ft/h] over a longest `length` [ft].

    By `pipe_capacity` at 0.5 in w.c.; the largest where none carries so much, which then is said of it. Raises:
    OutsideValidity. Source: International Fuel Gas Code, equation 4-1 (from memory); sizes of ASTM A53, Schedule 40
    (from memory).

    >>> inside_for(136, 60, gas="natural"), inside_for(10_000, 60, gas="natural")
    (0.824, 2.067)
    """
    sizes = tuple(INSIDE.values())
    return next((one for one in sizes if pipe_capacity(one, length, gas=gas) >= flow - 1e-9), sizes[-1])


def nominal(inside: float) -> str:
    """The nominal size of a Schedule 40 pipe of `inside` diameter [in]; empty where it is none of `INSIDE`.

    >>> nominal(1.049), nominal(1.2)
    ('1', '')
    """
    return next((size for size, own in INSIDE.items() if abs(own - inside) < 0.005), "")


def vent_areas(pounds: float) -> tuple[float, float]:
    """Open area [sq in] that an enclosure of a cylinder of `pounds` [lb of propane, 1 to 100] has at top and at floor.

    1 sq in a pound at the top in two openings and more, 1/2 at the floor. Raises: OutsideValidity. Source: product
    standard for outdoor cooking appliances as quoted in appliance manuals; the listing's instructions go before it.

    >>> vent_areas(20)
    (20.0, 10.0)
    """
    within("Propane", pounds, 1, 100, "lb")
    return 1.0 * pounds, 0.5 * pounds
