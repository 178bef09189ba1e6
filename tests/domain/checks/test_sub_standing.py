"""Papers of subcontractors on a day, both sides of their last day; what stops release and payment, and how hard."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID

import pytest

from app.domain.checks.sub_standing import State, outstanding, payment_stops, release_stops, standings
from app.domain.findings import Stop
from app.domain.job import LienRelease, PaidOut
from app.domain.selling import Subcontractor, SubPaper

TODAY = date(2027, 5, 10)
LATER = date(2028, 1, 31)
GOOD = Subcontractor(
    key="volt",
    title="Volt Electric",
    license="PA 1",
    license_until=LATER,
    comp_until=LATER,
    insured_until=LATER,
    tax_form_on=date(2026, 1, 4),
    rates_on=date(2027, 1, 4),
)


def state(sub: Subcontractor, kind: str) -> State:
    return next(one.state for one in standings(sub, TODAY) if one.kind == kind)


def paid(number: int, day: date, *, final: bool = False) -> PaidOut:
    return PaidOut(id=UUID(int=number), day=day, cents=1, packet="p", final=final)


def released(number: int, kind: str) -> LienRelease:
    return LienRelease(id=UUID(int=100 + number), payment=str(UUID(int=number)), kind=kind, day=TODAY)


@pytest.mark.parametrize("kind", ["license", "workers' comp", "insurance"])
@pytest.mark.parametrize(("days", "expected"), [(-1, State.OUT), (0, State.SOON), (30, State.SOON), (31, State.GOOD)])
def test_paper_is_good_through_its_last_day(kind: str, days: int, expected: State):
    field = {"license": "license_until", "workers' comp": "comp_until", "insurance": "insured_until"}[kind]
    assert state(replace(GOOD, **{field: TODAY + timedelta(days=days)}), kind) is expected


def test_nothing_stops_who_has_all_papers():
    assert list(payment_stops(GOOD, "p", TODAY, (), ())) == []


@pytest.mark.parametrize(
    ("fields", "rule", "stop"),
    [
        ({"comp_until": None}, "sub-paper-workers-comp", Stop.LAW),
        ({"comp_until": date(2027, 5, 9)}, "sub-paper-workers-comp", Stop.LAW),
        ({"license_until": date(2027, 5, 9)}, "sub-paper-license", Stop.LAW),
        ({"license_until": None}, "sub-paper-license", Stop.LAW),
        ({"insured_until": None}, "sub-paper-insurance", Stop.MONEY),
        ({"insured_until": date(2027, 5, 9)}, "sub-paper-insurance", Stop.MONEY),
    ],
)
def test_law_has_no_way_round_and_money_has(fields: dict, rule: str, stop: Stop):
    (found,) = release_stops(replace(GOOD, **fields), "p", TODAY)
    assert (found.rule, found.stop) == (rule, stop)
    assert GOOD.title in found.what


def test_what_is_not_wanted_stops_nothing_where_somebody_said_why():
    sub = replace(GOOD, comp_until=None, comp_exempt="Alone, state exemption of March", license_exempt="None wanted")
    assert list(release_stops(sub, "p", TODAY)) == []
    assert state(sub, "workers' comp") is State.NOT_WANTED


def test_a_kept_paper_counts_by_its_day_and_the_later_one_holds():
    kept = (SubPaper(kind="insurance", file="f", until=LATER), SubPaper(kind="tax form", file="g"))
    sub = replace(GOOD, insured_until=date(2027, 1, 1), tax_form_on=None, kept_papers=kept)
    assert state(sub, "insurance") is State.GOOD
    assert state(sub, "tax form") is State.GOOD


def test_missing_tax_form_stops_money_but_not_the_work():
    sub = replace(GOOD, tax_form_on=None)
    assert list(release_stops(sub, "p", TODAY)) == []
    assert [one.stop for one in payment_stops(sub, "p", TODAY, (), ())] == [Stop.MONEY]


def test_release_of_the_payment_before_is_wanted_and_only_the_unconditional_one_settles_it():
    first = paid(1, date(2027, 5, 1))
    assert outstanding([first], []) == (first,)
    assert outstanding([first], [released(1, "conditional progress")]) == (first,)
    assert outstanding([first], [released(1, "unconditional progress")]) == ()
    (stop,) = payment_stops(GOOD, "p", TODAY, [first], [])
    assert (stop.rule, stop.stop) == ("lien-release-outstanding", Stop.MONEY)


def test_final_unconditional_release_settles_what_was_paid_before():
    payments = [paid(1, date(2027, 5, 1)), paid(2, date(2027, 5, 8), final=True)]
    assert outstanding(payments, []) == tuple(payments)
    assert outstanding(payments, [released(2, "unconditional final")]) == ()
    assert outstanding(payments, [released(2, "unconditional progress")]) == tuple(payments)
