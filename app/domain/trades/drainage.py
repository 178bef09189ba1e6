"""Rain to runoff, and where it goes: rational method, curve number, swale, pipe, gutter, leader, grate, dry well.

Rain is put in (in/h, or in of a storm): it is looked up for the place, never assumed here. Flows are in gpm.
"""

from collections.abc import Mapping, Sequence
from math import pi, sqrt

from app.domain.trades.validity import OutsideValidity, above_zero, within

GPM_AREA = 96.25  # sq ft on which 1 in/h makes 1 gpm: 231 cu in a gallon ÷ 144, × 60 (1/96.25 = 0.0104)
GPM_A_CFS = 448.831  # 7.48052 × 60
ACRE = 43_560.0
_MANNING = 1.486  # US units

# runoff coefficient, low and high of the printed span: American Society of Civil Engineers' table
COEFFICIENTS: Mapping[str, tuple[str, float, float]] = {
    "roof": ("Roof", 0.75, 0.95),
    "concrete": ("Concrete", 0.80, 0.95),
    "asphalt": ("Asphalt", 0.70, 0.95),
    "brick": ("Brick, unit pavers", 0.70, 0.85),
    "walk": ("Drive or walk", 0.75, 0.85),
    "lawn-sand-flat": ("Lawn on sand, flat", 0.05, 0.10),
    "lawn-sand": ("Lawn on sand, 2 to 7%", 0.10, 0.15),
    "lawn-sand-steep": ("Lawn on sand, steep", 0.15, 0.20),
    "lawn-clay-flat": ("Lawn on heavy soil, flat", 0.13, 0.17),
    "lawn-clay": ("Lawn on heavy soil, 2 to 7%", 0.18, 0.22),
    "lawn-clay-steep": ("Lawn on heavy soil, steep", 0.25, 0.35),
}
# curve numbers by cover, for soil groups A to D: USDA NRCS, TR-55 (1986), table 2-2a
CURVE_NUMBERS: Mapping[str, tuple[str, tuple[int, int, int, int]]] = {
    "lawn-good": ("Lawn, good (grass on 75% and more)", (39, 61, 74, 80)),
    "lawn-fair": ("Lawn, fair", (49, 69, 79, 84)),
    "lawn-poor": ("Lawn, poor", (68, 79, 86, 89)),
    "paved": ("Paving and roofs", (98, 98, 98, 98)),
    "gravel": ("Gravel", (76, 85, 89, 91)),
    "dirt": ("Bare dirt way", (72, 82, 87, 89)),
    "graded": ("Newly graded, no plants", (77, 86, 91, 94)),
}
# share of the leader's section that water fills when it is full by the code's table
LEADER_FILLED: Mapping[str, tuple[str, float]] = {
    "nspc-2006": ("National Standard Plumbing Code 2006, 7/24 full", 7 / 24),
    "quarter": ("A quarter full", 1 / 4),
    "third": ("A third full", 1 / 3),
}
# sq ft of level roof at 1 in/h by shape of gutter: a published sizing table (common practice)
GUTTERS: Mapping[str, tuple[str, float]] = {"k5": ("5 in, K shape", 5520.0), "k6": ("6 in, K shape", 7960.0)}
# factor by roof pitch [in of rise in 12]: the same
PITCHES: tuple[tuple[float, float], ...] = ((3, 1.0), (5, 1.05), (8, 1.1), (11, 1.2), (12, 1.3))
# gpm of a horizontal storm drain by edition, size [in], slope [in per ft]. 2012 prints sq ft at 1 in/h (here ÷ 96.25).
# International Plumbing Code: 4 in at 1/8 seen in both (2,506 sq ft at 3 in/h; 115 gpm), the rest from memory
_IPC_2012_AREA: Mapping[float, tuple[float, float, float]] = {
    3: (3288, 4640, 6576), 4: (7520, 10600, 15040), 6: (21400, 30200, 42800), 8: (46000, 65200, 92000),
}  # fmt: skip
_SLOPES = ("1/8", "1/4", "1/2")
STORM_DRAINS: Mapping[str, Mapping[float, tuple[float, ...]]] = {
    "IPC 2012": {size: tuple(area / GPM_AREA for area in row) for size, row in _IPC_2012_AREA.items()},
    "IPC 2021": {3: (55, 79, 111), 4: (115, 163, 231), 6: (344, 487, 689), 8: (714, 1010, 1429)},
}
# NRCS hydraulic texts and makers' sheets: Manning's n
SMOOTH_PIPE, CORRUGATED_PIPE, GRASS = 0.012, 0.015, 0.035


