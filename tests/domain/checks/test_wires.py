"""Wires above the yard: both sides of each distance, what is not known said, nothing dug or paid for them."""

from dataclasses import replace

import pytest

from app.documents.plan_drawing import plan_svg
from app.domain.checks.engine import check
from app.domain.costing.estimate import estimate
from app.domain.findings import Severity
from app.domain.job import OVERHEAD, Existing, Fate
from app.domain.plan.shapes import rectangle
from app.domain.seen.ground import Levels, stays_of
from app.domain.takeoff.sunlight import scene_of
from tests.domain.checks.test_plant_checks import yard
from tests.plans.yards import basis, empty, named, with_existing, with_feature, with_zone

BASIS = basis()
RULES = (
    "overhead-near",
    "overhead-machine",
    "overhead-height",
    "overhead-utility",
    "overhead-tree",
    "overhead-tree-tall",
)


def wire(job, x=0.0, *, height=None, fate=Fate.STAYS, drawn=True):
    points = ((x, -50.0), (x, 200.0)) if drawn else ()
    one = Existing(id=named("wire"), title="Power line", kind=OVERHEAD, points=points, height=height, fate=fate)
    return replace(job, existing=(*job.existing, one))


def told(job, *rules):
    wanted = rules or RULES
    return [(one.rule, one.severity.value) for one in check(job, BASIS) if one.rule in wanted]


@pytest.mark.parametrize(
    ("species", "rule", "limit"),
    [("cercis-canadensis", "overhead-tree", 20.0), ("quercus-alba", "overhead-tree-tall", 40.0)],  # 30 and 80 ft grown
)
def test_tree_that_grows_into_wires_stands_away_by_its_height(species, rule, limit):
    at = ((50.0, 30.0),)
    assert told(wire(yard(species, "7-gal", at=at), 50 - limit, height=25.0), *RULES) == []
    assert told(wire(yard(species, "7-gal", at=at), 50.1 - limit, height=25.0), *RULES) == [(rule, "warn")]


def test_low_tree_and_shrub_may_stand_beside_wires_and_no_look_up_is_asked_once_they_are_drawn():
    assert told(wire(yard("chionanthus-virginicus", "7-gal"), 30.0, height=25.0)) == []
    assert told(wire(yard("clethra-alnifolia"), 30.0, height=25.0)) == []
    tall = yard("quercus-alba", "7-gal", at=((50.0, 30.0),))
    assert told(tall, "tree-and-overhead")
    assert not told(wire(tall, 0.0, height=25.0), "tree-and-overhead")
    assert told(wire(tall, drawn=False, height=25.0), "tree-and-overhead")


def test_what_reaches_up_keeps_twenty_feet_from_every_wire():
    # Source: 29 CFR 1926.1408 (a): within 20 ft the employer first finds out how near is allowed
    job = with_feature(empty(), "tree", "tree", x=30.0, y=40.0)
    assert told(wire(job, 10.0, height=30.0)) == []
    assert told(wire(job, 10.1, height=30.0)) == [("overhead-near", "warn")]
    goes = with_existing(empty(), "Old maple", "tree", "remove-tree", x=30.0, y=40.0, spread=20.0)
    assert told(wire(goes, 0.0, height=30.0)) == []  # its crown reaches to 20 ft beside it
    assert told(wire(goes, 0.5, height=30.0)) == [("overhead-near", "warn")]


def test_machine_digs_below_a_wire_only_where_it_hangs_high_enough():
    # 15 ft of arm (assumption) and 10 ft away (29 CFR 1926.1408, Table A)
    job = with_zone(empty(), "A", rectangle(20, 10, at=(0, 30)), "excavate-and-haul")
    assert told(wire(job, 10.0, height=25.0)) == []
    assert told(wire(job, 10.0, height=24.9)) == [("overhead-machine", "warn")]
    assert told(wire(job, 30.0, height=18.0)) == []
    assert told(wire(job, 29.9, height=18.0)) == [("overhead-machine", "warn")]


def test_wire_of_unknown_height_or_way_is_said_and_one_that_goes_is_its_utilitys():
    assert told(wire(empty(), 5.0)) == [("overhead-height", Severity.NOT_CHECKED.value)]
    assert told(wire(empty(), drawn=False, height=20.0)) == [("overhead-height", Severity.NOT_CHECKED.value)]
    assert told(wire(empty(), 5.0, height=20.0)) == []
    assert told(wire(empty(), 5.0, height=20.0, fate=Fate.GOES)) == [("overhead-utility", "warn")]
    assert told(wire(empty(), 5.0, height=20.0, fate=Fate.MOVES)) == [("overhead-utility", "warn")]


def test_wire_costs_nothing_shades_nothing_and_is_no_line_in_the_ground():
    job = with_zone(empty(), "A", rectangle(20, 10, at=(0, 30)), "unit-pavers")
    above = wire(job, 10.0, height=20.0)
    assert estimate(above, BASIS).price_cents == estimate(job, BASIS).price_cents
    spot = {"latitude": 40.2, "longitude": -76.9}
    shaded, clear = (scene_of(replace(one, site=replace(one.site, **spot))) for one in (above, job))
    assert getattr(shaded, "blockers", ()) == getattr(clear, "blockers", ())
    tree = yard("cercis-canadensis", "7-gal")
    assert not [one for one in check(wire(tree, 31.0, height=20.0), BASIS) if one.rule == "tree-to-buried"]


def test_wire_is_drawn_with_its_letters_and_its_height_and_seen_in_the_air():
    job = with_zone(empty(), "A", rectangle(20, 10, at=(0, 30)), "unit-pavers")
    drawn = plan_svg(wire(job, 30.0, height=18.5), BASIS)
    assert ">OH</text>" in drawn
    assert "18&#39;-6&#34; up" in drawn or "18'-6\" up" in drawn or "18&#x27;-6&quot; up" in drawn
    assert "height not known" in plan_svg(wire(job, 30.0), BASIS)
    flat: list[str] = []
    solids = list(stays_of(wire(job, 30.0, height=18.5), Levels({}, 0.0, ()), flat))
    assert solids
    assert all(one.bottom >= 18 for one in solids)
    assert flat == []
    assert not list(stays_of(wire(job, 30.0), Levels({}, 0.0, ()), flat))
    assert flat == ["Power line"]
