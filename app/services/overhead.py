"""The overhead worksheet: what the firm pays in a year, what the year expects, and the rates that recover it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from app.domain.basis import Firm
from app.domain.costing.explain_overhead import explain_overhead
from app.domain.costing.overhead import (
    BreakEven,
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
from app.domain.errors import BadValue, NotFound
from app.domain.takeoff.trace import Trace
from app.domain.year import OVERHEAD_KINDS, OverheadItem, YearAhead
from app.interchange.starting_overhead import starting_overhead
from app.services import book
from app.services.book import Own
from app.services.jobs import Order
from app.services.office import Office


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovery:
    """Rates with what they bring in over a year, and what that is over (below 0: short of) the year's overhead."""

    rates: Rates
    brought_cents: int
    over_cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OverheadSheet:
    """The worksheet as the page shows it; what cannot be worked out yet is None, with the sentence that says why."""

    firm: Firm
    items: Sequence[OverheadItem]  # the firm's own, then those the library offers
    own_items: int
    kinds: Sequence[tuple[str, str, int]]  # kind, its title, money a year
    year: YearAhead
    yearly_cents: int
    direct_cents: int
    profit_cents: int
    at_margin_cents: int
    now: Recovery
    these: Recovery | None
    lacks: str
    even: BreakEven | None
    even_lacks: str
    taken: bool  # the firm prices by these very rates
    own: Own


def overhead_sheet(office: Office) -> OverheadSheet:
    """Read the worksheet."""
    firm = office.firm()
    year = firm.year or YearAhead()
    these, lacks = _or_sentence(lambda: recovering_rates(firm))
    even, even_lacks = _or_sentence(lambda: break_even(firm))
    known = {one.title for one in firm.overhead_items}
    offered = [one for one in starting_overhead(office.settings.library) if one.title not in known]
    now = firm_rates(firm)
    return OverheadSheet(
        firm=firm,
        items=(*firm.overhead_items, *offered),
        own_items=len(firm.overhead_items),
        kinds=_by_kind(firm.overhead_items),
        year=year,
        yearly_cents=yearly_cents(firm.overhead_items),
        direct_cents=direct_total_cents(year),
        profit_cents=profit_cents_of(firm),
        at_margin_cents=sales_at_margin_cents(firm),
        now=_recovery(firm, now),
        these=_recovery(firm, these) if these else None,
        lacks=lacks,
        even=even,
        even_lacks=even_lacks,
        taken=these is not None and _same(these, now),
        own=book.own(office, "firm"),
    )


def _or_sentence(work: Any) -> tuple[Any, str]:
    try:
        return work(), ""
    except BadValue as wrong:
        return None, wrong.sentence


def _recovery(firm: Firm, rates: Rates) -> Recovery:
    brought = brought_in_cents(rates, firm.year or YearAhead())
    return Recovery(rates=rates, brought_cents=brought, over_cents=brought - yearly_cents(firm.overhead_items))


def _by_kind(items: Sequence[OverheadItem]) -> list[tuple[str, str, int]]:
    sums = {kind: sum(one.cents for one in items if one.kind == kind) for kind in OVERHEAD_KINDS}
    return [(kind, OVERHEAD_KINDS[kind], cents) for kind, cents in sums.items() if cents]


def _same(one: Rates, other: Rates) -> bool:
    shares = {name: share for name, share in other.by_class.items() if share}
    return dict(one.by_class) == shares and one.per_hour == other.per_hour


def save_worksheet(office: Office, version: int, fields: Mapping[str, Any], order: Order) -> None:
    """Save items, the year and the method as typed; nothing is priced by them until the rates are taken."""
    book.set_fields(office, "firm", office.firm_id, version, fields, replace(order, what="Overhead of a year"))


def take_rates(office: Office, version: int, order: Order) -> None:
    """Price by the rates that recover the year: the firm's settings are set in one change. Raises: BadValue."""
    rates = recovering_rates(office.firm())
    if not rates.by_class and not rates.per_hour:
        raise BadValue("The worksheet has no overhead yet. Type what the firm pays in a year first.")
    fields: dict[str, Any] = {"overhead": rates.by_class, "overhead_per_hour": rates.per_hour}
    book.set_fields(office, "firm", office.firm_id, version, fields, replace(order, what="Overhead as the year asks"))


def explained_overhead(office: Office, figure: str) -> Trace:
    """How a figure of the worksheet came about. Raises: NotFound."""
    found = explain_overhead(office.firm(), figure)
    if found is None:
        raise NotFound("This figure is not on the worksheet any more. Open the worksheet again.")
    return found
