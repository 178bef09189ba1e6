"""Dry-laid retaining walls: what goes in; three numbers to take to an engineer."""

from app.domain.trades import walls
from app.domain.trades.calculation import Calculation, Input, Output, Target, Working
from app.domain.trades.quantity import (
    ANGLE,
    COUNT,
    DENSITY,
    LENGTH_FT,
    LINE_FORCE,
    MOMENT,
    NUMBER,
    SHARE,
    SOIL_PRESSURE,
    THICKNESS,
    TIMES,
    VOLUME_CY,
)

TRADE = "Walls"
_ENGINEER = (
    "From 4 ft above the bottom of the footing (some towns: 2 or 3 ft), with a slope, a drive, a building or a "
    "fence above, "
    "or in tiers: an engineer designs it and the town permits it."
)
_FALL = "Open cuts cave in: slope or shore from 5 ft on, keep machines and spoil back. Lift blocks with two or a clamp."


def _materials(it: Working) -> None:
    it.step("below", max(walls.buried(it["seen"]), it["at_least"]), "max(0.5, seen / 10, at_least)")
    total = it.step("total", it["seen"] + it["below"], "seen + below")
    rows = it.step("courses", walls.block_courses(it["seen"], it["below"], it["course"]), "ceil(total / course)")
    each = it.step("in_course", walls.pieces(it["length"], it["block"]), "ceil(length / block)")
    laid = it.step("blocks", rows * each, "courses * in_course")
    it.step("ordered", float(-(-laid * (1 + it["loss"]) // 1)), "ceil(blocks * (1 + loss))")
    it.step("caps", walls.pieces(it["length"], it["cap"]), "ceil(length / cap)")
    it.step("pad", it["length"] * it["pad_width"] * it["pad_deep"], "length * pad_width * pad_deep")
    it.step("stone", it["length"] * it["drain_width"] * total, "length * drain_width * total")
    it.step("pipe", it["length"], "length")
    if total > walls.ENGINEER_FROM:
        it.note("Higher than 4 ft from its footing: an engineer's wall. The count is for a budget only.")


def _forces(it: Working) -> None:
    share = walls.active_share(it["friction"])
    it.told("share", share, "Rankine: tan²(45° − angle ÷ 2), level ground, drained")
    one = walls.push(
        height=it["height"], depth=it["depth"], soil=it["soil"], wall=it["wall"], share=share, surcharge=it["load"]
    )
    it.step("thrust", one.thrust, "share * soil * height ** 2 / 2 + share * load * height")
    it.step("turning", one.turning, "share * soil * height ** 3 / 6 + share * load * height ** 2 / 2")
    it.step("weight", one.weight, "wall * height * depth")
    it.step("holding", one.holding, "weight * depth / 2")
    it.step("sliding", walls.sliding_ratio(one, it["base"]), "weight * base / thrust")
    it.step("overturning", walls.overturning_ratio(one), "holding / turning")
    pressure = walls.bearing(one, it["depth"])
    it.step("bearing", pressure, "weight / min(2 * (holding - turning) / weight, depth)")
    if it["tier"] and walls.tiers_act_together(it["height"], it["gap"]):
        it.note(
            "The upper wall stands nearer than twice the lower one's height: they act as one wall, which this "
            "does not cover."
        )
    it.note(
        "The model code asks for 1.5 against sliding and overturning of a designed wall. These numbers are for "
        "that talk."
    )


_LENGTH = Input(name="length", label="Length", quantity=LENGTH_FT, default=30.0, least=0.5, most=1000.0)

CALCULATIONS = (
    Calculation(
        key="segmental-wall",
        title="Block retaining wall",
        trade=TRADE,
        words="Courses with what is buried, blocks, caps, pad and drainage stone.",
        inputs=(
            _LENGTH,
            Input(name="seen", label="Height that is seen", quantity=LENGTH_FT, default=2.5, least=0.25, most=9.0),
            Input(name="at_least", label="Buried, at least", quantity=THICKNESS, default=0.5, least=0.0, most=3.0),
            Input(name="course", label="Height of a block", quantity=THICKNESS, default=0.5, least=0.2, most=1.5),
            Input(name="block", label="Length of a block", quantity=THICKNESS, default=1.5, least=0.3, most=6.0),
            Input(name="cap", label="Length of a cap", quantity=THICKNESS, default=2.0, least=0.5, most=6.0),
            Input(name="pad_width", label="Pad, width", quantity=THICKNESS, default=2.0, least=2.0, most=6.0),
            Input(name="pad_deep", label="Pad, thickness", quantity=THICKNESS, default=0.5, least=0.5, most=2.0),
            Input(
                name="drain_width", label="Drainage stone behind", quantity=THICKNESS, default=1.0, least=1.0, most=4.0
            ),
            Input(name="loss", label="Breakage and cuts", quantity=SHARE, default=0.05, most=0.5),
        ),
        outputs=(
            Output(name="below", label="Buried", quantity=THICKNESS),
            Output(name="total", label="From the footing", quantity=LENGTH_FT, main=True),
            Output(name="courses", label="Courses", quantity=COUNT, main=True),
            Output(name="in_course", label="Blocks in a course", quantity=COUNT),
            Output(name="blocks", label="Blocks laid", quantity=COUNT),
            Output(name="ordered", label="Blocks to order", quantity=COUNT, main=True),
            Output(name="caps", label="Caps", quantity=COUNT, main=True),
            Output(name="pad", label="Pad stone", quantity=VOLUME_CY, main=True),
            Output(name="stone", label="Drainage stone", quantity=VOLUME_CY, main=True),
            Output(name="pipe", label="Drain pipe", quantity=LENGTH_FT),
        ),
        work=_materials,
        validity="One straight wall to 9 ft seen; a count, not a design.",
        source="Masonry Magazine (June 2001): pad 6 by 24 in, buried a tenth of the height, 12 in of drainage stone. "
        "At least 6 in buried: trade association manual (from memory).",
        cautions=(_FALL, "Before digging: have lines located."),
        stops=_ENGINEER,
        targets=(
            Target(
                assembly="retaining-wall",
                parameters={
                    "buried": "below",
                    "course": "course",
                    "unit": "block",
                    "cap_piece": "cap",
                    "pad": "pad_deep",
                    "pad_width": "pad_width",
                    "drain_width": "drain_width",
                },
                new=True,
                sizes={"length": "length", "height": "seen"},
                run_kind="wall",
            ),
        ),
        search="srw block cap base stone",
    ),
    Calculation(
        key="wall-forces",
        title="Wall numbers for the engineer",
        trade=TRADE,
        words="Sliding, overturning and bearing of a plain gravity wall: numbers for a talk, never a yes.",
        inputs=(
            Input(name="height", label="Height from the footing", quantity=LENGTH_FT, default=3.0, least=1.0, most=6.0),
            Input(name="depth", label="Wall, front to back", quantity=LENGTH_FT, default=1.5, least=0.5, most=6.0),
            Input(name="soil", label="Soil weighs", quantity=DENSITY, default=120.0, least=80.0, most=140.0),
            Input(name="wall", label="Wall weighs", quantity=DENSITY, default=130.0, least=80.0, most=160.0),
            Input(
                name="friction", label="Soil's angle of friction", quantity=ANGLE, default=30.0, least=24.0, most=40.0
            ),
            Input(name="base", label="Friction below the wall", default=0.5, least=0.3, most=0.7),
            Input(name="load", label="Load on the ground behind", quantity=SOIL_PRESSURE, default=0.0, most=250.0),
            Input(name="tier", label="Height of a wall above it", quantity=LENGTH_FT, default=0.0, most=6.0),
            Input(name="gap", label="… and how far back it stands", quantity=LENGTH_FT, default=0.0, most=100.0),
        ),
        outputs=(
            Output(name="share", label="Pushes sideways", quantity=NUMBER),
            Output(name="thrust", label="Push", quantity=LINE_FORCE, main=True),
            Output(name="turning", label="Turns it over", quantity=MOMENT),
            Output(name="weight", label="Weight", quantity=LINE_FORCE),
            Output(name="holding", label="Holds it down", quantity=MOMENT),
            Output(name="sliding", label="Holds ÷ pushes, sliding", quantity=TIMES, main=True),
            Output(name="overturning", label="Holds ÷ turns, overturning", quantity=TIMES, main=True),
            Output(name="bearing", label="Pressure on the pad", quantity=SOIL_PRESSURE, main=True),
        ),
        work=_forces,
        validity="A plain upright wall 1 to 6 ft from its footing, level drained ground, friction 24 to 40°, "
        "loads to 250 psf.",
        source="Rankine and statics; bearing by Meyerhof. 1.5: International Residential Code R404.4. Tiers: "
        "common practice.",
        assumes=("No water behind it, no slope above or below, no grid: each of these changes everything.",),
        differs="Coulomb's push, with friction of 20° between wall and soil of 30°, is 11 % less than Rankine's.",
        cautions=(_FALL,),
        stops=_ENGINEER,
        search="retaining srw sliding overturning bearing surcharge tiers",
    ),
)
