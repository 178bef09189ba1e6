"""Valves of the sprinklers in words for the crew: flow, rate, run time, pressure; what is done to each head."""

from collections.abc import Iterator

from app.documents.tongues import ENGLISH, Tongue
from app.domain.job import Fate
from app.domain.plan.arcs import Point
from app.domain.takeoff.sprinkled import SprinklerHead, ValveWater
from app.domain.trades.quantity import FLOW, MINUTES, PRESSURE, RAIN
from app.domain.units import System, format_length

NOT_CHECKED = "not checked"


def valve_words(valve: ValveWater, system: System, say: Tongue = ENGLISH) -> Iterator[tuple[str, str]]:
    """A valve once all is built, then what is done to its heads, one by one."""
    yield valve.title if valve.valve else say("No valve said"), "; ".join(_facts(valve, system, say))
    heads = {one.where: one for one in (*valve.today.heads, *valve.built.heads)}
    for head in heads.values():
        done = _done(head, system, say)
        if done:
            yield head.title, done


def _facts(valve: ValveWater, system: System, say: Tongue) -> Iterator[str]:
    later = valve.built
    yield say.counted("one head", "%(num)s heads", len(later.heads))
    if valve.valve is None:
        return
    yield FLOW.shown(later.gives, system) if later.gives is not None else say("flow: %(what)s", what=say(NOT_CHECKED))
    yield (
        say("waters %(rate)s", rate=RAIN.shown(later.rate, system))
        if later.rate is not None
        else say("rate: %(what)s", what=say(NOT_CHECKED))
    )
    if valve.lawn_minutes is not None:
        yield say("lawn in a hot week: %(time)s", time=MINUTES.shown(float(round(valve.lawn_minutes)), system))
    if valve.bed_minutes is not None:
        yield say("beds in a hot week: %(time)s", time=MINUTES.shown(float(round(valve.bed_minutes)), system))
    known = valve.valve.pressure
    yield (
        say("%(pressure)s at its last head", pressure=PRESSURE.shown(known, system))
        if known is not None
        else say("pressure: measure it at the last head")
    )


def _done(head: SprinklerHead, system: System, say: Tongue) -> str:
    """What is done to a head, with where it stands from the datum; nothing for one that stays as it is."""
    at = _place(head.at, system, say)
    if head.new:
        return say("new, at %(place)s%(set)s", place=at, set=_set(head, system, say))
    if head.fate is Fate.GOES:
        return say("cap it at its pipe, at %(place)s", place=at)
    if head.fate is Fate.MOVES and head.to is not None:
        return say("move it from %(place)s to %(other)s", place=at, other=_place(head.to, system, say))
    if head.fate is Fate.MOVES:
        return say("move it from %(place)s; ask the office where to", place=at)
    if head.fate is Fate.PROTECTED:
        return say("keep it and set it anew, at %(place)s%(set)s", place=at, set=_set(head, system, say))
    return ""


def _set(head: SprinklerHead, system: System, say: Tongue) -> str:
    """How it is set, where that is known."""
    one = head.thing
    arc = f", {one.arc:g}°" if one.arc is not None else ""
    return arc + (say(", throws %(feet)s", feet=format_length(one.throw, system)) if one.throw is not None else "")


def _place(at: Point, system: System, say: Tongue) -> str:
    right, up = (format_length(abs(one), system) for one in at)
    sides = say("right" if at[0] >= 0 else "left"), say("up" if at[1] >= 0 else "down")
    return f"{right} {sides[0]}, {up} {sides[1]}"
