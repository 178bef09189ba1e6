"""Where every figure on our face comes from: those of the estimate, of groups of lines, of Build, of payments, of ways.

Beside the figures of `costing.explain`: `trade:NAME` and `work:ID` (what a group of lines sells for), `direct:BY:KEY`
(what it costs), `payment:NUMBER` or `payment:sum`, `contract`, `later` (with what was taken after signing),
`change:WHAT` (of the change order in hand, see `contract/explain_change`), `way:ALTERNATIVE` (what another way would
change), `option:ID` (what an option adds),
`package:ID` (its full price), `best:price` and `best:ID` (of the best set, of what it leaves out), `next:out`,
`next:in`, `next:budget`,
`part:BY:KEY:WHAT` (a part's share of the build-up), `left:CENTS:WHAT` (a price read backwards), `percentile:NUMBER`,
`chance:NAME` and `mover:NAME` (the range), `early:KIND` or `early:all` (the first call), and on Build `built:FIGURE`, a
figure of what Build stands on (of what was signed, where something was), with `built:crew` for the hours of the general
crew sheet.
`reminder:KEY` is what the lines that answer a reminder sell for, `compared:BEFORE:AFTER:FIGURE` two standings' figure.
`log:WHAT:…` is a figure of the daily log (`joblog/explain_log`), `log:day:DAY` the hours of a day.
`money:WHAT:…` is a figure of the Money sheet (`services/money_explained`), `warranty:WHAT` one of the warranty's page.
`mend:FROM:TO` is what another material on the same ground costs more (`palette/mending`).
`supply:WHAT:…` is a figure of an order (`services/supply_explained`).
`quote:ID` is what a subcontractor asks, `scope:PACKET` what the book makes of its scope.
"""

from collections.abc import Callable, Mapping
from typing import cast

from app.domain.basis import Basis
from app.domain.costing.client_prices import client_prices
from app.domain.costing.estimate import Estimate
from app.domain.costing.explain import explain
from app.domain.costing.explain_backwards import explain_left
from app.domain.costing.explain_forgotten import explain_reminder
from app.domain.costing.explain_payments import FEE, LEFT, SUM, explain_contract, explain_payment
from app.domain.costing.explain_quoted import explain_quote, explain_scope
from app.domain.costing.explain_range import explain_mover, explain_outlook
from app.domain.costing.explain_risks import explain_risk
from app.domain.costing.grouping import By, Group, explain_direct, explain_group, grouped
from app.domain.costing.parts import explain_part
from app.domain.costing.tax import explain_tax
from app.domain.crew import CrewSheet
from app.domain.errors import NotFound
from app.domain.job import Job
from app.domain.takeoff.trace import Trace
from app.services.build import build_sheet, built_estimate
from app.services.change_orders import explain_in_hand
from app.services.choice_view import explain_option, explain_package
from app.services.comparing import explain_compared
from app.services.daily_log import explain_logged
from app.services.finish_prices import explain_finish
from app.services.first_call import explain_band
from app.services.fitting import explain_best, explain_next
from app.services.happenings import explain_happened
from app.services.held_offers import held_now
from app.services.largest import explain_large
from app.services.later_options import explain_later
from app.services.money_explained import explain_money
from app.services.office import Office
from app.services.palette_advice import explain_difference
from app.services.past_jobs import explain_past
from app.services.phase_planner import explain_plan
from app.services.plan_view import priced_with
from app.services.sensitivity import explain_driver
from app.services.sheets import Sheet
from app.services.supply_explained import explain_supply
from app.services.warranty import explain_warranty

GONE = "This figure is not part of the estimate any more. Open the estimate again."


def explained(office: Office, view: Sheet, figure: str) -> Trace:
    """How a figure came about. Raises: NotFound for one that is not there (any more)."""
    kind, _, rest = figure.partition(":")
    elsewhere = _ELSEWHERE.get(kind)
    if elsewhere is not None:
        return elsewhere(office, view, rest)
    say = _OF_LINES.get(kind)
    if say is None:
        return explain(view.job, view.basis, figure, view.estimate)
    found = say(view.job, view.basis, view.estimate, figure)
    if found is None:
        raise NotFound(GONE)
    return found


def _built(office: Office, view: Sheet, figure: str) -> Trace:
    """A figure of Build, on the job and prices it stands on."""
    build = build_sheet(office, view)
    job, basis = build.stands.job, build.stands.basis
    if figure == "crew":
        return _crew_hours(next((one for one in build.crews if one.zone_id is None), None))
    return explain(job, basis, figure, built_estimate(office, view))


