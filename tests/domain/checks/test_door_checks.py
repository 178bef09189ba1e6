"""Doors of the house: thresholds typed or by the rod, the drop there, steps, sill and landing.

The house's back wall lies at y = 20 (`tests.plans.yards`); a terrace of 20 by 12 ft lies along it.
"""

from dataclasses import replace

import pytest

from app.domain.checks import check
from app.domain.costing.explain_measures import measured
from app.domain.findings import Severity
from app.domain.job import EdgeChoice, LevelSetup, Mark, Opening, RodReading
from app.domain.plan import rectangle
from app.domain.takeoff.meeting import meetings
from app.domain.takeoff.requirements import requirements
from app.domain.takeoff.surroundings import Surroundings
from tests.plans.yards import basis, empty, named, site, with_edge, with_zone

INCH = 1 / 12


def terrace(*doors: Opening, level: float | None = 0.0, assembly: str = "unit-pavers"):
    job = with_zone(empty(), "A", rectangle(20, 12, at=(0, 20)), assembly, level=level)
    return site(job, openings=doors)


def door(inches: float | None, title: str = "Kitchen door", x: float = 8.0, y: float = 20.0, **more) -> Opening:
    return Opening(title=title, x=x, y=y, width=3.0, level=None if inches is None else inches * INCH, **more)


def of(rule, job):
    return [one for one in check(job, basis()) if one.rule == rule]


def at_house(job):
    (met,) = [one for one in meetings(job) if one.neighbor == "house"]
    return met


def test_stretch_with_a_door_knows_the_drop_at_its_threshold() -> None:
    met = at_house(terrace(door(13), level=2 * INCH))
    assert (met.drop.mean, met.doors[0].down) == pytest.approx((-11 * INCH, 11 * INCH))
    assert at_house(terrace()).drop is None
    assert at_house(terrace(door(None))).drop is None
    assert at_house(terrace(door(13), level=None)).drop is None


@pytest.mark.parametrize(("y", "on"), [(20.0, True), (19.5, True), (21.0, True), (21.1, False), (15.0, False)])
def test_door_is_on_the_stretch_it_lies_at(y, on) -> None:
    assert bool(at_house(terrace(door(13, y=y))).doors) is on


def test_door_of_two_zones_is_on_the_nearer() -> None:
    job = with_zone(terrace(door(13, x=25)), "B", rectangle(10, 12, at=(20, 20)), level=0.0)
    doors = {met.zone_id: len(met.doors) for met in meetings(job) if met.neighbor == "house"}
    assert doors == {named("zone A"): 0, named("zone B"): 1}


def test_threshold_by_the_rod_counts_while_none_is_typed() -> None:
    """Instrument at 5.00 ft over a benchmark at 0; 4.00 ft read on the sill: 1.00 ft. Source: arithmetic of leveling."""
    bench = Mark(id=named("bench"), title="Nail", x=0, y=0, level=0.0)
    sill = Mark(
        id=named("sill"),
        title="Sill",
        x=8,
        y=20,
        on_ground=False,
        rods=(RodReading(setup_id=named("setup"), reading=4.0),),
    )
    setup = LevelSetup(id=named("setup"), benchmark_id=bench.id, backsight=5.0)
    job = replace(terrace(door(None, mark_id=sill.id)), marks=(bench, sill), level_setups=(setup,))
    assert at_house(job).drop.mean == pytest.approx(-1.0)
    typed = replace(job, site=replace(job.site, openings=(door(6, mark_id=sill.id),)))
    assert at_house(typed).drop.mean == pytest.approx(-0.5)
    assert at_house(replace(job, marks=(bench,))).drop is None


def test_surface_that_falls_is_taken_at_the_door() -> None:
    """2 % away from the house, the level typed for the middle of the terrace, 6 ft out: 0.12 ft higher at the wall."""
    job = with_zone(empty(), "A", rectangle(20, 12, at=(0, 20)), "unit-pavers", level=0.0, fall=0.02, fall_bearing=0.0)
    met = at_house(site(job, openings=(door(12),)))
    assert met.doors[0].finish == pytest.approx(0.12)
    assert met.drop.mean == pytest.approx(-0.88)


def test_of_two_doors_the_larger_step_is_the_drop() -> None:
    met = at_house(terrace(door(5), door(14, "Sliding door", x=15)))
    assert (met.drop.mean, met.drop.most) == pytest.approx((-14 * INCH, -5 * INCH))


def test_drop_that_was_typed_for_the_edge_overrules_the_doors() -> None:
    job = with_edge(terrace(door(13)), "A", "house", drop=-0.5)
    assert at_house(job).drop.mean == -0.5


