"""Smoke downwind, counters beside sinks, tops that reach over, gas in closed counters: both sides of each limit."""

from dataclasses import replace

import pytest

from app.domain.checks.engine import check
from app.domain.job import Opening, ZoneKind
from app.domain.plan.shapes import rectangle
from app.domain.takeoff.requirements import requirements
from tests.plans.yards import basis, empty, site, with_feature, with_run, with_zone

BASIS = basis()


def told(job, rule):
    return [one for one in check(job, BASIS) if one.rule == rule]


def fire(x=0.0, y=60.0, *, door=(0.0, 40.0), **of_site):
    job = site(empty(), openings=(Opening(title="Kitchen door", x=door[0], y=door[1]),), **of_site)
    return with_feature(job, "fire", "fire-wood", x=x, y=y)


@pytest.mark.parametrize(
    ("wind", "goes"), [("north", True), ("northeast", True), ("northwest", True), ("south", False), ("east", False)]
)
def test_smoke_goes_with_the_wind_to_a_door(wind, goes):
    # the door lies 20 ft south of the fire; smoke spreads 45° to either side
    assert bool(told(fire(door=(0.0, 40.0), wind_from=wind), "smoke-wind")) == goes


def test_smoke_spreads_to_either_side_reaches_so_far_and_turns_with_north():
    aside = fire(door=(13.9, 46.0), wind_from="north")  # 14 ft south, 13.9 east: within 45°
    assert told(aside, "smoke-wind")
    assert not told(fire(door=(14.2, 46.0), wind_from="north"), "smoke-wind")
    assert told(fire(y=69.9, wind_from="north"), "smoke-wind")
    assert not told(fire(y=70.0, wind_from="north"), "smoke-wind")  # 30 ft
    turned = fire(door=(-20.0, 60.0), wind_from="north", north=90.0)  # north lies to the right: smoke goes left
    assert told(turned, "smoke-wind")
    assert not told(fire(wind_from="north", north=90.0), "smoke-wind")


def test_smoke_is_told_of_seats_and_of_grills_and_asked_for_where_the_wind_is_not_known():
    job = with_zone(site(empty(), wind_from="west"), "A", rectangle(10, 10, at=(10, 55)), kind=ZoneKind.DINING)
    assert told(with_feature(job, "grill", "grill", x=0.0, y=60.0), "smoke-wind")
    assert not told(with_feature(job, "grill", "grill", x=30.0, y=60.0), "smoke-wind")
    assert not told(with_feature(job, "gas", "fire-gas", x=0.0, y=60.0), "smoke-wind")
    (one,) = told(fire(), "smoke-wind")
    assert one.severity.value == "not checked"
    assert not told(job, "smoke-wind")


def sink(at, long=8.0):
    job = with_run(empty(), "counter", "counter-block", points=((0.0, 50.0), (long, 50.0)))
    return with_feature(job, "sink", "sink", x=at, y=50.0)


def test_counter_beside_a_sink_is_long_on_one_side_and_some_on_the_other():
    # 2 ft of sink: 24 in on one side, 18 in on the other (kitchen planning guidelines)
    assert not told(sink(2.5, long=5.5), "sink-long")  # 18 and 24 in
    assert told(sink(2.4, long=5.5), "sink-long")
    assert told(sink(2.5, long=5.4), "sink-long")
    assert not told(with_feature(empty(), "sink", "sink", x=0.0, y=0.0), "sink-long")


def test_counter_beside_a_refrigerator_on_one_side_and_its_weight_in_the_hours():
    # 2 ft wide, 15 in on the handle side (kitchen planning guidelines)
    job = with_run(empty(), "counter", "counter-block", points=((0.0, 50.0), (3.25, 50.0)))
    assert not told(with_feature(job, "ice", "kitchen-appliance", x=1.0, y=50.0), "appliance-side")
    assert not told(with_feature(job, "ice", "kitchen-appliance", x=2.25, y=50.0), "appliance-side")
    assert told(with_feature(job, "ice", "kitchen-appliance", x=1.6, y=50.0), "appliance-side")

    def hours(weight):
        heavy = with_feature(empty(), "ice", "kitchen-appliance", x=1.0, y=50.0)
        set_on = replace(heavy, works=tuple(replace(one, parameters={"weight": weight}) for one in heavy.works))
        return {one.key: one.amount for one in requirements(set_on, BASIS)[0]}["set-appliance"]

    assert [hours(one) for one in ("200*lb", "201*lb", "500*lb")] == [1, 2, 3]


def test_top_that_reaches_far_over_is_told_and_gets_its_brackets():
    job = with_run(
        empty(), "bar", "counter-block", points=((0.0, 50.0), (8.0, 50.0)), parameters={"overhang": "10*inch"}
    )
    assert not told(job, "counter-overhang")
    over = replace(job, works=tuple(replace(one, parameters={"overhang": "12*inch"}) for one in job.works))
    assert told(over, "counter-overhang")
    counted = {one.key: one.amount for one in requirements(over, BASIS)[0]}
    assert counted["counter-bracket"] == 5  # one in 2 ft of 8 ft, and one more
    assert "counter-bracket" not in {one.key for one in requirements(job, BASIS)[0]}


def test_gas_in_a_counter_says_what_a_bottles_vents_come_to():
    job = with_run(empty(), "counter", "counter-block", points=((0.0, 50.0), (8.0, 50.0)))
    assert not told(job, "bottle-vents")
    (one,) = told(with_feature(job, "grill", "grill", x=4.0, y=50.5), "bottle-vents")
    assert "20 sq in at the top and 10 sq in at the floor" in one.measured  # 1 and 1/2 sq in a pound of 20 lb
    assert not told(with_feature(job, "grill", "grill", x=4.0, y=60.0), "bottle-vents")
