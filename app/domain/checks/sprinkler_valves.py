"""Checks of sprinkler valves: whether what each waters is known, heads alike, lawn or beds, its flow and pressure."""

from collections.abc import Iterator, Mapping

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, not_checked
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.job import HEADS
from app.domain.takeoff.sprinkled import ValveWater, Watered, sprinkled
from app.domain.units import format_area, format_number, format_share

MADE_FOR = "sprinkler-made-for-"
HIGH, EVEN = "sprinkler-pressure-most", "sprinkler-evenness"
VALUES = frozenset({*(MADE_FOR + one for one in ("spray", "stream", "rotor", "impact")), HIGH, EVEN})


def known(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """What each valve waters once the plan is built is known; where it is not, what is missing is named."""
    found = sprinkled(yard.job, yard.basis)
    for valve in found.valves if found else ():
        lacks = list(dict.fromkeys(valve.built.lacks))
        if not valve.valve:
            lacks = ["their valve", *lacks]
        elif _kinds(valve) & set(_made_for(yard)) and valve.valve.pressure is None:
            lacks.append("the pressure at its last head")
        if lacks and (valve.built.heads or valve.today.heads or valve.valve):
            named = ", ".join(lacks[:4]) + (f" and {len(lacks) - 4} more" if len(lacks) > 4 else "")
            words = valve.title if valve.valve else f"{_heads(valve.built or valve.today)} of no valve"
            yield not_checked(
                rule,
                valve.where,
                f"{words}: not checked, {named} not known.",
                missing=", ".join(lacks),
                remedy="Run the valve and look: what is printed on the nozzles, the throw by tape, the arc by eye.",
            )


def _heads(water: Watered) -> str:
    return "One head" if len(water.heads) == 1 else f"{len(water.heads)} heads"


def _valves(yard: Yard) -> tuple[ValveWater, ...]:
    found = sprinkled(yard.job, yard.basis)
    return found.own if found else ()


def matched(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Heads of one valve water what they throw over equally fast."""
    for valve in _valves(yard):
        whole = valve.built.whole
        rates = [one for one in whole.apart if one > 0] if whole and not valve.built.measured else []
        if len(rates) > 1 and min(rates) < (1 - rule.value) * max(rates) - NEAR:
            kinds = sorted(HEADS[one].lower() for one in _kinds(valve) if one in HEADS)
            mixed = f" ({' and '.join(kinds)} heads)" if len(kinds) > 1 else ""
            yield broken(
                rule,
                valve.where,
                f"{valve.title}: its heads{mixed} water from {min(rates):.2f} to {max(rates):.2f} in/h. "
                "What is right for one is too much for another.",
                measured=f"{min(rates):.2f} to {max(rates):.2f} in/h",
                limit=f"apart by at most {format_share(rule.value)}",
                remedy="Give each the nozzle that fits its arc and throw, or put the others on a valve of their own.",
            )


def lawn_and_beds(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A valve waters lawn or beds."""
    for valve in _valves(yard):
        lawn, beds = valve.built.lawn, valve.built.beds
        both = lawn.area + beds.area if lawn and beds else 0.0
        if lawn and beds and both and min(lawn.area, beds.area) > rule.value * both + NEAR:
            system = yard.basis.firm.system
            parts = f"{format_area(lawn.area, system)} of lawn and {format_area(beds.area, system)} of beds"
            yield broken(
                rule,
                valve.where,
                f"{valve.title} waters {parts}: they want water at other times and in other depths.",
                measured=parts,
                limit=f"the lesser part at most {format_share(rule.value)}",
                remedy="Put the beds on a valve of their own, drip best; until then it runs by the thirstier one.",
            )


def source(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No valve takes more than its source gives."""
    gives, asked = yard.job.site.source_flow, [one for one in _valves(yard) if _flow(one) is not None]
    many = "One valve" if len(asked) == 1 else f"{len(asked)} valves"
    if asked and gives is None:
        yield not_checked(
            rule,
            "site",
            f"{many}: not checked whether the source gives enough.",
            missing="flow of the source",
            remedy="Measure it: a bucket and a watch at the spigot nearest to the meter, or the meter itself.",
        )
    for valve in asked if gives is not None else ():
        flow = _flow(valve) or 0.0
        if gives is not None and flow > rule.value * gives + NEAR:
            yield broken(
                rule,
                valve.where,
                f"{valve.title} takes {format_number(flow, 1)} gpm; its source gives {format_number(gives, 1)}.",
                measured=f"{flow:.2f} gpm",
                limit=f"at most {format_number(rule.value * gives, 1)} gpm",
                remedy="Fewer heads on it or smaller nozzles: part it into two valves.",
            )


def _flow(valve: ValveWater) -> float | None:
    """What a valve takes once the plan is built [gpm]."""
    return valve.built.gives


def measured(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """The meter agrees with the nozzles."""
    for valve in _valves(yard):
        own, printed = valve.valve.flow if valve.valve else None, valve.printed
        if own is None or printed is None or abs(own - printed) <= rule.value * max(own, printed) + NEAR:
            continue
        more = own > printed
        yield broken(
            rule,
            valve.where,
            f"{valve.title}: {format_number(own, 1)} gpm measured; its heads add up to {format_number(printed, 1)}.",
            measured=f"{own:.2f} and {printed:.2f} gpm",
            limit=f"apart by at most {format_share(rule.value)}",
            remedy="Look for a leak, other nozzles or a head nobody found."
            if more
            else "Look at pressure, filter and clogged nozzles, or for heads that are none any more.",
        )


def pressure(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """The pressure at the last head is about what heads are made for."""
    made, most = _made_for(yard), yard.basis.rules.get(HIGH)
    for valve in _valves(yard):
        there = valve.valve.pressure if valve.valve else None
        for kind in sorted(_kinds(valve) & set(made)) if there is not None else ():
            low = there is not None and there < rule.value * made[kind] - NEAR
            high = there is not None and most is not None and there > most.value * made[kind] + NEAR
            if low or high:
                yield broken(
                    rule if low or most is None else most,
                    valve.where,
                    f"{valve.title}: {there:g} psi at its last head; heads of kind “{HEADS[kind].lower()}” are made "
                    f"for {made[kind]:g}. They {'throw short' if low else 'mist'}.",
                    measured=f"{there:g} psi, {kind}",
                    limit=f"{format_number((rule if low or most is None else most).value * made[kind], 1)} psi",
                    remedy="Fewer heads on the valve, or a larger pipe to it."
                    if low
                    else "Regulate at the valve, or take heads that hold their own pressure.",
                )


def _made_for(yard: Yard) -> Mapping[str, float]:
    """The pressure heads are made for [psi], by kind."""
    rules = ((kind, yard.basis.rules.get(MADE_FOR + kind)) for kind in HEADS)
    return {kind: rule.value for kind, rule in rules if rule is not None}


def _kinds(valve: ValveWater) -> set[str]:
    return {one.thing.head for one in valve.built.heads}


CHECKS: dict[str, Check] = {
    "sprinkler-valve-known": known,
    "sprinkler-matched": matched,
    "sprinkler-lawn-and-beds": lawn_and_beds,
    "sprinkler-source": source,
    "sprinkler-measured": measured,
    "sprinkler-pressure": pressure,
}
