"""Kitchen and fire: the length of a counter, its top and what holds it, seats around a fire."""

from app.domain.trades import kitchen
from app.domain.trades.calculation import Calculation, Column, Input, Output, Target, Working
from app.domain.trades.quantity import (
    AREA_SF,
    COUNT,
    DENSITY,
    INCHES,
    LENGTH_FT,
    LINE_FORCE,
    SOIL_PRESSURE,
    TEXT,
    THICKNESS,
    WEIGHT_LB,
)

TRADE = "Kitchen and fire"
_MANUAL = "The manual and listing of each appliance, the gas fitter and the local fire and building code decide."
_HOT = "Fire and hot metal: nothing that burns above or beside them nearer than their manuals allow; children away."
_LIFT = "Stone tops break and crush: carry them on edge, with clamps or a cart, and enough people."
_PLAN = "Landings: kitchen planning guidelines, two that meet share the longer and 12 in (from memory)."


def _counter(it: Working) -> None:
    rows = it["appliances"]
    sides = [(width, left, right) for _, width, left, right in rows]
    length = it.told("length", kitchen.counter_length(sides), "widths, landings, and between two the longer and 12 in")
    it.told("widths", sum(width for width, _, _ in sides), "all appliances")
    it.step("landings", length - it["widths"], "length - widths")
    it.step("face", it["widths"] * it["open_high"], "widths * open_high")
    at, table = sides[0][1], []
    for place, (name, width, _, right) in enumerate(rows):
        table.append((name, at, width))
        following = sides[place + 1][1] if place + 1 < len(sides) else 0.0
        at += width + (kitchen.shared(right, following) if place + 1 < len(sides) else 0.0)
    it.table("From the left end", (("Appliance", None), ("Begins at", LENGTH_FT), ("Wide", LENGTH_FT)), table)
    it.told("stretch", kitchen.longest_stretch(sides), "the longest counter without an appliance in it")
    it.step("openings", len(rows), str(len(rows)))
    if it["stretch"] < it["prep"] - 1e-9:
        it.note("No stretch so long to prepare food on is left: lengthen the counter, or put it on another one.")


def _top(it: Working) -> None:
    allowed = it.told(
        "allowed", kitchen.overhang_allowed(it["thick"], it["deep"]), "by its thickness, a third of its depth at most"
    )
    it.told("brackets", kitchen.brackets(it["length"], it["overhang"], allowed), "one in 2 ft where it reaches further")
    it.step(
        "weight",
        kitchen.top_weight(it["length"], it["deep"], it["thick"], it["density"]),
        "length * deep * thick / 12 * density",
    )
    it.step("by_length", it["weight"] / it["length"], "weight / length")
    it.step("people", kitchen.people_for(it["weight"] / it["pieces"]), "max(1, ceil(weight / pieces / 50))")
    body = it.step("body", it["high"] * it["wall"], "high * wall")
    it.step(
        "on_ground", (body + it["by_length"] + it["appliance"]) / it["slab"], "(body + by_length + appliance) / slab"
    )
    if it["on_ground"] > kitchen.ON_SOIL:
        it.note("More than 1,500 lb on a square foot: ask somebody who knows this soil before the slab is poured.")
    if it["people"] > 4:
        it.note("More than four people for one piece: a cart, clamps or a machine, and a way that is wide enough.")


def _seats(it: Working) -> None:
    it.step(
        "seats",
        kitchen.seats_around(it["fire"], it["clear"], it["seat"], it["each"]),
        "floor(2 * pi * (fire / 2 + clear) / each)",
    )
    across = kitchen.ring_across(it["fire"], it["clear"], it["seat"], it["behind"])
    it.step("across", across, "fire + 2 * (clear + seat + behind)")
    it.step("area", kitchen.round_area(across), "pi * across ** 2 / 4")
    it.step("fronts", it["fire"] + 2 * it["clear"], "fire + 2 * clear")
    if it["clear"] < (3.0 if it["burns"] == "wood" else 2.0):
        it.note("So near it is hot for the legs: 3 to 4 ft from a wood fire, 2 ft from gas is common practice.")


_APPLIANCES = (
    ("Grill", 3.0, 1.0, 2.0),
    ("Sink", 2.0, 2.0, 1.5),
    ("Refrigerator", 2.0, 0.0, 1.25),
)

