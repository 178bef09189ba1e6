"""A machine of the firm's own: what is refused, what opens, what never falls."""

import re
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.costing.explain_machine import FIGURES, explain_machine
from app.domain.costing.owned_machine import check_machine, machine_cost, unit_rate
from app.domain.errors import BadValue
from app.domain.machine import OwnedMachine
from tests.domain.costing.test_explain import all_of, worked_out

DIGGER = OwnedMachine(
    purchase_cents=58_000_00,
    salvage_cents=19_000_00,
    fuel_gallons=Decimal("1.3"),
    fuel_price=Decimal("3.95"),
    wear_cents=2_400_00,
    wear_hours=Decimal(1_200),
)


def test_hour_is_ownership_and_operation():
    worked = machine_cost(DIGGER)
    assert worked.fuel == Decimal("5.135")
    assert worked.lubrication == Decimal("5.135") * Decimal("0.15")
    assert worked.wear == Decimal("2.3")  # 2,400 / 1,200 × 1.15: tire repair is 15 % of tire wear (USACE EP 1110-1-8)
    assert worked.per_hour == (worked.owning + worked.operating).quantize(Decimal("0.0001"))
    assert unit_rate(DIGGER, "hour", 8.0) == worked.per_hour
    assert unit_rate(DIGGER, "day", 8.0) == worked.per_hour * 8


@pytest.mark.parametrize("figure", FIGURES)
def test_every_figure_opens_and_its_numbers_work_out(figure):
    trace = explain_machine(DIGGER, "USD", figure)
    for one in all_of(trace):
        if one.filled and re.fullmatch(r"[-\d.,()×/+*− ]*", one.filled):
            assert worked_out(one.filled) == pytest.approx(one.result, abs=0.011), one
    assert explain_machine(DIGGER, "USD", "operator") is None


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"purchase_cents": 0}, "purchase_cents"),
        ({"salvage_cents": 58_000_01}, "salvage_cents"),
        ({"years": Decimal(0)}, "years"),
        ({"years": Decimal(61)}, "years"),
        ({"hours_a_year": Decimal(0)}, "hours_a_year"),
        ({"interest": Decimal(1)}, "interest"),
        ({"wear_hours": Decimal(0)}, "wear_hours"),
        ({"repair_hours": Decimal(0)}, "repair_hours"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_beside_its_field(wrong, field):
    with pytest.raises(BadValue) as refused:
        check_machine(replace(DIGGER, **wrong))
    assert refused.value.field == field
    check_machine(DIGGER)


MONEY = st.integers(1, 500_000_00)


@given(MONEY, MONEY, st.integers(50, 2_000), st.integers(0, 200))
def test_dearer_machine_is_never_cheaper_and_more_hours_never_dearer(bought, more, hours, further):
    one = replace(DIGGER, purchase_cents=bought, salvage_cents=0, hours_a_year=Decimal(hours))
    assert machine_cost(replace(one, purchase_cents=bought + more)).per_hour >= machine_cost(one).per_hour
    assert machine_cost(replace(one, hours_a_year=Decimal(hours + further))).per_hour <= machine_cost(one).per_hour
