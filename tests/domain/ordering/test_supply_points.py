"""What is open about orders: both sides of each day."""

from datetime import date, timedelta
from uuid import UUID

import pytest

from app.domain.findings import Severity, Stop
from app.domain.job import ApprovedSample, Backorder, CameLine, Substitute
from app.domain.ordering import needed, standings
from app.domain.ordering.points import Days, order_points, sample_point, samples_missing
from tests.domain.ordering.supply import ORDER, PHASE, came, job_of, line, listed, sent

START = date(2027, 5, 10)


def rules(*orders, today=date(2027, 4, 20), wanted=None, **more):
    standing = standings(job_of(*orders, **more))
    days = Days(today=today, starts={PHASE: START}, wanted=wanted or {})
    return [one.rule for one in order_points(needed((listed(),), standing), standing, days)]


def test_a_list_is_late_the_day_after_it_should_have_been_ordered():
    by = line().order_by
    assert rules(today=by) == []
    assert rules(today=by + timedelta(days=1)) == ["ordered-late"]
    assert rules(sent(), today=by + timedelta(days=1)) == []


@pytest.mark.parametrize(("promised", "late"), [(START, False), (START + timedelta(days=1), True)])
def test_a_day_promised_after_work_wants_it_is_open(promised, late):
    assert rules(sent(promised_on=promised)) == (["comes-after-start"] if late else [])


def test_the_activity_that_wants_it_first_decides_and_a_backorder_has_its_own_day():
    order = sent(promised_on=date(2027, 5, 12))
    assert rules(order, wanted={("paver", PHASE): date(2027, 5, 14)}) == []
    back = Backorder(id=UUID(int=1), order_id=ORDER, material="paver", expected_on=date(2027, 6, 2))
    assert rules(order, wanted={("paver", PHASE): date(2027, 5, 14)}, backorders=(back,)) == ["comes-after-start"]


def test_what_was_expected_and_is_not_here_is_overdue_until_it_came():
    order = sent(promised_on=date(2027, 5, 6))
    assert rules(order, today=date(2027, 5, 6)) == []
    assert rules(order, today=date(2027, 5, 7)) == ["delivery-overdue"]
    here = (came(1, CameLine(material="paver", came=900.0)),)
    assert rules(order, today=date(2027, 5, 7), deliveries=here) == []


def test_a_price_that_ran_out_a_deposit_and_a_substitute_are_open():
    prepared = sent(sent_on=None, price_until=date(2027, 4, 19))
    assert rules(prepared) == ["order-price-ran-out"]
    assert rules(prepared, today=date(2027, 4, 19)) == []
    assert rules(sent(deposit_cents=100)) == ["order-deposit-unpaid"]
    assert rules(sent(deposit_cents=100, deposit_on=START)) == []
    waits = Substitute(id=UUID(int=1), order_id=ORDER, material="paver", title="Slate")
    assert rules(sent(), substitutes=(waits,)) == ["substitute-waits"]
    assert rules(sent(called_off_on=START), substitutes=(waits,)) == []


def test_a_special_order_waits_for_a_name_on_its_sample_or_a_reason():
    wanted = {"paver": "Paver", "cap": "Cap stone"}
    signed = ApprovedSample(id=UUID(int=1), material="paver", name="Linnea Whitlock", day=START)
    nameless = ApprovedSample(id=UUID(int=2), material="cap", name=" ", day=START)
    (point,) = samples_missing(wanted, (signed, nameless), ())
    assert (point.where, point.severity, point.stop) == ("material:cap", Severity.STOP, Stop.MONEY)
    assert samples_missing(wanted, (signed,), (sample_point("cap", "Cap stone").key,)) == ()
