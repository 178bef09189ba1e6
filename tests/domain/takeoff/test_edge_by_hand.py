"""Edges of the library worked by hand, from the drawn stretch to what is bought and how long it takes."""

from dataclasses import replace
from decimal import Decimal

import pytest

from app.domain.basis import Price
from app.domain.job import EdgeChoice
from app.domain.plan import rectangle
from app.domain.takeoff.purchases import purchases
from app.domain.takeoff.requirements import requirements
from tests.plans.yards import basis, empty, with_edge, with_zone

INCH = 1 / 12


def worked(assembly, *, drop=0.0):
    """Two zones side by side along 23 ft, and what the edge between them takes."""
    job = with_zone(empty(house=None), "A", rectangle(20, 23), level=drop)
    job = with_zone(job, "B", rectangle(10, 23, at=(20, 0)), level=0.0)
    prices = {key: Price(material=key, unit_price=Decimal("2.5000")) for key in basis().materials}
    on = replace(basis(), prices=prices)
    needed, said = requirements(with_edge(job, "A", "B", assembly, choice=EdgeChoice.BUILT), on)
    assert said == ()
    bought = {one.material: one for one in purchases(needed, on)[0]}
    amounts = {one.key: one.amount for one in needed if one.kind == "task"}
    return bought, amounts


def test_steel_edging_of_23_feet() -> None:
    """23 ft + 5 % = 24.15 ft: 3 bars of 10 ft; 24.15 / 3 = 8.05: 9 stakes; slit 23 × 5/12 × 3/12. Source: arithmetic."""
    bought, amounts = worked("edge-steel")
    assert (bought["steel-edging"].bought, bought["steel-stake"].bought) == (3, 9)
    assert bought["steel-edging"].cents == 7_50  # 3 × $2.50
    assert amounts == {"dig-by-hand": pytest.approx(23 * 5 / 12 * 3 / 12), "set-steel-edging": pytest.approx(23)}


def test_soldier_course_of_23_feet() -> None:
    """6 in a unit: 23 × 1.05 / 0.5 = 48.3: 49 units. Base 23 × 1/2 × 4/3 cu ft. Source: arithmetic."""
    bought, amounts = worked("edge-soldier")
    assert bought["soldier-harvest"].bought == 49
    assert amounts["set-border-course"] == pytest.approx(23)
    assert amounts["spread-and-compact"] == pytest.approx(23 / 2 * 16 / 12)
    depth = 6 * INCH + 3 * INCH + 2.375 * INCH
    assert amounts["dig-by-hand"] == pytest.approx(23 * 16 / 12 * depth)


def test_curb_shows_the_drop_of_its_edge() -> None:
    """6 in wide, 8 in buried, 5 in shown: 23 × 1/2 × 13/12 cu ft of concrete. Source: arithmetic."""
    bought, amounts = worked("edge-curb", drop=5 * INCH)
    loss = basis().materials["concrete-4000"].loss
    assert bought["concrete-4000"].wanted == pytest.approx(23 / 2 * 13 / 12 * (1 + loss) / 27)
    assert amounts["form-and-pour-curb"] == pytest.approx(23)


def test_steps_follow_the_drop_of_their_edge() -> None:
    """18 in at 6 in a riser: 3 steps of 5 ft. Source: arithmetic."""
    assert worked("steps-at-edge", drop=18 * INCH)[1]["set-step"] == pytest.approx(15)
