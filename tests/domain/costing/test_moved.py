"""What moved in money between two estimates: by line and zone, adding up to what the price moved."""

from dataclasses import replace
from decimal import Decimal

from app.domain.costing.estimate import estimate
from app.domain.costing.moved import moved
from app.domain.job import Measured
from app.domain.plan.shapes import rectangle
from tests.domain.costing.three_zones import BASIS, BED, JOB, PATH, TERRACE, firm_with, work

SEEN = estimate(JOB, BASIS)


def why(movement, what, zone):
    return next(one.why for one in movement.lines if one.what == what and one.zone == str(zone))


def test_nothing_moved_where_nothing_changed():
    movement = moved(SEEN, estimate(JOB, BASIS))
    assert (movement.by, movement.lines, movement.zones) == (0, (), {})


def test_dearer_material_moves_its_lines_and_adds_up():
    dearer = replace(BASIS.prices["mulch"], unit_price=Decimal("92.50"))
    movement = moved(SEEN, estimate(JOB, replace(BASIS, prices={**BASIS.prices, "mulch": dearer})))
    assert movement.lines[0].what == "Bark mulch"
    assert why(movement, "Bark mulch", BED) == "price of a unit"
    assert movement.by == sum(one.by for one in movement.lines) == sum(movement.zones.values())
    assert movement.zones[str(BED)] > 0


def test_bigger_zone_moves_by_its_amounts():
    wider = replace(JOB.alternatives[0], outline=rectangle(22, 15), measured=Measured.TAPED)
    movement = moved(SEEN, estimate(replace(JOB, alternatives=(wider, *JOB.alternatives[1:])), BASIS))
    assert why(movement, "Lay", TERRACE) == "amount"
    assert movement.by == sum(one.by for one in movement.lines) > 0


def test_new_and_gone_lines_are_told():
    more = estimate(replace(JOB, works=(*JOB.works, work(109, "bed", PATH))), BASIS)
    assert why(moved(SEEN, more), "Bark mulch", PATH) == "new"
    assert why(moved(more, SEEN), "Bark mulch", PATH) == "gone"
    assert moved(SEEN, more).by == -moved(more, SEEN).by


def test_margin_moves_everything_by_the_rest():
    movement = moved(SEEN, estimate(JOB, firm_with(margin=Decimal("0.2"))))
    assert {one.why for one in movement.lines} == {"by the rest"}
    assert movement.by == sum(one.by for one in movement.lines)