CALCULATIONS = (
    Calculation(
        key="kitchen-counter",
        title="Counter with its appliances",
        trade=TRADE,
        words="How long a counter gets with a landing on each side of every appliance, and where each begins.",
        inputs=(
            Input(
                name="appliances",
                label="Appliances, from left to right",
                default=_APPLIANCES,
                columns=(
                    Column(name="name", label="What", quantity=TEXT),
                    Column(name="width", label="Wide", quantity=LENGTH_FT),
                    Column(name="left", label="Landing on its left", quantity=LENGTH_FT, default=1.0),
                    Column(name="right", label="On its right", quantity=LENGTH_FT, default=2.0),
                ),
            ),
            Input(name="prep", label="Stretch to prepare food on", quantity=LENGTH_FT, default=3.0, most=20.0),
            Input(name="open_high", label="Openings, high", quantity=LENGTH_FT, default=28 / 12, most=5.0),
        ),
        outputs=(
            Output(name="length", label="Counter", quantity=LENGTH_FT, main=True),
            Output(name="widths", label="Appliances", quantity=LENGTH_FT),
            Output(name="landings", label="Left to set things down on", quantity=LENGTH_FT, main=True),
            Output(name="stretch", label="Longest stretch of it", quantity=LENGTH_FT, main=True),
            Output(name="openings", label="Appliances in it", quantity=COUNT),
            Output(name="face", label="Face left out by openings", quantity=AREA_SF),
        ),
        work=_counter,
        validity="Appliances in one straight row; corners want their own.",
        source=_PLAN + " Grill 24 and 12 in: common practice, no published authority.",
        cautions=(_HOT,),
        stops=_MANUAL,
        targets=(
            Target(
                assembly="counter-block",
                parameters={"openings": "openings"},
                new=True,
                sizes={"length": "length"},
                run_kind="wall",
            ),
        ),
        search="kitchen grill landing appliance sink fridge",
    ),
    Calculation(
        key="counter-top",
        title="Counter top, supports and weight",
        trade=TRADE,
        words="How far a stone top may reach over, what holds it, what it weighs, and what stands on the ground.",
        inputs=(
            Input(name="length", label="Top, length", quantity=LENGTH_FT, default=8.0, least=0.5, most=40.0),
            Input(name="deep", label="Top, depth", quantity=LENGTH_FT, default=2.5, least=0.5, most=6.0),
            Input(name="thick", label="Thick", quantity=INCHES, default=1.25, least=0.75, most=3.0),
            Input(name="density", label="Stone weighs", quantity=DENSITY, default=168.0, least=60.0, most=200.0),
            Input(name="overhang", label="Reaches over by", quantity=THICKNESS, default=1.0, most=2.0),
            Input(name="pieces", label="In so many pieces", quantity=COUNT, default=1.0, least=1.0, most=20.0),
            Input(name="high", label="Body below it, high", quantity=LENGTH_FT, default=3.0, most=5.0),
            Input(
                name="wall",
                label="Block walls weigh, by length and height",
                quantity=SOIL_PRESSURE,
                default=110.0,
                most=400.0,
                hint="two walls of hollow 8 in block, 55 psf each: masonry tables, from memory",
            ),
            Input(
                name="appliance", label="Appliances weigh, by length", quantity=LINE_FORCE, default=60.0, most=1000.0
            ),
            Input(name="slab", label="Slab below it, wide", quantity=LENGTH_FT, default=3.0, least=0.5, most=10.0),
        ),
        outputs=(
            Output(name="allowed", label="May reach over", quantity=THICKNESS, main=True),
            Output(name="brackets", label="Brackets", quantity=COUNT, main=True),
            Output(name="weight", label="The top weighs", quantity=WEIGHT_LB, main=True),
            Output(name="by_length", label="By length", quantity=LINE_FORCE),
            Output(name="people", label="People for a piece", quantity=COUNT, main=True),
            Output(name="body", label="Body by length", quantity=LINE_FORCE),
            Output(name="on_ground", label="On the ground, without the slab itself", quantity=SOIL_PRESSURE, main=True),
        ),
        work=_top,
        validity="Natural stone of 3/4 to 3 in on block; slab and soil that carry evenly.",
        source="Overhang: Marble Institute of America (from memory). Brackets in 2 ft: common practice, no source. "
        "Granite 168 lb/cu ft: published. 50 lb a person: NIOSH lifting equation. 1,500 psf: International "
        "Residential Code table R401.4.1 (from memory).",
        cautions=(_LIFT, "Cutting stone: wet, with a mask; its dust scars lungs."),
        stops="The fabricator says how far his stone reaches; a deck, a roof or weak soil below it wants an engineer.",
        search="granite slab support bracket bar overhang lift carry",
    ),
    Calculation(
        key="fire-seats",
        title="Seats around a fire",
        trade=TRADE,
        words="How many seats stand around a round fire, and how large the ground gets.",
        inputs=(
            Input(name="fire", label="Fire, outside across", quantity=LENGTH_FT, default=4.0, least=0.5, most=20.0),
            Input(name="burns", label="Burns", default="wood", choices=(("wood", "Wood"), ("gas", "Gas"))),
            Input(
                name="clear", label="From its edge to the seats", quantity=LENGTH_FT, default=3.0, least=1.0, most=20.0
            ),
            Input(name="seat", label="Seats, deep", quantity=LENGTH_FT, default=2.5, least=0.5, most=6.0),
            Input(name="each", label="Seats, wide", quantity=LENGTH_FT, default=2.5, least=1.0, most=8.0),
            Input(name="behind", label="Way behind them", quantity=LENGTH_FT, default=2.0, most=10.0),
        ),
        outputs=(
            Output(name="seats", label="Seats", quantity=COUNT, main=True),
            Output(name="across", label="Ground, across", quantity=LENGTH_FT, main=True),
            Output(name="area", label="Ground, area", quantity=AREA_SF, main=True),
            Output(name="fronts", label="Between the fronts of facing seats", quantity=LENGTH_FT),
        ),
        work=_seats,
        validity="A round fire, seats touching all around; leave some out for the way in.",
        source="Geometry. 3 to 4 ft from a wood fire, 2 ft from gas, 7 ft of ring: common practice, no published "
        "authority.",
        cautions=(
            _HOT,
            "Smoke goes with the wind: seats and doors out of it, 10 to 25 ft from what burns by local code.",
        ),
        stops=_MANUAL,
        search="fire pit ring chairs patio circle",
    ),
)