def test_steps_at_the_door_are_counted_by_its_threshold() -> None:
    """20 in with risers of 6 in: four, the last one on the threshold; stones of 4 ft. Source: arithmetic."""
    job = with_edge(terrace(door(20)), "A", "house", "steps-at-edge", choice=EdgeChoice.BUILT)
    sizes = {"width": "4*foot", "on_top": "1"}
    job = replace(job, works=(*job.works[:-1], replace(job.works[-1], parameters=sizes)))
    assert Surroundings(job).edge_drop(job.edges[0]) == pytest.approx(20 * INCH)
    stone = [one.amount for one in requirements(job, basis())[0] if one.role == "step stone"]
    assert stone == pytest.approx([12.0])


def test_wall_without_a_door_takes_no_drop_from_an_edge_that_has_one() -> None:
    """The terrace meets the house along two stretches, left and right of a bed; one has the door."""
    job = with_zone(terrace(door(13, x=2)), "B", rectangle(4, 4, at=(8, 20)), level=0.0)
    cut = rectangle(20, 12, at=(0, 20))
    job = replace(job, alternatives=(replace(job.alternatives[0], outline=cut), job.alternatives[1]))
    job = with_edge(job, "A", "house", "steps-at-edge", choice=EdgeChoice.BUILT)
    assert Surroundings(job).edge_drop(job.edges[0]) == pytest.approx(13 * INCH)


@pytest.mark.parametrize(("inches", "told"), [(7.75, 0), (7.8, 1), (20, 1)])
def test_step_higher_than_a_riser_at_a_door_is_told_with_the_steps_it_wants(inches, told) -> None:
    """Limit: International Residential Code R311.3.1, 7 3/4 in below the threshold (from memory)."""
    assert len(of("door-step", terrace(door(inches)))) == told


def test_remedy_names_the_flight_and_steps_on_the_edge_answer() -> None:
    (found,) = of("door-step", terrace(door(13)))
    assert 'Put 2 risers of 6 1/2", treads of 1\'-1" on the edge to the house' in found.remedy
    assert "Kitchen door" in found.what
    job = with_edge(terrace(door(13)), "A", "house", "steps-at-edge", choice=EdgeChoice.BUILT)
    assert of("door-step", job) == []
    assert len(of("door-step", with_edge(terrace(door(13)), "A", "house", "joint-to-house"))) == 1


def test_door_whose_threshold_or_surface_is_not_known_is_not_checked() -> None:
    (sill,) = of("door-step", terrace(door(None)))
    assert (sill.severity, sill.where) == (Severity.NOT_CHECKED, "site")
    (finish,) = of("door-step", terrace(door(13), level=None))
    assert (finish.severity, finish.where) == (Severity.NOT_CHECKED, f"zone:{named('zone A')}")
    assert of("door-step", terrace(door(None), assembly="planting-bed")) == []


@pytest.mark.parametrize(("inches", "told"), [(4, 0), (3.9, 1), (-1, 1)])
def test_paving_stays_below_the_sill_or_a_drain_takes_the_water(inches, told) -> None:
    assert len(of("door-sill", terrace(door(inches)))) == told
    drained = with_edge(terrace(door(inches)), "A", "house", "drain-at-edge", choice=EdgeChoice.BUILT)
    assert of("door-sill", drained) == []


def test_paving_above_the_sill_says_so() -> None:
    (found,) = of("door-sill", terrace(door(-1)))
    assert found.measured == 'Kitchen door 1" above the threshold'


@pytest.mark.parametrize(("inches", "told"), [(13, 0), (20, 1)])
def test_more_than_two_risers_at_a_door_want_a_landing(inches, told) -> None:
    """Source: International Residential Code R311.3, from memory."""
    job = with_edge(terrace(door(inches)), "A", "house", "steps-at-edge", choice=EdgeChoice.BUILT)
    assert len(of("door-landing", job)) == told


def test_risers_that_make_more_than_the_drop_are_told() -> None:
    """Three risers of 6 in make 18 in of a drop of 13 in: the last would be 1 in. Source: arithmetic."""
    job = with_edge(terrace(door(13)), "A", "house", "steps-at-edge", choice=EdgeChoice.BUILT)
    (found,) = of("steps-alike", job)
    assert found.measured == 'one riser lower by 5"'
    assert 'Set the riser to 4 5/16"' in found.remedy
    even = replace(job, works=(*job.works[:-1], replace(job.works[-1], parameters={"riser": "6.5*inch"})))
    assert of("steps-alike", even) == []


def test_drop_at_the_door_opens_to_threshold_and_level() -> None:
    job = terrace(door(13), door(None, "Sliding door", x=15), level=2 * INCH)
    told = measured(job, f"edge:{named('zone A')}:house:drop")
    assert [step.label for step in told.steps] == ["Kitchen door", "Sliding door"]
    assert told.steps[0].filled == "0.1667 − 1.0833"
    assert told.steps[1].expression == "not known: its threshold"
