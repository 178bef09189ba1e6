"""Roofs and ground that soaks: gutter and leaders, grate, dry well, trench."""

from app.domain.trades import drainage
from app.domain.trades.calculation import Calculation, Input, Output, Target, Working
from app.domain.trades.offered.draining import ASKS, DIG, GPM, INTENSITY, RAIN_SOURCE, SERVES, TRADE, WHERE
from app.domain.trades.quantity import (
    AREA_SF,
    CROSS_SECTION,
    FLOW,
    HOURS,
    INCHES,
    LENGTH_FT,
    RAIN,
    SHARE,
    THICKNESS,
    VOLUME_CF,
    VOLUME_CY,
    WATER,
)

_SOAK = Input(
    name="soak",
    label="Soil soaks up",
    quantity=RAIN,
    default=0.5,
    least=0.27,
    most=10.0,
    hint="from a soak test, halved to be careful",
)
_POROSITY = Input(
    name="porosity",
    label="Porosity: voids in the whole",
    quantity=SHARE,
    default=0.40,
    least=0.25,
    most=0.5,
    hint="clean angular stone 40%; not the void ratio",
)


def _gutter(it: Working) -> None:
    area = it.told(
        "adjusted", drainage.pitched_area(it["area"], it["pitch"]), "the area in plan with the factor of its pitch"
    )
    it.step("wants", area * it["rain"], "adjusted * rain")
    capacity = it.told("carries", drainage.GUTTERS[it["gutter"]][1], drainage.GUTTERS[it["gutter"]][0])
    it.step("used", it["wants"] / capacity, "wants / carries")
    filled = it.told("filled", drainage.LEADER_FILLED[it["edition"]][1], drainage.LEADER_FILLED[it["edition"]][0])
    leader = drainage.leader_capacity(it["leader"], filled)
    it.step("leader_flow", leader, "27.8 * filled ** (5 / 3) * leader ** (8 / 3)")
    flow = it.step("flow", it["wants"] / drainage.GPM_AREA, "wants / 96.25")
    it.step("leaders", float(-(-flow // leader)) if flow else 0.0, "ceil(flow / leader_flow)")
    if it["used"] > 1:
        it.note("More rain than this gutter carries: a larger one, or the roof shared between two.")


def _grate(it: Working) -> None:
    flow = drainage.grate_flow(it["perimeter"], it["opening"], it["head"], it["clogged"])
    it.step(
        "flow",
        flow,
        "min(3.0 * perimeter * (1 - clogged) * head ** 1.5, "
        "0.67 * opening * (1 - clogged) * sqrt(2 * 32.2 * head)) * 448.831",
    )
    it.step("serves", flow * drainage.GPM_AREA / it["rain"], "flow * 96.25 / rain")


def _dry_well(it: Working) -> None:
    water = it.step("water", it["roof"] * it["storm"] / 12, "roof * storm / 12")
    stone = it.step(
        "stone", drainage.stone_for(water, it["chamber"], it["porosity"]), "max(0, water - chamber) / porosity"
    )
    it.step("floor", (stone + it["chamber"]) / it["deep"], "(stone + chamber) / deep")
    hours = drainage.hours_to_empty(it["deep"], it["porosity"], it["soak"])
    it.step("hours", hours, "deep * 12 * porosity / soak")
    it.step("storm_held", it["storm"] / 12, "storm / 12")
    if hours > 72:
        it.note("It would stand longer than 72 hours: shallower, or another place. Guides want it empty in 48 to 72.")
    if it["roof"] > 1000:
        it.note("A county guide allows 1,000 sq ft for one dry well: make several.")


def _trench(it: Working) -> None:
    stone = it.step("stone", it["length"] * it["width"] * it["deep"], "length * width * deep")
    it.step("water", stone * it["porosity"], "stone * porosity")
    hours = drainage.hours_to_empty(it["deep"], it["porosity"], it["soak"])
    it.step("hours", hours, "deep * 12 * porosity / soak")
    it.step("deepest", drainage.deepest(it["soak"], it["limit"], it["porosity"]), "soak * limit / porosity / 12")
    it.step("storm", it["water"] / it["roof"] * 12, "water / roof * 12")
    if hours > it["limit"]:
        it.note("It does not empty in the time that is allowed: shallower and longer.")


_EMPTY = Output(name="hours", label="Empties in", quantity=HOURS, main=True)
_STONE = Output(name="stone", label="Stone", quantity=VOLUME_CY, main=True)
_HELD = Output(name="water", label="Water held", quantity=WATER, main=True)
_INFILTRATION = (
    "Dry well guides of a Maryland county (2010: 10 ft from a building, 0.27 in/h at least) and of New Jersey "
    "(2016: empty "
    "in 72 h, 2 ft above ground water, the tested rate halved)."
)

CALCULATIONS = (
    Calculation(
        key="gutter",
        title="Gutter and leaders",
        trade=TRADE,
        words="Whether a gutter is large enough for its roof, and how many leaders it wants.",
        inputs=(
            Input(name="area", label="Roof in plan", quantity=AREA_SF, default=1000.0, least=1.0),
            Input(name="pitch", label="Pitch: rise in 12", default=6.0, most=12.0),
            Input(name="rain", label="Rain of five minutes", quantity=RAIN, default=6.8, least=0.1, most=20.0),
            Input(
                name="gutter",
                label="Gutter",
                default="k5",
                choices=tuple((key, words) for key, (words, _) in drainage.GUTTERS.items()),
            ),
            Input(name="leader", label="Leader diameter", quantity=INCHES, default=3.0, least=1.5, most=15.0),
            Input(
                name="edition",
                label="Leader filled, by the code",
                default="nspc-2006",
                choices=tuple((key, words) for key, (words, _) in drainage.LEADER_FILLED.items()),
                table="leader",
            ),
        ),
        outputs=(
            Output(name="adjusted", label="Roof as rain meets it", quantity=AREA_SF),
            Output(name="wants", label="Asks for, at 1 in/h", quantity=AREA_SF, main=True),
            Output(name="carries", label="Gutter carries, at 1 in/h", quantity=AREA_SF, main=True),
            Output(name="used", label="Of the gutter", quantity=SHARE, main=True),
            Output(name="filled", label="Leader filled", quantity=SHARE),
            Output(name="leader_flow", label="A leader carries", quantity=FLOW),
            Output(name="flow", label="Flow", quantity=FLOW),
            Output(name="leaders", label="Leaders", main=True),
        ),
        work=_gutter,
        validity="Pitches to 12 in 12, leaders of 1 1/2 to 15 in round; a level gutter of 5 or 6 in.",
        source="Gutter areas and pitch factors: a published sizing table (common practice). Leaders: the stack "
        "equation, "
        "National Standard Plumbing Code 2006, table 13.6.1. " + RAIN_SOURCE,
        differs="Roofs counted in plan, as codes do, ask for 9 % less than with the factor of a 6 in 12 "
        "pitch. An old rule, 1,200 sq ft at 1 in/h to a sq in of leader (common practice, no "
        "source), tells a 3 in leader a third more than the equation at 7/24 full.",
        cautions=("Ladders: tie off, three points, away from wires.", WHERE),
        search="downspout roof",
    ),
    Calculation(
        key="grate",
        title="Grate of a basin",
        trade=TRADE,
        words="What runs into a catch basin's grate when leaves lie on part of it.",
        inputs=(
            Input(
                name="perimeter", label="Edge water runs in over", quantity=LENGTH_FT, default=4.0, least=0.1, most=40.0
            ),
            Input(name="opening", label="Open holes", quantity=CROSS_SECTION, default=0.4, least=0.01, most=50.0),
            Input(name="head", label="Water above it", quantity=THICKNESS, default=1.25 / 12, least=0.02, most=1.0),
            Input(name="clogged", label="Clogged", quantity=SHARE, default=0.5, most=0.9),
            INTENSITY,
        ),
        outputs=(GPM, SERVES),
        work=_grate,
        validity="Water 1/4 in to 1 ft deep over a level grate in a low point.",
        source="Federal Highway Administration, HEC-22: weir and holes, the smaller (from memory). " + RAIN_SOURCE,
        cautions=(WHERE, "A grate where people walk: openings of 1/2 in at most across the way."),
        search="catch basin inlet drain",
    ),
    Calculation(
        key="dry-well",
        title="Dry well",
        trade=TRADE,
        words="Stone and floor for the water of a roof, and how long it stands.",
        inputs=(
            Input(name="roof", label="Roof or paving", quantity=AREA_SF, default=500.0, least=10.0),
            Input(name="storm", label="Rain held", quantity=INCHES, default=1.0, least=0.1, most=6.0),
            Input(name="chamber", label="Chamber holds", quantity=VOLUME_CF, default=7.0, most=1000.0),
            Input(name="deep", label="Depth of stone", quantity=LENGTH_FT, default=4.0, least=0.5, most=10.0),
            _POROSITY,
            _SOAK,
        ),
        outputs=(
            Output(name="water", label="Water", quantity=WATER, main=True),
            _STONE,
            Output(name="floor", label="Floor", quantity=AREA_SF, main=True),
            _EMPTY,
            Output(name="storm_held", label="Rain held", quantity=THICKNESS),
        ),
        work=_dry_well,
        validity="Soil that soaks up 0.27 to 10 in/h, stone to 10 ft deep. The sides are not counted.",
        source=_INFILTRATION + " Porosity 0.40 of clean angular stone: published.",
        assumes=("A soak test at the depth of the floor; ground water 2 ft below it.",),
        differs="Void ratio is voids over solids, not over all: porosity 40 % is a void ratio of 0.67. A "
        "void ratio of 0.40 typed here as porosity tells 29 % too little stone.",
        cautions=(DIG, WHERE, "10 ft from a building, off septic fields and slopes."),
        stops=ASKS,
        targets=(
            Target(
                assembly="dry-well",
                parameters={
                    "roof": "roof",
                    "storm": "storm_held",
                    "open_share": "porosity",
                    "chamber": "chamber",
                    "deep": "deep",
                },
                new=True,
            ),
        ),
        search="soak infiltration stone chamber",
    ),
    Calculation(
        key="soak-trench",
        title="Trench that soaks",
        trade=TRADE,
        words="Water a trench of stone holds, and how long it stands.",
        inputs=(
            Input(name="length", label="Length", quantity=LENGTH_FT, default=30.0, least=1.0, most=1000.0),
            Input(name="width", label="Width", quantity=THICKNESS, default=2.0, least=0.5, most=20.0),
            Input(name="deep", label="Depth of stone", quantity=LENGTH_FT, default=3.0, least=0.5, most=10.0),
            _POROSITY,
            _SOAK,
            Input(name="limit", label="Empty within", quantity=HOURS, default=72.0, least=1.0, most=120.0),
            Input(name="roof", label="Roof or paving", quantity=AREA_SF, default=800.0, least=10.0),
        ),
        outputs=(
            _STONE,
            _HELD,
            Output(name="storm", label="Rain it holds of that area", quantity=INCHES, main=True),
            _EMPTY,
            Output(name="deepest", label="Deepest that empties in time", quantity=LENGTH_FT),
        ),
        work=_trench,
        validity="Soil that soaks up 0.27 to 10 in/h, stone to 10 ft deep. The sides are not counted.",
        source=_INFILTRATION + " Depth: d = f T / n.",
        differs="Void ratio is voids over solids, not over all: porosity 40 % is a void ratio of 0.67. A "
        "void ratio of 0.40 typed here as porosity tells 40 % too much water.",
        cautions=(DIG, WHERE),
        stops=ASKS,
        targets=(
            Target(
                assembly="drain-line",
                parameters={"width": "width", "drains": "roof"},
                new=True,
                sizes={"length": "length"},
                run_kind="drain",
            ),
        ),
        search="infiltration stone french drain",
    ),
)
