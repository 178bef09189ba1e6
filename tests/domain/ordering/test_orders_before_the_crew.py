"""What the crew would stand without: lists not ordered and orders not confirmed, both sides of each day."""

from datetime import date, timedelta

import pytest

from app.domain.findings import Stop
from app.domain.job import CameLine
from app.domain.ordering import needed, standings
from app.domain.ordering.points import SOON, Days, release_points
from tests.domain.ordering.supply import PHASE, came, job_of, listed, sent

START = date(2027, 5, 10)


def points(*orders, today=START, phased=True, **more):
    standing = standings(job_of(*orders, **more))
    days = Days(today=today, starts={PHASE: START})
    return list(release_points(needed((listed(),), standing), standing, days, phased=phased))


def rules(*orders, **more):
    return [one.rule for one in points(*orders, **more)]


@pytest.mark.parametrize(("before", "found"), [(SOON, ["not-ordered"]), (SOON + timedelta(days=1), [])])
def test_a_phase_that_begins_within_two_weeks_wants_its_orders(before: timedelta, found: list[str]) -> None:
    assert rules(today=START - before) == found
    assert rules(sent(), today=START - before) == (["not-confirmed"] if found else [])


def test_what_is_not_ordered_names_supplier_and_lines_and_may_be_gone_on_with() -> None:
    (one,) = points()
    assert one.stop is Stop.MONEY
    assert f"begins on {START:%B} {START.day}" in one.what


def test_an_order_is_settled_once_it_is_confirmed_or_begins_to_come() -> None:
    assert rules(sent(confirmed_on=START)) == []
    assert rules(sent(), deliveries=(came(1, CameLine(material="paver", came=1.0)),)) == []
    assert rules(sent(called_off_on=START)) == ["not-ordered"]


def test_a_job_without_phases_wants_all_of_it_now() -> None:
    assert rules(today=START - SOON - timedelta(days=1), phased=False) == ["not-ordered"]
