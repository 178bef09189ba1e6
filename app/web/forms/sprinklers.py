"""The fields of a sprinkler head, a valve and their source: what is read off a nozzle, a tape, a gauge or a meter."""

from dataclasses import replace

from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.domain.job import HEADS
from app.domain.plan.arcs import Point
from app.domain.plan.shapes import NO_MARKS, Marks, parse_place
from app.domain.takeoff.sprinkled import ARCS, FLOWS, THROWS
from app.domain.trades.quantity import FLOW, PRESSURE, Quantity
from app.domain.units import Typed, format_length
from app.web.forms.fields import Field, choice, length, text, thing
from app.web.forms.outlines import bearing, place

PSI = (1.0, 200.0)  # what a gauge in a yard shows. Assumption, wide enough for any
MOST_PLACES = 60


def quantity(name: str, label: str, one: Quantity, bounds: tuple[float, float]) -> Field:
    """An amount in the unit of the firm's system, within bounds [canonical]."""

    def reader(typed: str, firm: Firm) -> float:
        value = one.read(typed, firm.system)
        if not bounds[0] <= value <= bounds[1]:
            low, high = (one.shown(bound, firm.system) for bound in bounds)
            understood = one.shown(value, firm.system)
            raise BadValue(f"{label}: {understood} was understood; it lies between {low} and {high}.")
        return value

    return Field(name=name, label=label, reader=reader)


def throw() -> Field:
    """How far a head throws."""
    one = length("throw", "Throw")

    def reader(typed: str, firm: Firm) -> Typed:
        found: Typed = one.reader(typed, firm)
        if not THROWS[0] <= found.feet <= THROWS[1]:
            low, high = (format_length(bound, firm.system) for bound in THROWS)
            understood = format_length(found.feet, firm.system)
            raise BadValue(f"Throw: {understood} was understood; it lies between {low} and {high}.")
        return found

    return replace(one, reader=reader)


def arc() -> Field:
    """Of a circle that a head wets: 90, 180, 360."""

    def reader(typed: str, _firm: Firm) -> float:
        plain = typed.strip().rstrip("°").strip().replace(",", ".")
        value = float(plain) if plain.replace(".", "", 1).isdecimal() else 0.0
        if not ARCS[0] <= value <= ARCS[1]:
            raise BadValue(f"Arc: “{typed[:20]}” was typed. Type degrees of a circle, 1 to 360: 90 is a corner.")
        return value

    return Field(name="arc", label="Arc", reader=reader)


OF_HEAD = (
    thing("valve_id", "Valve"),
    choice("head", "Kind of head", list(HEADS)),
    throw(),
    arc(),
    bearing("faces", "Faces"),
    quantity("flow", "Flow", FLOW, FLOWS),
)
OF_THERE = (*OF_HEAD, quantity("pressure", "Pressure", PRESSURE, PSI), place("moves_to", "Where it moves to"))
OF_SOURCE = (
    quantity("source_flow", "Flow of the source", FLOW, FLOWS),
    quantity("source_pressure", "Pressure of the source", PRESSURE, PSI),
)
OF_VALVE = (
    text("title", "What it is called", required=True),
    quantity("flow", "Flow, measured", FLOW, FLOWS),
    quantity("pressure", "Pressure", PRESSURE, PSI),
    length("x", "Right of the datum", signed=True),
    length("y", "Up from the datum", signed=True),
)
VALVE_OF_HEAD = text("valve", "Valve", most=80)  # an id, or the name of one that is made with its first head


def places(marks: Marks = NO_MARKS) -> Field:
    """Several points with “/” between them: two lengths from the datum each, or the name of a mark."""

    def reader(typed: str, firm: Firm) -> tuple[Point, ...]:
        parts = [one.strip() for one in typed.replace("\n", "/").split("/") if one.strip()]
        if not 0 < len(parts) <= MOST_PLACES:
            raise BadValue(f"Places: {len(parts)} were typed; 1 to {MOST_PLACES} fit. Write 10,5 / 20,5 / 30,5, say.")
        return tuple(parse_place(one, system=firm.system, marks=marks) for one in parts)

    return Field(name="places", label="Places", reader=reader, required=True)