def _crew_hours(general: CrewSheet | None) -> Trace:
    """The hours of the general crew sheet: those of the owner are not in them."""
    if general is None:
        raise NotFound(GONE)
    told = "(amount × rate + set-up) × what slows it here"
    tasks = tuple(
        Trace(label=one.title, expression=told, filled="", result=one.hours, unit="hours") for one in general.tasks
    )
    return Trace(
        label="Hours", expression="sum of its tasks", filled="", result=general.hours, unit="hours", steps=tasks
    )


def _way(office: Office, view: Sheet, key: str) -> Trace:
    """What the job's price would change by, were a zone done another way."""
    other = next((one for one in view.job.alternatives if str(one.id) == key), None)
    zone = next((one for one in view.job.zones if other and one.id == other.zone_id), None)
    if other is None or zone is None:
        raise NotFound(GONE)
    now, then, unit = view.estimate.price_cents, priced_with(office, view, zone, other), view.basis.firm.currency
    steps = tuple(
        Trace(label=label, expression="sum of the steps", filled="", result=cents / 100, unit=unit)
        for label, cents in ((f"Price with {other.title or 'this way'}", then), ("Price as it is", now))
    )
    told = "price of the job with this way − price as it is"
    return Trace(label="Difference", expression=told, filled="", result=(then - now) / 100, unit=unit, steps=steps)


def _group(job: Job, basis: Basis, worked: Estimate, by: str, key: str) -> Group | None:
    known = by in ("zone", "trade", "class", "work") and key
    groups = grouped(cast("By", by), job, basis, worked) if known else ()
    return next((one for one in groups if one.key == key), None)


def _sold(job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    by, _, key = figure.partition(":")
    found = _group(job, basis, worked, by, key)
    return explain_group(found, worked, basis.firm.currency) if found else None


def _direct(job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    by, _, key = figure.removeprefix("direct:").partition(":")
    found = _group(job, basis, worked, by, key)
    return explain_direct(found, worked, basis.firm.currency) if found else None


def _payment(job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    number = figure.removeprefix("payment:")
    named = {"sum": SUM, "fee": FEE, "left": LEFT}
    if number not in named and not (number.isascii() and number.isdigit()):
        return None
    at = named[number] if number in named else int(number)
    return explain_payment(job, basis.firm, client_prices(job, worked), at)


def _contract(office: Office, view: Sheet, _rest: str) -> Trace:
    """The contract sum of the draft: at the prices an open offer holds, where it holds them."""
    held = held_now(office, view)
    at = held.view if held else view
    return explain_contract(at.job, at.basis.firm, client_prices(at.job, at.estimate))


def _reminder(_job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    return explain_reminder(basis, worked, figure.removeprefix("reminder:"))


def _risk(job: Job, basis: Basis, _worked: Estimate, figure: str) -> Trace | None:
    return explain_risk(job, basis.firm.currency, figure.removeprefix("risk:"))


def _quote(job: Job, basis: Basis, _worked: Estimate, figure: str) -> Trace | None:
    return explain_quote(job, basis, figure.removeprefix("quote:"))


def _scope(job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    return explain_scope(job, basis, worked, figure.removeprefix("scope:"))


def _logged(office: Office, view: Sheet, figure: str) -> Trace:
    """A figure of the daily log, or what receipts come to."""
    what, _, rest = figure.partition(":")
    if what in ("receipt", "receipts"):
        found = explain_happened(view, what, rest)
        if found is None:
            raise NotFound(GONE)
        return found
    return explain_logged(office, view, figure)


_ELSEWHERE: Mapping[str, Callable[[Office, Sheet, str], Trace]] = {
    "built": _built,
    "contract": _contract,
    "later": explain_later,
    "change": explain_in_hand,
    "way": _way,
    "option": explain_option,
    "package": explain_package,
    "best": explain_best,
    "plan": explain_plan,
    "next": explain_next,
    "early": explain_band,
    "finish": explain_finish,
    "largest": explain_large,
    "compared": explain_compared,
    "driver": explain_driver,
    "past": explain_past,
    "log": _logged,
    "money": explain_money,
    "warranty": explain_warranty,
    "mend": explain_difference,
    "supply": explain_supply,
}
_OF_LINES: Mapping[str, Callable[[Job, Basis, Estimate, str], Trace | None]] = {
    "trade": _sold,
    "work": _sold,
    "direct": _direct,
    "payment": _payment,
    "part": explain_part,
    "left": explain_left,
    "risk": _risk,
    "taxed": explain_tax,
    "percentile": explain_outlook,
    "chance": explain_outlook,
    "mover": explain_mover,
    "reminder": _reminder,
    "quote": _quote,
    "scope": _scope,
}
