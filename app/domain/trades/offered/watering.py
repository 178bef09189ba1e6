"""Sprinklers: how fast a valve waters what it really serves, and for how long."""

from app.domain.trades import sprinklers
from app.domain.trades.calculation import Calculation, Column, Input, Output, Working
from app.domain.trades.quantity import ANGLE, AREA_SF, FLOW, INCHES, MINUTES, RAIN, SHARE, SPEED, TEXT

TRADE = "Watering"


def _rate(it: Working) -> None:
    flow = it.told("flow", sum(one for _, one, _ in it["heads"]), "the heads together")
    rate = it.step("rate", sprinklers.precipitation(flow, it["area"]), "96.25 * flow / area")
    it.step("minutes", sprinklers.minutes_for(it["depth"], rate, it["evenness"]), "depth / rate / evenness * 60")
    it.step("speed", 0.4085 * flow / it["pipe"] ** 2, "0.4085 * flow / pipe ** 2")
    _matched(it)
    if it["speed"] > 5:
        it.note("Faster than 5 ft/s in the pipe to the valve: fewer heads on it, or a larger pipe.")
    if rate > it["soak"]:
        it.note("Faster than the soil takes it up: water in two or three turns with an hour between.")


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
            Output(name="flow", label="Flow", quantity=FLOW, main=True),
            Output(name="rate", label="Waters", quantity=RAIN, main=True),
            Output(name="minutes", label="Runs for", quantity=MINUTES, main=True),
            Output(name="speed", label="Speed in the pipe", quantity=SPEED),
        ),
        work=_rate,
        validity="One valve at the pressure its heads are made for; flows to 500 gpm.",
        source="96.25 × gpm ÷ sq ft (definition of the gallon; a utility district prints it). Evenness: common "
        "practice.",
        assumes=("The area is what is really wetted, not what is drawn: cups on the ground tell.",),
        cautions=(
            "Shut the main and let the pressure off before a valve is opened. Backflow preventer: licensed and tested.",
        ),
        search="irrigation precipitation valve nozzle",
    ),
)
