"""Figures that towns and associations ask for, by hand on a small yard."""

from dataclasses import replace

import pytest

from app.domain.application import application
from app.domain.job import Fate, LotLine, RunKind, Setback, ZoneKind
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, named, site, with_existing, with_feature, with_run, with_zone


def yard():
    """A lot of 10,000 sq ft with 2,500 of it hard; a slab of 300 goes, a terrace of 20 by 15 ft comes."""
    job = empty(lot_area=10_000.0, coverage_before=2_500.0, coverage_limit=0.3, setbacks="10 ft at the back")
    job = with_existing(job, "Old slab", "concrete", fate=Fate.GOES, outline=rectangle(20, 15, at=(0, 30)))
    job = with_zone(
        job, "A", rectangle(20, 15, at=(0, 30)), "unit-pavers", kind=ZoneKind.DINING, fall=0.02, fall_toward="the lawn"
    )
    job = with_zone(job, "B", rectangle(10, 10, at=(40, 30)), "planting-bed", kind=ZoneKind.PLANTING)
    job = with_run(job, "Low wall", "seat-wall", kind=RunKind.WALL, points=((0, 45), (20, 45)), height=1.5)
    job = with_run(job, "Drain to the street", "drain-line", kind=RunKind.DRAIN, points=((0, 50), (0, 80)))
    return with_feature(job, "Column", "column", x=0, y=46)


def test_hard_surface_before_and_after() -> None:
    found = application(yard(), basis()).coverage
    assert (found.before, found.gone, found.after) == (2_500.0, 300.0, 2_500.0)
    assert [(one.place, one.area) for one in found.new] == [("Zone A, Place A", 300.0)]
    assert (found.share_before, found.share_after, found.limit) == (0.25, 0.25, 0.3)


def test_shares_are_unknown_without_lot_or_today_s_surface() -> None:
    found = application(empty(), basis()).coverage
    assert (found.lot, found.before, found.share_before, found.share_after) == (None, None, None, None)


def test_heights_of_what_rises_and_from_the_bottom_of_what_is_buried() -> None:
    found = {one.place: one for one in application(yard(), basis()).heights}
    wall = next(one for place, one in found.items() if "Low wall" in place)
    assert wall.height == 1.5
    assert wall.from_bottom == pytest.approx(2.0)  # 6 in of the recipe are buried
    column = next(one for place, one in found.items() if "Column" in place)
    assert column.height == pytest.approx(3.0)
    assert not any("Place A" in place for place in found), "a surface does not rise"
    piped = with_run(yard(), "Gas to the fire", "gas-run", kind=RunKind.GAS, points=((0, 50), (0, 80)))
    assert not any("Gas" in one.place for one in application(piped, basis()).heights), "it lies in the ground"


def test_where_water_goes_names_surfaces_and_drains() -> None:
    found = application(yard(), basis()).runoff
    assert [(one.fall, one.toward) for one in found if one.length is None] == [(0.02, "the lawn")]
    assert [(one.place, one.length) for one in found if one.length is not None] == [("Drain to the street", 30.0)]


def test_every_setback_says_what_stands_nearest_of_what_it_holds_for() -> None:
    rows = (
        Setback(id=named("all"), distance=5.0),
        Setback(id=named("rear"), kind="hard", side="rear", distance=3.0),
        Setback(id=named("fire"), kind="fire", distance=10.0),
    )
    lot = rectangle(60, 60, at=(-10, -10))
    job = site(yard(), lot=lot, lot_lines=(LotLine(x=0, y=50, side="rear"),))
    found = application(replace(job, setbacks=rows), basis()).setbacks
    assert [(one.words, one.away) for one in found] == [
        ("Column", pytest.approx(3.0)),  # 2 ft across at y = 46, the line at y = 50
        ("Zone A, Place A", 5.0),
        ("", None),
    ]