def runoff_flow(coefficient: float, intensity: float, area: float) -> float:
    """Peak runoff [gpm] by the rational method.

    `coefficient` [0.05 to 1], `intensity` [in/h, 0.1 to 20], `area` [sq ft].
    To 200 acres, the rain as long as water takes to arrive. Raises: OutsideValidity. Source: Q = CiA, the factor
    1.008 is in the 96.25 sq ft that make 1 gpm at 1 in/h.

    >>> round(runoff_flow(0.11, 1.25, 30 * 43560) / 448.831, 2)
    4.16
    """
    within("Runoff coefficient", coefficient, 0.05, 1)
    within("Rain", intensity, 0.1, 20, "in/h")
    within("Area", area / ACRE, 0, 200, "acres")
    return coefficient * intensity * area / GPM_AREA


def weighted(parts: Sequence[tuple[float, float]]) -> float:
    """The mean of values weighted by area: parts are (area, value). Raises: OutsideValidity without an area.

    >>> round(weighted([(1800, .95), (1200, .90), (7000, .20)]), 3)
    0.419
    """
    area = above_zero("Area in all", sum(one for one, _ in parts), "sq ft")
    return sum(one * value for one, value in parts) / area


def runoff_depth(rain: float, curve_number: float) -> float:
    """Depth that runs off [in] of `rain` [in, 0 to 20] at a `curve_number` [30 to 98] by the NRCS equation.

    Q = (P - 0.2 S)² / (P + 0.8 S), S = 1000/CN - 10; nothing runs off until P is 0.2 S. Raises: OutsideValidity.
    Source: USDA NRCS, TR-55 (1986), equations 2-3 and 2-4.

    >>> round(runoff_depth(6.0, 70), 2)
    2.81
    """
    within("Rain", rain, 0, 20, "in")
    held = 1000 / within("Curve number", curve_number, 30, 98) - 10
    return 0.0 if rain <= 0.2 * held else (rain - 0.2 * held) ** 2 / (rain + 0.8 * held)


def composite_curve_number(pervious: float, paved_share: float) -> float:
    """The curve number of `pervious` ground [30 to 98] of which a `paved_share` [0 to 1] is paved and drains along.

    Raises: OutsideValidity. Source: TR-55 (1986), figure 2-3 (from memory).

    >>> round(composite_curve_number(61, 0.38))
    75
    """
    within("Paved share", paved_share, 0, 1)
    return within("Curve number", pervious, 30, 98) + paved_share * (98 - pervious)


def channel_flow(*, bottom: float, side: float, depth: float, slope: float, roughness: float) -> tuple[float, float]:
    """Flow [gpm] and speed [ft/s] in a swale.

    `bottom` [ft], `side` slopes [run over rise, 0 to 20], water `depth` [ft, to 5].
    `slope` along it [0.001 to 0.2], Manning's `roughness` n [0.008 to 0.3]. Even flow. Raises: OutsideValidity.
    Source: Manning's equation.

    >>> flow, speed = channel_flow(bottom=0, side=3, depth=0.5, slope=0.02, roughness=0.035)
    >>> round(flow, 1), round(speed, 2)
    (774.4, 2.3)
    """
    within("Side slope", side, 0, 20, "to 1")
    within("Depth of water", above_zero("Depth of water", depth, "ft"), None, 5, "ft")
    _even(slope, roughness)
    section = above_zero("Section of the swale", bottom * depth + side * depth**2, "sq ft")
    wetted = bottom + 2 * depth * sqrt(1 + side**2)
    speed: float = _MANNING / roughness * (section / wetted) ** (2 / 3) * sqrt(slope)
    return section * speed * GPM_A_CFS, speed


def _even(slope: float, roughness: float) -> None:
    within("Slope", slope, 0.001, 0.2)
    within("Manning's n", roughness, 0.008, 0.3)


def full_pipe_flow(diameter: float, slope: float, roughness: float) -> float:
    """Flow [gpm] of a pipe that runs full without pressure: `diameter` [in, 1 to 48], `slope` [0.001 to 0.2], n.

    Raises: OutsideValidity. Source: Manning's equation, Q = 1.486/n A R^(2/3) S^(1/2).

    >>> round(full_pipe_flow(4, 0.01, 0.012), 1)
    92.5
    """
    _even(slope, roughness)
    feet = within("Diameter", diameter, 1, 48, "in") / 12
    radius: float = (feet / 4) ** (2 / 3)
    return _MANNING / roughness * (pi * feet**2 / 4) * radius * sqrt(slope) * GPM_A_CFS


def pipe_speed(diameter: float, flow: float) -> float:
    """Speed [ft/s] of `flow` [gpm] in a full pipe of `diameter` [in].

    >>> round(pipe_speed(4, 92.5), 2)
    2.36
    """
    return flow / GPM_A_CFS / (pi * (diameter / 12) ** 2 / 4)


