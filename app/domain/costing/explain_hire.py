"""Where the cost of a hired machine comes from: hours needed, periods let, and what each period alone would cost."""

from collections.abc import Iterator, Sequence

from app.domain.basis import Basis
from app.domain.costing.explain_words import unit_text, whole_money
from app.domain.errors import BadValue
from app.domain.takeoff.hiring import (
    Period,
    Terms,
    cheapest_hire,
    hire_words,
    idle_words,
    machine_hours,
    rates_of,
    terms_of,
)
from app.domain.takeoff.purchases import Purchase
from app.domain.takeoff.trace import Trace, number_text


def hired(one: Purchase, basis: Basis, wanted: Sequence[Trace]) -> tuple[Trace, ...]:
    """What is hired of a machine [bought units], then the cost of its mix and of each period by itself."""
    hire, terms = one.hire, terms_of(basis.rules)
    assert hire is not None
    told = " + ".join(f"{count} × {period.value}" for period, count, _ in hire.periods)
    let = Trace(
        label=f"Hired: {hire_words(hire)}",
        expression="hours needed, covered by the cheapest mix of the periods it is let by",
        filled=f"{number_text(hire.hours)} hours → {told} = {number_text(hire.covers)} hours",
        result=one.bought,
        unit=unit_text(one.unit, one.bought),
        source=f"{terms_words(terms)}; {idle_words(hire)}".rstrip("; "),
        steps=(_needed(one, basis, terms, wanted),),
    )
    mix = Trace(
        label="Hire",
        expression="each period × its rate",
        filled=" + ".join(f"{count} × {whole_money(cents)}" for _, count, cents in hire.periods),
        result=hire.cents / 100,
        unit=basis.firm.currency,
        source="price book",
        steps=tuple(_others(one, basis, terms)),
    )
    return let, mix


def terms_words(terms: Terms) -> str:
    """How long a machine is let, in words."""
    return f"a day is {terms.day_hours:g} hours, a week {terms.week_days} days, a month {terms.month_days} days"


def _needed(one: Purchase, basis: Basis, terms: Terms, wanted: Sequence[Trace]) -> Trace:
    assert one.hire is not None
    material, price = basis.materials[one.material], basis.prices[one.material]
    by_day = one.unit == "day"
    told = "days wanted × hours of a machine day" if by_day else "hours wanted"
    filled = f"{number_text(one.wanted)} × {terms.day_hours:g}" if by_day else number_text(one.wanted)
    least = machine_hours(price.least, material, terms)
    if least > machine_hours(one.wanted, material, terms):
        told, filled = f"{told}, at least the shortest hire", f"{filled} → {number_text(least)}"
    return Trace(
        label="Machine hours", expression=told, filled=filled, result=one.hire.hours, unit="hours", steps=tuple(wanted)
    )


def _others(one: Purchase, basis: Basis, terms: Terms) -> Iterator[Trace]:
    """What the same hours would cost by one period alone."""
    assert one.hire is not None
    rates = rates_of(basis.prices[one.material], basis.materials[one.material])
    for period, cents in rates.items():
        try:
            alone = cheapest_hire(one.hire.hours, {period: cents}, terms)
        except BadValue:
            continue
        (_, count, _), *_ = alone.periods or ((Period.HOUR, 0, 0),)
        yield Trace(
            label=f"By the {period.value} alone",
            expression=f"whole {period.value}s × rate",
            filled=f"{count} × {whole_money(cents)}",
            result=alone.cents / 100,
            unit=basis.firm.currency,
        )
