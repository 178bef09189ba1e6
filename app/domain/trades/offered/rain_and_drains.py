"""Rain and drains: runoff of a shower and of a storm, swale, pipe, storm drain by the code."""

from app.domain.trades import drainage
from app.domain.trades.calculation import Calculation, Column, Input, Output, Target, Working
from app.domain.trades.offered.draining import ASKS, DIG, GPM, INTENSITY, RAIN_SOURCE, SERVES, TRADE, WHERE
from app.domain.trades.quantity import (
    AREA_SF,
    CROSS_SECTION,
    FLOW,
    INCHES,
    LENGTH_FT,
    NUMBER,
    SHARE,
    SLOPE,
    SPEED,
    TEXT,
    THICKNESS,
    VOLUME_CF,
    WATER,
)

_N = (("0.012", "Smooth plastic, n 0.012"), ("0.015", "Corrugated, n 0.015"), ("0.010", "New and clean, n 0.010"))


def _runoff(it: Working) -> None:
    parts = [(area, coefficient) for _, area, coefficient in it["surfaces"]]
    area = it.told("area", sum(one for one, _ in parts), "the surfaces together")
    mean = it.told("coefficient", drainage.weighted(parts), "their coefficients, each by its area")
    flow = it.step("flow", drainage.runoff_flow(mean, it["rain"], area), "coefficient * rain * area / 96.25")
    it.step("in_an_hour", flow * 60 / 7.48051948, "flow * 60 / 7.48051948")
    it.table(
        "By surface",
        (("Surface", None), ("Area", AREA_SF), ("Coefficient", NUMBER), ("Flow", FLOW)),
        [(name, one, c, c * it["rain"] * one / drainage.GPM_AREA) for name, one, c in it["surfaces"]],
    )
    it.table(
        "Coefficients as printed",
        (("Surface", None), ("From", NUMBER), ("To", NUMBER)),
        tuple(drainage.COEFFICIENTS.values()),
    )


def _storm(it: Working) -> None:
    numbers = drainage.CURVE_NUMBERS[it["cover"]][1]
    ground = it.told("ground", numbers["ABCD".index(it["soil"])], drainage.CURVE_NUMBERS[it["cover"]][0])
    mixed = drainage.composite_curve_number(ground, it["paved"])
    number = it.step("number", mixed, "ground + paved * (98 - ground)")
    it.step("held", 1000 / number - 10, "1000 / number - 10")
    depth = drainage.runoff_depth(it["storm"], number)
    if depth:
        it.step("depth", depth, "(storm - 0.2 * held) ** 2 / (storm + 0.8 * held)")
    else:
        it.told("depth", 0.0, "the ground takes up all of a storm as small as this: 0.2 × what it holds")
    it.step("water", depth / 12 * it["area"], "depth / 12 * area")
    if 0 < depth < 0.5:
        it.note("Below half an inch of runoff the method is less sure, its source says.")


def _swale(it: Working) -> None:
    roughness = float(it["lining"])
    it.told("roughness", roughness, "Manning's n of the lining")
    flow, speed = drainage.channel_flow(
        bottom=it["bottom"], side=it["side"], depth=it["depth"], slope=it["slope"], roughness=roughness
    )
    section = it.step(
        "section", it["bottom"] * it["depth"] + it["side"] * it["depth"] ** 2, "bottom * depth + side * depth ** 2"
    )
    wetted = it["bottom"] + 2 * it["depth"] * (1 + it["side"] ** 2) ** 0.5
    it.step("wetted", wetted, "bottom + 2 * depth * sqrt(1 + side ** 2)")
    it.step("speed", speed, "1.486 / roughness * (section / wetted) ** (2 / 3) * sqrt(slope)")
    it.step("flow", flow, "section * speed * 448.831")
    it.step("top", it["bottom"] + 2 * it["side"] * it["depth"], "bottom + 2 * side * depth")
    if speed > 4 and section:
        it.note("Faster than about 4 ft/s grass washes out: flatter, wider, or lined with stone.")


def _pipe(it: Working) -> None:
    roughness = float(it["pipe"])
    it.told("roughness", roughness, "Manning's n of the pipe")
    flow = drainage.full_pipe_flow(it["diameter"], it["slope"], roughness)
    it.step(
        "flow",
        flow,
        "1.486 / roughness * (pi * (diameter / 12) ** 2 / 4) * (diameter / 48) ** (2 / 3) * sqrt(slope) * 448.831",
    )
    it.step("speed", drainage.pipe_speed(it["diameter"], flow), "flow / 448.831 / (pi * (diameter / 12) ** 2 / 4)")
    it.step("serves", flow * drainage.GPM_AREA / it["rain"], "flow * 96.25 / rain")
    it.step("drop", it["length"] * it["slope"], "length * slope")
    if it["speed"] < 2:
        it.note("Slower than 2 ft/s at full flow leaves silt lying: steeper, or a way to flush it.")


