"""Where the figures over many jobs come from, as traces of the jobs behind them."""

from app.domain.looking_back.crew_load import Week
from app.domain.looking_back.margins import JobMargin
from app.domain.looking_back.task_hours import HoursSum, JobHours
from app.domain.looking_back.wins import Outcome, Tally
from app.domain.takeoff.trace import Trace, number_text

HOURS = "hours"
MOST = 60  # jobs of one figure


def explain_hours(one: HoursSum) -> Trace:
    """Hours over the bid: the jobs, those that went over most first."""
    rows = sorted(one.rows, key=lambda row: row.bid - row.hours)[:MOST]
    steps = tuple(_plain(_named(row), _less(row), row.hours - row.bid, HOURS) for row in rows)
    return Trace(
        label=f"{one.title}: hours over the bid",
        expression="hours logged − hours bid, where the work is finished",
        filled=f"{number_text(one.hours)} − {number_text(one.bid)}",
        result=one.hours - one.bid,
        unit=HOURS,
        steps=steps,
    )


def explain_hours_cost(one: HoursSum, currency: str) -> Trace:
    """What hours over the bid cost."""
    rows = sorted(one.rows, key=lambda row: -row.over_cents)[:MOST]
    told = "hours over the bid × what an hour of it was bid at"
    steps = tuple(_plain(_named(row), told, row.over_cents / 100, currency) for row in rows)
    return Trace(
        label=f"{one.title}: cost of hours over the bid",
        expression="sum of its jobs, each at what an hour of it was bid at, with burden",
        filled="",
        result=one.over_cents / 100,
        unit=currency,
        steps=steps,
    )


def explain_wins(one: Tally) -> Trace:
    """Won of decided."""
    between = one.between or (0.0, 1.0)
    told = {Outcome.WON: "signed", Outcome.LOST: "went elsewhere", Outcome.OPEN: "not decided"}
    steps = tuple(
        _plain(f"{row.number} {row.title}: {told[row.outcome]}", "", 1.0 if row.outcome is Outcome.WON else 0.0, "")
        for row in one.asked[-MOST:]
        if row.outcome is not Outcome.OPEN
    )
    return Trace(
        label=f"{one.key}: signed, of those decided",
        expression="signed / (signed + lost)",
        filled=f"{one.won} / ({one.won} + {one.lost}); so few say between {between[0]:.0%} and {between[1]:.0%}",
        result=(one.share or 0.0) * 100,
        unit="%",
        source="Score interval at 90%: E. B. Wilson, JASA 22, 1927",
        steps=steps,
    )


def explain_won_sum(one: Tally, currency: str) -> Trace:
    """What those who signed signed for."""
    won = [row for row in one.asked if row.outcome is Outcome.WON and row.cents][-MOST:]
    told = "as it stands signed"
    steps = tuple(_plain(f"{row.number} {row.title}", told, (row.cents or 0) / 100, currency) for row in won)
    return Trace(
        label=f"{one.key}: signed for",
        expression="sum of contracts as they stand",
        filled="",
        result=one.won_cents / 100,
        unit=currency,
        steps=steps,
    )


def explain_margin(one: JobMargin, currency: str, *, made: bool) -> Trace:
    """What is left over direct cost, as bid or as made."""
    hours = f"; {number_text(one.unpaid_hours)} h have no wage" if made and one.unpaid_hours else ""
    costs = _spent(one) if made else _bid(one)
    steps = (
        _plain("Contract as it stands, without the client's sales tax", "", one.contract / 100, currency),
        *(_plain(words, "", -cents / 100, currency) for words, cents in costs),
    )
    over = one.over if made else one.bid_over
    what = "was to be left" if not made else "left" if one.done else "left so far"
    return Trace(
        label=f"{one.title or 'All closed jobs'}: {what}",
        expression="contract − direct cost: for overhead and profit",
        filled=f"the owner's own hours are in neither{hours}",
        result=over / 100,
        unit=currency,
        steps=steps,
    )


def explain_week(one: Week) -> Trace:
    """What fills a week."""
    steps = tuple(
        _plain(
            f"{share.work.job}, {share.work.phase or 'no phase'}" + ("" if share.work.signed else " (only offered)"),
            f"its part of {number_text(round(share.work.hours, 1))} h left",
            share.hours,
            HOURS,
        )
        for share in one.shares
    )
    return Trace(
        label=f"Week of {one.first:%b} {one.first.day}: hours to be done",
        expression="hours left of each phase, even over the days it is planned for",
        filled=f"signed {number_text(round(one.signed, 1))} h; all crews have {number_text(one.capacity)} h that week",
        result=one.signed + one.offered,
        unit=HOURS,
        steps=steps,
    )


def _named(row: JobHours) -> str:
    return f"{row.number} {row.job}: {row.title}"


def _less(row: JobHours) -> str:
    return f"{number_text(row.hours)} h logged − {number_text(row.bid)} h bid"


def _spent(one: JobMargin) -> tuple[tuple[str, int], ...]:
    return (
        ("Hours of the crew, at what the bid paid for one", one.labor),
        ("Receipts", one.receipts),
        ("Bills of orders, what no receipt tells of", one.bills),
        ("Paid to subs and suppliers", one.paid_out),
    )


def _bid(one: JobMargin) -> tuple[tuple[str, int], ...]:
    return (
        ("Hours of the crew, as bid", one.bid_labor),
        ("Materials, machines, subs, hauling, fees, allowances", one.bid_other),
    )


def _plain(label: str, expression: str, result: float, unit: str) -> Trace:
    return Trace(label=label, expression=expression, filled="", result=result, unit=unit)