def storm_drain(edition: str, size: float, slope: str) -> float:
    """Flow [gpm] of a horizontal storm drain of `size` [in] at `slope` [in per ft] by the table of an `edition`.

    Raises: OutsideValidity for what is not printed. Source: International Plumbing Code of that edition.

    >>> round(storm_drain("IPC 2012", 4, "1/8"), 1), storm_drain("IPC 2021", 4, "1/8")
    (78.1, 115)
    """
    table = STORM_DRAINS[edition]
    if size not in table:
        raise OutsideValidity(
            f"{size:g} in is not in the table of {edition}: {', '.join(f'{one:g}' for one in table)} in are."
        )
    return table[size][_SLOPES.index(slope)]


def leader_capacity(diameter: float, filled: float) -> float:
    """Flow [gpm] down a vertical leader of `diameter` [in, 1.5 to 15] that is `filled` [share, 0.2 to 0.35].

    Q = 27.8 r^(5/3) d^(8/3). Raises: OutsideValidity. Source: the stack equation behind the code tables (from memory);
    National Standard Plumbing Code 2006, table 13.6.1 prints 23, 144, 424 gpm for 2, 4, 6 in at 7/24.

    >>> round(leader_capacity(4, 7 / 24))
    144
    """
    within("Filled", filled, 0.2, 0.35)
    return float(27.8 * filled ** (5 / 3) * within("Diameter", diameter, 1.5, 15, "in") ** (8 / 3))


def pitched_area(area: float, pitch: float) -> float:
    """Roof area [sq ft] as rain meets it: `area` in plan with the factor of its `pitch` [in of rise in 12, 0 to 12].

    Raises: OutsideValidity. Source: published factors 1, 1.05, 1.1, 1.2, 1.3 (common practice).

    >>> round(pitched_area(1000, 6), 1)
    1100.0
    """
    within("Pitch", pitch, 0, 12, "in 12")
    return area * next(factor for most, factor in PITCHES if pitch <= most + 1e-9)


def grate_flow(perimeter: float, opening: float, head: float, clogged: float) -> float:
    """Flow [gpm] into a grate under `head` [ft of water, 0.02 to 1]: as a weir or as holes, the smaller.

    `perimeter` [ft] that water runs in over, `opening` [sq ft] of its holes, `clogged` share of both [0 to 0.9].
    Raises: OutsideValidity. Source: Federal Highway Administration, HEC-22: weir 3.0 P d^1.5, holes 0.67 A (2 g d)^0.5
    (from memory).

    >>> round(grate_flow(4, 0.4, 0.1, 0.5), 1)
    85.2
    """
    within("Water above the grate", head, 0.02, 1, "ft")
    free = 1 - within("Clogged", clogged, 0, 0.9)
    weir: float = 3.0 * perimeter * free * head**1.5
    holes = 0.67 * opening * free * sqrt(2 * 32.2 * head)
    return min(weir, holes) * GPM_A_CFS


def stone_for(water: float, chamber: float, porosity: float) -> float:
    """Stone [cu ft] whose voids hold what of `water` [cu ft] a `chamber` [cu ft] does not hold.

    `porosity` [0.25 to 0.5] is voids by the whole; a void ratio e is another number, n = e / (1 + e). Raises:
    OutsideValidity. Source: definition; 0.40 for clean angular stone (published).

    >>> round(stone_for(166.667, 0, 0.40), 1)
    416.7
    """
    return max(0.0, water - chamber) / within("Porosity", porosity, 0.25, 0.5)


def hours_to_empty(depth: float, porosity: float, soak: float) -> float:
    """Hours until stone of `depth` [ft, to 10] full of water has soaked into its floor at `soak` [in/h, 0.27 to 10].

    The sides are not counted. Raises: OutsideValidity: slower soil does not do it. Source: d = f T / n turned around;
    0.27 in/h at least: a Maryland county guide (2010).

    >>> round(hours_to_empty(93.6 / 12, 0.4, 0.52), 6)
    72.0
    """
    within("Depth of stone", above_zero("Depth of stone", depth, "ft"), None, 10, "ft")
    within("Soil soaks up", soak, 0.27, 10, "in/h")
    return depth * 12 * within("Porosity", porosity, 0.25, 0.5) / soak


def deepest(soak: float, hours: float, porosity: float) -> float:
    """The deepest stone [ft] that empties into its floor within `hours` [1 to 120]. Raises: OutsideValidity.

    >>> round(deepest(0.52, 72, 0.4) * 12, 1)
    93.6
    """
    within("Soil soaks up", soak, 0.27, 10, "in/h")
    return soak * within("Hours", hours, 1, 120, "h") / within("Porosity", porosity, 0.25, 0.5) / 12