def _storm_drain(it: Working) -> None:
    flow = drainage.storm_drain(it["edition"], float(it["size"]), it["fall"])
    it.told("flow", flow, f"table of the {it['edition']}, {it['size']} in at {it['fall']} in per ft")
    it.step("serves", flow * drainage.GPM_AREA / it["rain"], "flow * 96.25 / rain")
    other = next(one for one in drainage.STORM_DRAINS if one != it["edition"])
    there = drainage.storm_drain(other, float(it["size"]), it["fall"])
    it.note(f"The {other} has {there:.0f} gpm for the same pipe: ask which edition is adopted.")


_SURFACES = (("Roof", 1800.0, 0.95), ("Terrace", 1200.0, 0.90), ("Lawn", 7000.0, 0.20))

CALCULATIONS = (
    Calculation(
        key="runoff",
        title="Runoff of a shower",
        trade=TRADE,
        words="Peak flow from roofs, paving and lawn by the rational method.",
        inputs=(
            INTENSITY,
            Input(
                name="surfaces",
                label="Surfaces",
                default=_SURFACES,
                columns=(
                    Column(name="name", label="What", quantity=TEXT),
                    Column(name="area", label="Area", quantity=AREA_SF),
                    Column(name="coefficient", label="Runoff coefficient"),
                ),
                hint="Roof; 1800; 0.95. Roofs and concrete 0.80 to 0.95, pavers 0.70 to 0.85, lawn 0.05 to 0.35.",
            ),
        ),
        outputs=(
            Output(name="area", label="Area", quantity=AREA_SF),
            Output(name="coefficient", label="Coefficient of all", main=True),
            GPM,
            Output(name="in_an_hour", label="Water in an hour of it", quantity=VOLUME_CF),
        ),
        work=_runoff,
        validity="Up to 200 acres, rain that lasts as long as the water takes to arrive.",
        source="Rational method, Q = CiA; coefficients: American Society of Civil Engineers. " + RAIN_SOURCE,
        differs="With acres and Q = C i A, as texts write it, 0.8 % less. For a whole storm curve numbers "
        "tell other volumes: of 1 in on a lawn 0.20 in run off by C 0.20 and 0.02 in by number "
        "74, of 6 in 1.2 in and 3.2 in.",
        cautions=(WHERE,),
        stops=ASKS,
        search="rain rational method storm water",
    ),
    Calculation(
        key="storm",
        title="Runoff of a storm",
        trade=TRADE,
        words="How much of a storm's rain runs off, by the curve number of ground and soil.",
        inputs=(
            Input(name="storm", label="Rain of the storm", quantity=INCHES, default=3.0, least=0.0, most=20.0),
            Input(name="area", label="Area", quantity=AREA_SF, default=10_000.0, least=1.0),
            Input(
                name="cover",
                label="Ground",
                default="lawn-good",
                choices=tuple((key, words) for key, (words, _) in drainage.CURVE_NUMBERS.items()),
            ),
            Input(
                name="soil",
                label="Soil group",
                default="C",
                choices=(("A", "A, sand"), ("B", "B, loam"), ("C", "C, clay loam"), ("D", "D, clay")),
            ),
            Input(name="paved", label="Paved and piped share", quantity=SHARE, default=0.25, most=1.0),
        ),
        outputs=(
            Output(name="ground", label="Curve number of the ground"),
            Output(name="number", label="Curve number with the paving", main=True),
            Output(name="held", label="What it can hold", quantity=INCHES),
            Output(name="depth", label="Runs off", quantity=INCHES, main=True),
            Output(name="water", label="Water", quantity=WATER, main=True),
        ),
        work=_storm,
        validity="Curve numbers 30 to 98, storms to 20 in of one day; not snow, not frozen ground.",
        source="USDA NRCS, TR-55 (1986), equations 2-3 and 2-4, table 2-2a. " + RAIN_SOURCE,
        differs="Taking up 0.05 in place of 0.2 of what the ground holds before anything runs off, small "
        "storms give more: 1 in on number 75 0.17 in, here 0.03 in. For 7 in on number 50 TR-55's "
        "own table prints 1.68, its equation gives 1.67.",
        cautions=(WHERE,),
        stops=ASKS,
        search="rain curve number tr-55 storm water",
    ),
    Calculation(
        key="swale",
        title="Swale",
        trade=TRADE,
        words="What a ditch or swale carries, and how fast.",
        inputs=(
            Input(name="bottom", label="Bottom width", quantity=LENGTH_FT, default=1.0, most=30.0),
            Input(name="side", label="Sides, run to one of rise", default=3.0, most=20.0),
            Input(name="depth", label="Depth of water", quantity=THICKNESS, default=0.5, least=1 / 12, most=5.0),
            Input(name="slope", label="Fall along it", quantity=SLOPE, default=0.02, least=0.001, most=0.2),
            Input(
                name="lining",
                label="Lining",
                default="0.035",
                choices=(
                    ("0.035", "Mown grass, n 0.035"),
                    ("0.15", "Tall grass, n 0.15"),
                    ("0.03", "Stone, n 0.03"),
                    ("0.015", "Concrete, n 0.015"),
                ),
            ),
        ),
        outputs=(
            Output(name="roughness", label="Manning's n"),
            Output(name="section", label="Section", quantity=CROSS_SECTION),
            Output(name="wetted", label="Wetted edge", quantity=LENGTH_FT),
            Output(name="speed", label="Speed", quantity=SPEED, main=True),
            GPM,
            Output(name="top", label="Water is wide", quantity=LENGTH_FT),
        ),
        work=_swale,
        validity="Even flow, fall 0.1 to 20%, water to 5 ft deep.",
        source="Manning's equation; n of hydraulic handbooks (common practice).",
        cautions=(WHERE, "Moving water a foot deep takes a person off their feet."),
        stops=ASKS,
        search="ditch channel manning",
    ),
    Calculation(
        key="drain-pipe",
        title="Drain pipe",
        trade=TRADE,
        words="What a pipe carries that runs full without pressure, and the roof or yard it drains.",
        inputs=(
            Input(name="diameter", label="Inside diameter", quantity=INCHES, default=4.0, least=1.0, most=48.0),
            Input(name="slope", label="Fall", quantity=SLOPE, default=0.01, least=0.001, most=0.2),
            Input(name="pipe", label="Pipe", default="0.012", choices=_N),
            Input(name="length", label="Length", quantity=LENGTH_FT, default=60.0, most=5280.0),
            INTENSITY,
        ),
        outputs=(
            Output(name="roughness", label="Manning's n"),
            GPM,
            Output(name="speed", label="Speed", quantity=SPEED),
            SERVES,
            Output(name="drop", label="Falls by", quantity=LENGTH_FT, main=True),
        ),
        work=_pipe,
        validity="Full, even flow; fall 0.1 to 20%; 1 to 48 in.",
        source="Manning's equation; 1 gpm is 1 in/h on 96.25 sq ft. " + RAIN_SOURCE,
        assumes=("Perforated pipe in stone: fall of 0.5 to 1% (Washington State extension).",),
        differs="Tables give smooth plastic n from 0.009 to 0.012: 4 in at 1 % carries 123 gpm by the "
        "one, 93 by the other, a third more.",
        cautions=(WHERE, DIG),
        stops=ASKS,
        targets=(
            Target(assembly="solid-drain", parameters={}, new=True, sizes={"length": "length"}, run_kind="drain"),
            Target(
                assembly="drain-line",
                parameters={"slope": "slope"},
                new=True,
                sizes={"length": "length"},
                run_kind="drain",
            ),
        ),
        search="french drain solid pipe fall manning",
    ),
    Calculation(
        key="storm-drain",
        title="Storm drain by the code",
        trade=TRADE,
        words="What the plumbing code's table lets a level storm drain carry, by its edition.",
        inputs=(
            Input(
                name="edition",
                label="Edition adopted",
                default="IPC 2021",
                choices=tuple((one, one) for one in drainage.STORM_DRAINS),
                table="storm-drain",
            ),
            Input(
                name="size",
                label="Size",
                default="4",
                choices=tuple((one, f"{one} in") for one in ("3", "4", "6", "8")),
            ),
            Input(
                name="fall",
                label="Fall",
                default="1/8",
                choices=tuple((one, f"{one} in per ft") for one in ("1/8", "1/4", "1/2")),
            ),
            INTENSITY,
        ),
        outputs=(GPM, SERVES),
        work=_storm_drain,
        validity="Sizes and falls that are printed; one edition at a time.",
        source="International Plumbing Code 2012 and 2021, storm drain tables: 4 in at 1/8 in per ft seen (78 "
        "and 115 gpm), "
        "the rest from memory; check the adopted book.",
        differs="Editions differ by half: a pipe of 4 in at 1/8 in per ft takes 78 gpm by 2012 and 115 "
        "gpm by 2021. 1 in/h on 1 sq ft is 0.0104 gpm; some pages misprint 0.014, a third more.",
        cautions=(WHERE,),
        stops="Drains of a building: the licensed plumber and the adopted code.",
        search="plumbing code edition",
    ),
)
