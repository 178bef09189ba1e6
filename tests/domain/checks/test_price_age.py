"""Prices that are no longer good are open points, one for each supplier; both sides of the limit."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from types import SimpleNamespace

import pytest

from app.domain.basis import Basis, Material, Price, Rule, Supplier
from app.domain.checks.price_age import prices_to_ask_again
from app.domain.findings import Severity

TODAY = date(2027, 3, 9)
RULE = Rule(id="price-age", title="Age", value=90, unit="days", severity="warn", source="common practice")


def found(rule: Rule | None = RULE, **price: object):
    basis = Basis(
        materials={"pea": Material(key="pea", title="Pea stone", role="finish", buy="ton")},
        prices={"pea": Price(material="pea", unit_price=Decimal(40), supplier="ferry", **price)},
        suppliers={"ferry": Supplier(key="ferry", title="Alder Ferry Stone")},
        rules={rule.id: rule} if rule else {},
    )
    worked = SimpleNamespace(purchases=[SimpleNamespace(material="pea"), SimpleNamespace(material="unpriced")])
    return list(prices_to_ask_again(worked, basis, TODAY))


@pytest.mark.parametrize(("days", "points"), [(90, 0), (91, 1)])
def test_price_is_asked_for_again_when_it_is_older_than_the_rule(days: int, points: int) -> None:
    assert len(found(priced_on=TODAY - timedelta(days=days))) == points


@pytest.mark.parametrize(("days", "points"), [(0, 0), (-1, 1)])
def test_day_the_supplier_holds_it_until_decides_before_its_age(days: int, points: int) -> None:
    point = found(priced_on=date(2020, 1, 1), valid_until=TODAY + timedelta(days=days))
    assert len(point) == points
    if point:
        assert point[0].severity is Severity.WARN
        assert "Alder Ferry Stone" in point[0].what
        assert "Pea stone" in point[0].what


def test_firm_may_change_the_limit_and_says_so() -> None:
    own = replace(RULE, value=30, reason="stone moves fast here")
    (point,) = found(own, priced_on=TODAY - timedelta(days=31))
    assert "stone moves fast here" in point.source
    assert "30 days" in point.limit


def test_without_the_rule_ninety_days_hold() -> None:
    assert not found(None, priced_on=TODAY - timedelta(days=90))
    assert found(None, priced_on=TODAY - timedelta(days=91))


def test_price_without_a_day_is_said_to_be_unchecked() -> None:
    (point,) = found()
    assert point.severity is Severity.NOTE
    assert "was not checked" in point.what
