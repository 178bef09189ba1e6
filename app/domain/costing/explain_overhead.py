"""Where the figures of the overhead worksheet come from.

`yearly`, `kind:KIND`, `direct`, `class:CLASS`, `hour` (rates that recover), `brought:now`, `brought:these` (what rates
bring in), `over:now`, `over:these`, `profit`, `margin`, `even`, `even-hours`, `even-jobs`.
"""

from collections.abc import Callable, Mapping
from decimal import Decimal

from app.domain.basis import Firm
from app.domain.costing.overhead import (
    ALL,
    CLASSES,
    HOURS,
    Rates,
    break_even,
    brought_in_cents,
    direct_total_cents,
    firm_rates,
    profit_cents_of,
    recovering_rates,
    sales_at_margin_cents,
    yearly_cents,
)
from app.domain.errors import BadValue
from app.domain.takeoff.trace import Trace, number_text
from app.domain.year import OVERHEAD_KINDS, YearAhead

TYPED = "typed on this worksheet"


def explain_overhead(firm: Firm, figure: str) -> Trace | None:
    """How a figure of the worksheet came about; None for what is none (any more)."""
    kind, _, rest = figure.partition(":")
    say = _FIGURES.get(kind)
    try:
        return say(firm, rest) if say else None
    except BadValue:
        return None


def _money(firm: Firm, label: str, cents: int, told: tuple[str, str] = ("", ""), *steps: Trace) -> Trace:
    source = "" if steps else TYPED
    return Trace(
        label=label,
        expression=told[0],
        filled=told[1],
        result=cents / 100,
        unit=firm.currency,
        source=source,
        steps=steps,
    )


def _whole(cents: int) -> str:
    return number_text(cents / 100)


def _yearly(firm: Firm, _rest: str) -> Trace:
    parts = tuple(_money(firm, one.title, one.cents) for one in firm.overhead_items if one.cents)
    return _money(firm, "Overhead of a year", yearly_cents(firm.overhead_items), ("sum of the items", ""), *parts)


def _kind(firm: Firm, kind: str) -> Trace | None:
    own = [one for one in firm.overhead_items if one.kind == kind and one.cents]
    if not own:
        return None
    parts = (_money(firm, one.title, one.cents) for one in own)
    return _money(firm, OVERHEAD_KINDS.get(kind, kind), yearly_cents(own), ("sum of its items", ""), *parts)


def _direct(firm: Firm, _rest: str) -> Trace:
    year = _year(firm)
    parts = (_money(firm, one.capitalize(), year.direct_cents[one]) for one in CLASSES if year.direct_cents.get(one))
    return _money(firm, "Direct cost of a year", direct_total_cents(year), ("sum by class", ""), *parts)


def _year(firm: Firm) -> YearAhead:
    return firm.year or YearAhead()


def _class_rate(firm: Firm, one: str) -> Trace | None:
    share = recovering_rates(firm).by_class.get(one)
    if share is None:
        return None
    carriers = {ALL, one} | ({HOURS} if firm.overhead_method == "class" and one in ("labor", "own hours") else set())
    parts = (_money(firm, one.title, one.cents) for one in firm.overhead_items if one.carried_by in carriers)
    told = "overhead / the year's direct cost that carries it, summed over what this class carries, rounded up to 0.01%"
    return Trace(
        label=f"Overhead on {one}",
        expression=told,
        filled="",
        result=float(share * 100),
        unit="%",
        steps=(*parts, _direct(firm, "")),
    )


def _hour_rate(firm: Firm, _rest: str) -> Trace:
    own = [one for one in firm.overhead_items if firm.overhead_method == "hour" or one.carried_by == HOURS]
    hours = _year(firm).billable_hours
    return Trace(
        label="Overhead per hour",
        expression="overhead that hours carry / hours that jobs pay for, rounded up to the cent",
        filled=f"{_whole(yearly_cents(own))} / {hours:f}",
        result=float(recovering_rates(firm).per_hour),
        unit=f"{firm.currency}/hour",
        steps=tuple(_money(firm, one.title, one.cents) for one in own if one.cents),
    )


def _rates(firm: Firm, which: str) -> Rates:
    return recovering_rates(firm) if which == "these" else firm_rates(firm)


def _brought(firm: Firm, which: str) -> Trace | None:
    if which not in ("now", "these"):
        return None
    rates, year = _rates(firm, which), _year(firm)
    parts = [
        _money(firm, f"On {one}", round(base * share), (f"{share * 100:f}% of {_whole(base)}", ""))
        for one, share in rates.by_class.items()
        if share and (base := year.direct_cents.get(one, 0))
    ]
    if rates.per_hour:
        by_hours = rates.per_hour * year.billable_hours * 100
        parts.append(_money(firm, "By the hour", round(by_hours), (f"{rates.per_hour} × {year.billable_hours:f}", "")))
    told = ("each rate × what the year expects of it", "")
    return _money(firm, "Overhead brought in", brought_in_cents(rates, year), told, *parts)


def _over(firm: Firm, which: str) -> Trace | None:
    brought = _brought(firm, which)
    if brought is None:
        return None
    cents = brought_in_cents(_rates(firm, which), _year(firm)) - yearly_cents(firm.overhead_items)
    told = ("what the rates bring in − overhead of a year", "")
    return _money(firm, "Over (or, below 0, short)", cents, told, brought, _yearly(firm, ""))


def _profit(firm: Firm, _rest: str) -> Trace:
    steps = (_money(firm, "Sales", _year(firm).sales_cents), _direct(firm, ""), _yearly(firm, ""))
    told = " − ".join(number_text(one.result) for one in steps)
    return _money(firm, "Left of a year", profit_cents_of(firm), ("sales − direct cost − overhead", told), *steps)


def _margin(firm: Firm, _rest: str) -> Trace:
    told = (
        f"({number_text(_direct(firm, '').result)} + {number_text(_yearly(firm, '').result)}) / (1 − {firm.margin:f})"
    )
    words = ("(direct cost + overhead) / (1 − margin)", told)
    return _money(
        firm, "Sales at your margin", sales_at_margin_cents(firm), words, _direct(firm, ""), _yearly(firm, "")
    )


def _even(firm: Firm, _rest: str) -> Trace:
    found = break_even(firm)
    steps = (_yearly(firm, ""), _money(firm, "Sales", _year(firm).sales_cents), _direct(firm, ""))
    told = f"{number_text(steps[0].result)} / {_percent(found.contribution)}"
    words = ("overhead / what a sale leaves after direct cost: (sales − direct cost) / sales", told)
    return _money(firm, "Break-even sales", found.sales_cents, words, *steps)


def _percent(share: Decimal) -> str:
    return f"{float(share * 100):.2f}%"


def _even_count(firm: Firm, value: Decimal | None, label: str, unit: str) -> Trace | None:
    if value is None:
        return None
    return Trace(
        label=f"Break-even {label.lower()}",
        expression=f"{label.lower()} of the year × break-even sales / sales",
        filled="",
        result=float(value),
        unit=unit,
        steps=(_even(firm, ""),),
    )


_FIGURES: Mapping[str, Callable[[Firm, str], Trace | None]] = {
    "yearly": _yearly,
    "kind": _kind,
    "direct": _direct,
    "class": _class_rate,
    "hour": _hour_rate,
    "brought": _brought,
    "over": _over,
    "profit": _profit,
    "margin": _margin,
    "even": _even,
    "even-hours": lambda firm, _rest: _even_count(firm, break_even(firm).hours, "Hours", "hours"),
    "even-jobs": lambda firm, _rest: _even_count(firm, break_even(firm).jobs, "Jobs", "each"),
}
