"""Watering: how fast a valve of sprinklers waters what it really serves; how long drip runs for a plant."""

from math import pi

from app.domain.trades import sprinklers
from app.domain.trades.calculation import Calculation, Column, Input, Output, Working
from app.domain.trades.planting.watering import WEEKS, new_each
from app.domain.trades.quantity import (
    ANGLE,
    AREA_SF,
    DAILY_DEPTH,
    FLOW,
    FLOW_HOUR_FINE,
    HOURS,
    INCHES,
    LENGTH_FT,
    MINUTES,
    POT,
    PRESSURE,
    RAIN,
    SHARE,
    SPEED,
    TEXT,
    WATER_A_DAY,
)

TRADE = "Watering"
_BY_PRESSURE = "printed * sqrt(pressure / made_for)"
_MIST, _SHORT = 1.3, 0.75  # of the pressure that heads are made for. Common practice, no source
# in/day in the peak of summer, and factors by plant: Washington State University, drip design for landscapes
CLIMATES = {
    "cool-humid": ("Cool, humid", 0.13),
    "cool-dry": ("Cool, dry", 0.17),
    "warm-humid": ("Warm, humid", 0.18),
    "warm-dry": ("Warm, dry", 0.22),
    "hot-humid": ("Hot, humid", 0.25),
    "hot-dry": ("Hot, dry", 0.33),
}
FACTORS = {"tree": ("Tree", 1.1), "shrub": ("Shrub", 0.9), "cover": ("Ground cover", 1.0), "turf": ("Turf", 0.8)}


def _rate(it: Working) -> None:
    it.told(
        "printed", sum(one for _, one, _ in it["heads"]), "the heads together, at the pressure they are printed for"
    )
    flow = it.step("flow", sprinklers.flow_at(it["printed"], it["made_for"], it["pressure"]), _BY_PRESSURE)
    rate = it.step("rate", sprinklers.precipitation(flow, it["area"]), "96.25 * flow / area")
    it.step("minutes", sprinklers.minutes_for(it["depth"], rate, it["evenness"]), "depth / rate / evenness * 60")
    it.step("speed", 0.4085 * flow / it["pipe"] ** 2, "0.4085 * flow / pipe ** 2")
    _matched(it)
    if it["pressure"] > _MIST * it["made_for"]:
        it.note(
            "Much more pressure than the heads are made for: they mist, and wind takes it. Regulate at valve or head."
        )
    if it["pressure"] < _SHORT * it["made_for"]:
        it.note(
            "Much less pressure than the heads are made for: they throw short and leave rings dry. Fewer on the valve."
        )
    if it["speed"] > 5:
        it.note("Faster than 5 ft/s in the pipe to the valve: fewer heads on it, or a larger pipe.")
    if rate > it["soak"]:
        it.note("Faster than the soil takes it up: water in two or three turns with an hour between.")


def _drip(it: Working) -> None:
    if it["age"] == "new":
        _new(it)
        return
    area = it.step("area", pi * it["canopy"] ** 2 / 4, "pi * canopy ** 2 / 4")
    depth = it.told("air_takes", CLIMATES[it["climate"]][1], CLIMATES[it["climate"]][0])
    factor = it.told("factor", FACTORS[it["plant"]][1], FACTORS[it["plant"]][0])
    water = sprinklers.gallons_a_day(depth, factor, area)
    it.step("water", water, "air_takes * factor * area * 144 / 231")
    given = it.step("given", it["emitters"] * it["each"], "emitters * each")
    it.step("hours", water * it["every"] / given, "water * every / given")
    it.step("valve", given * it["plants"] / 60, "given * plants / 60")


def _new(it: Working) -> None:
    """A plant just set drinks from its pot's soil alone: the emitters near it count, the ground around does not."""
    it.step("water", new_each(it["pot"], 0.0), "0.3 * pot")
    given = it.step("given", it["emitters"] * it["each"], "emitters * each")
    it.step("hours", it["water"] / given, "water / given")
    it.step("valve", given * it["plants"] / 60, "given * plants / 60")
    it.table("How often", (("After planting", None), ("Water", None)), [(weeks, often) for weeks, often, _ in WEEKS])
    it.note("So much each time, as often as the table says; rain and the finger in the root ball decide.")
    it.note("Only emitters that drip on the root ball count.")


def _matched(it: Working) -> None:
    """Each head beside what would water as fast as the first by its arc."""
    _, first, arc = it["heads"][0]
    full = first * 360 / arc
    rows = [(name, flow, angle, sprinklers.matched_flow(full, angle)) for name, flow, angle in it["heads"]]
    heads = (("Head", None), ("Flow", FLOW), ("Arc", ANGLE), ("As even as the first", FLOW))
    it.table("Heads", heads, rows)
    if any(abs(flow - even) > 0.15 * even for _, flow, _, even in rows):
        it.note("Not matched: a head of half the arc should give half the flow, else one side stays dry.")


