"""Where the figures of what we know come from: `WHAT:BY:KEY`; and each page as a table."""

from app.domain.errors import NotFound
from app.domain.looking_back.explain_known import (
    explain_hours,
    explain_hours_cost,
    explain_margin,
    explain_week,
    explain_wins,
    explain_won_sum,
)
from app.domain.looking_back.wins import Tally
from app.domain.takeoff.trace import Trace
from app.interchange.cells_out import csv_table
from app.services.callbacks import explained_call
from app.services.known import Wins, known_crews, known_hours, known_margins, known_wins
from app.services.office import Office

HOURS_HEAD = ("Task", "Crew", "Job number", "Job", "Hours bid", "Hours logged", "Finished", "Cost over the bid")
WINS_HEAD = ("Job number", "Job", "How they found us", "Price", "Outcome")
MARGINS_HEAD = (
    "Job number", "Job", "Stage", "Contract without tax", "Crew bid", "Other cost bid", "Crew spent", "Receipts",
    "Paid out", "Bills of orders", "Hours without a wage",
)  # fmt: skip
CREWS_HEAD = ("Week of", "Days worked", "Hours of all crews", "Job", "Phase", "Signed", "Hours")


def explained(office: Office, figure: str) -> Trace:
    """How a figure came about. Raises: NotFound."""
    what, _, rest = figure.partition(":")
    by, _, key = rest.partition(":")
    currency = office.firm().currency
    trace = {"hours": _hours, "cost": _hours, "won": _won, "sum": _won, "margin": _margin, "made": _margin}.get(what)
    if what == "call":
        return explained_call(office, by, key)
    found = trace(office, what, by, key, currency) if trace else _week(office, by) if what == "week" else None
    if found is None:
        raise NotFound("This figure is not on the page any more. Open it again.")
    return found


def _hours(office: Office, what: str, by: str, key: str, currency: str) -> Trace | None:
    one = known_hours(office).of(by, key)
    if one is None:
        return None
    return explain_hours(one) if what == "hours" else explain_hours_cost(one, currency)


def _won(office: Office, what: str, by: str, key: str, currency: str) -> Trace | None:
    one = tally_of(known_wins(office), by, key)
    if one is None:
        return None
    return explain_wins(one) if what == "won" else explain_won_sum(one, currency)


def tally_of(held: Wins, by: str, key: str) -> Tally | None:
    """A row of the page of wins, by its place."""
    rows = {"all": (held.all,), "source": held.sources, "band": held.bands}.get(by, ())
    return rows[int(key)] if key.isdecimal() and len(key) < 6 and int(key) < len(rows) else None


def _margin(office: Office, what: str, by: str, _key: str, currency: str) -> Trace | None:
    held = known_margins(office)
    rows = (*held.closed, *held.under_way, *((held.sum,) if held.sum else ()))
    one = next((row for row in rows if (row.job_id or "all") == by), None)
    return explain_margin(one, currency, made=what == "made") if one else None


def _week(office: Office, first: str) -> Trace | None:
    one = next((week for week in known_crews(office).weeks if week.first.isoformat() == first), None)
    return explain_week(one) if one else None


def hours_table(office: Office) -> bytes:
    """Hours against the bid, task by task of each job, as a table."""
    found = known_hours(office)
    crews = {row: one.title for one in found.crews for row in one.rows}
    return csv_table(
        HOURS_HEAD,
        (
            [
                one.title,
                crews.get(one, one.crew),
                one.number,
                one.job,
                round(one.bid, 2),
                one.hours,
                "yes" if one.finished else "no",
                one.over_cents / 100,
            ]
            for one in found.rows
        ),
    )


def wins_table(office: Office) -> bytes:
    """Everybody who called, as a table."""
    rows = known_wins(office).all.asked
    return csv_table(
        WINS_HEAD,
        (
            [one.number, one.title, one.found_us, "" if one.cents is None else one.cents / 100, one.outcome.value]
            for one in rows
        ),
    )


def margins_table(office: Office) -> bytes:
    """Signed jobs with cost bid and spent, as a table."""
    held = known_margins(office)
    names = ("contract", "bid_labor", "bid_other", "labor", "receipts", "paid_out", "bills")
    return csv_table(
        MARGINS_HEAD,
        (
            [one.number, one.title, one.stage, *(getattr(one, name) / 100 for name in names), one.unpaid_hours]
            for one in (*held.closed, *held.under_way)
        ),
    )


def crews_table(office: Office) -> bytes:
    """Weeks ahead with what fills them, as a table."""
    return csv_table(
        CREWS_HEAD,
        (
            [
                week.first,
                week.days,
                week.capacity,
                share.work.job,
                share.work.phase,
                "yes" if share.work.signed else "no",
                round(share.hours, 2),
            ]
            for week in known_crews(office).weeks
            for share in week.shares
        ),
    )