CALCULATIONS = (
    Calculation(
        key="sprinkler-rate",
        title="Sprinkler rate",
        trade=TRADE,
        words="Inches an hour by the area really wetted, minutes for a depth, whether heads match.",
        inputs=(
            Input(
                name="heads",
                label="Heads on the valve",
                default=(("corner", 0.9, 90.0), ("side", 1.8, 180.0), ("middle", 3.6, 360.0)),
                columns=(
                    Column(name="name", label="Head", quantity=TEXT),
                    Column(name="flow", label="Flow", quantity=FLOW),
                    Column(name="arc", label="Arc", quantity=ANGLE, default=360.0),
                ),
            ),
            Input(name="made_for", label="They give that at", quantity=PRESSURE, default=30.0, least=10.0, most=100.0),
            Input(
                name="pressure",
                label="At a head there is",
                quantity=PRESSURE,
                default=30.0,
                least=5.0,
                most=120.0,
                hint="by a gauge at the last head while the valve runs",
            ),
            Input(name="area", label="Area really wetted", quantity=AREA_SF, default=600.0, least=1.0),
            Input(name="depth", label="Depth wanted", quantity=INCHES, default=0.5, least=0.01, most=4.0),
            Input(
                name="evenness",
                label="Evenness",
                quantity=SHARE,
                default=0.65,
                least=0.3,
                most=1.0,
                hint="by cups on the ground; 55 to 75% commonly",
            ),
            Input(name="pipe", label="Pipe to the valve, inside", quantity=INCHES, default=1.049, least=0.3, most=8.0),
            Input(name="soak", label="Soil takes up", quantity=RAIN, default=0.5, least=0.05, most=10.0),
        ),
        outputs=(
            Output(name="printed", label="As printed", quantity=FLOW),
            Output(name="flow", label="Flow", quantity=FLOW, main=True),
            Output(name="rate", label="Waters", quantity=RAIN, main=True),
            Output(name="minutes", label="Runs for", quantity=MINUTES, main=True),
            Output(name="speed", label="Speed in the pipe", quantity=SPEED),
        ),
        work=_rate,
        validity="One valve whose heads have about one pressure; flows to 500 gpm.",
        source="96.25 × gpm ÷ sq ft (definition of the gallon; a utility district prints it). Flow by the "
        "root of pressure: orifice equation. Evenness: common practice.",
        assumes=("The area is what is really wetted, not what is drawn: cups on the ground tell.",),
        differs="Texts round the constant 96.25 to 96.3: 0.05 % more.",
        cautions=(
            "Shut the main and let the pressure off before a valve is opened. Backflow preventer: licensed and tested.",
        ),
        search="irrigation precipitation valve nozzle",
    ),
    Calculation(
        key="drip-time",
        title="Drip run time",
        trade=TRADE,
        words="Water a plant wants at the peak of summer, and how long its emitters run.",
        inputs=(
            Input(
                name="age",
                label="It stands there",
                default="grown",
                choices=(("grown", "For years, grown in"), ("new", "Since this season, newly planted")),
            ),
            Input(
                name="pot",
                label="Newly planted: its pot",
                quantity=POT,
                default=3.0,
                least=0.1,
                most=100.0,
            ),
            Input(name="canopy", label="Canopy, across", quantity=LENGTH_FT, default=5.0, least=0.25, most=60.0),
            Input(
                name="climate",
                label="Summer",
                default="warm-humid",
                choices=tuple((key, words) for key, (words, _) in CLIMATES.items()),
            ),
            Input(
                name="plant",
                label="Plant",
                default="shrub",
                choices=tuple((key, words) for key, (words, _) in FACTORS.items()),
            ),
            Input(name="emitters", label="Emitters at it", default=2.0, least=1.0, most=200.0),
            Input(name="each", label="Each gives", quantity=FLOW_HOUR_FINE, default=1.0, least=0.2, most=10.0),
            Input(name="every", label="Days between", default=2.0, least=1.0, most=14.0),
            Input(name="plants", label="Such plants on the valve", default=12.0, least=1.0, most=2000.0),
        ),
        outputs=(
            Output(name="area", label="Ground below it", quantity=AREA_SF),
            Output(name="air_takes", label="The air takes", quantity=DAILY_DEPTH),
            Output(name="factor", label="Of it, such a plant"),
            Output(name="water", label="It wants", quantity=WATER_A_DAY, main=True),
            Output(name="given", label="Its emitters give", quantity=FLOW_HOUR_FINE),
            Output(name="hours", label="Runs each time for", quantity=HOURS, main=True),
            Output(name="valve", label="The valve gives", quantity=FLOW, main=True),
        ),
        work=_drip,
        validity="Grown in: at the peak of summer. Newly planted: its root ball, each time. Rain is not taken off.",
        source="Washington State University, drip design for landscapes: daily depths and plant factors. Newly "
        "planted: University of Minnesota Extension, 1/4 to 1/3 of the pot each time (from memory).",
        cautions=("Backflow preventer at the valve: licensed and tested. Do not dig where lines were not located.",),
        search="irrigation emitter water plant",
    ),
)
