"""What a decided edge builds, the surface beside it does not build again; what it leaves, the surface still builds."""

from dataclasses import replace
from math import fsum

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.job import EdgeChoice, PlaceKind
from app.domain.plan import rectangle
from app.domain.takeoff.explained import TakeoffTraces
from app.domain.takeoff.holding import Held
from app.domain.takeoff.meeting import meetings
from app.domain.takeoff.requirements import requirements
from app.domain.takeoff.surroundings import Surroundings
from app.domain.takeoff.vocabulary import SHARED_KINDS
from tests.plans.yards import basis, empty, named, site, with_edge, with_work, with_zone

HOLDING = ("edge-to-lawn", "edge-steel", "edge-stone", "edge-soldier", "edge-curb", "drain-at-edge")
NOT_HOLDING = ("edge-drip-strip", "flush-edge")


def terrace(assembly: str = "unit-pavers"):
    """20 by 12 ft in open ground: 64 ft of open edge."""
    return with_zone(empty(house=None), "A", rectangle(20, 12), assembly)


def amount(job, role: str, own: str = "") -> float:
    found = requirements(job, basis())[0]
    return fsum(one.amount for one in found if one.role == role and (not own or one.assembly == own))


def between_two(assembly: str = "unit-pavers"):
    """A surface with a bed at its east and west: open ground along two stretches of 20 ft, north and south."""
    job = with_zone(terrace(assembly), "B", rectangle(5, 12, at=(20, 0)))
    return with_zone(job, "C", rectangle(5, 12, at=(-5, 0)))


def test_edge_to_lawn_all_around_is_held_once() -> None:
    job = with_edge(terrace(), "A", "ground", "edge-to-lawn", choice=EdgeChoice.BUILT)
    assert amount(terrace(), "edge restraint") == pytest.approx(64)
    assert amount(job, "edge restraint") == amount(job, "edge restraint", "edge-to-lawn") == pytest.approx(64)


@pytest.mark.parametrize("recipe", HOLDING)
def test_edge_that_holds_takes_the_place_of_the_restraint_of_the_surface(recipe) -> None:
    job = with_edge(terrace(), "A", "ground", recipe, choice=EdgeChoice.BUILT)
    assert amount(job, "edge restraint", "unit-pavers") == 0
    kept = {one.key for one in requirements(job, basis())[0] if one.assembly == "unit-pavers"}
    assert "set-edge" not in kept
    assert "lay-pavers" in kept


@pytest.mark.parametrize("recipe", NOT_HOLDING)
def test_edge_that_holds_nothing_leaves_the_restraint_to_the_surface(recipe) -> None:
    job = with_edge(terrace(), "A", "ground", recipe, choice=EdgeChoice.BUILT)
    assert amount(job, "edge restraint", "unit-pavers") == pytest.approx(64)


def test_nothing_decided_leaves_the_restraint_to_the_surface() -> None:
    job = with_edge(terrace(), "A", "ground", choice=EdgeChoice.NOTHING)
    assert amount(job, "edge restraint") == pytest.approx(64)


def test_one_of_two_stretches_is_held_by_the_edge_the_other_by_the_surface() -> None:
    job = with_edge(between_two(), "A", "ground", "edge-steel", choice=EdgeChoice.BUILT, at=(10, 0))
    assert amount(between_two(), "edge restraint") == pytest.approx(40)
    assert amount(job, "edge restraint") == pytest.approx(20)
    assert amount(job, "steel edging") == pytest.approx(20)


STEPS = {"choice": EdgeChoice.BUILT, "drop": 1.0}


@pytest.mark.parametrize(("width", "left"), [("5*foot", 35), ("8*foot", 32), ("60*foot", 20), ("length", 20)])
def test_steps_at_open_ground_take_as_much_restraint_as_they_are_wide(width, left) -> None:
    """Two stretches of 20 ft lie open; where steps lead down there is no edge to restrain. Source: by hand."""
    job = with_edge(between_two(), "A", "ground", at=(10, 0), **STEPS)
    job = with_work(job, PlaceKind.EDGE, named("edge A ground"), "steps-at-edge", {"width": width})
    assert amount(job, "edge restraint") == pytest.approx(left)


def test_steps_say_what_they_hold_and_a_wider_flight_is_seen() -> None:
    job = with_edge(between_two(), "A", "ground", "steps-at-edge", at=(10, 0), **STEPS)
    assert amount(job, "edge restraint") == pytest.approx(35)  # 5 ft wide as the recipe begins
    restraint = next(one for one in requirements(job, basis())[0] if one.role == "edge restraint")
    (step,) = TakeoffTraces(job, basis()).of(restraint.work_id, restraint.index).steps
    assert step.source.endswith("40 ft, less 5 ft that “Steps where two levels meet” holds")
    typed = replace(job, edges=(replace(job.edges[0], length=12.0),))
    assert amount(typed, "edge restraint") == pytest.approx(20 + 12 - 5)


def test_steps_at_a_door_leave_the_joint_to_the_slab() -> None:
    slab = with_zone(empty(), "A", rectangle(20, 12, at=(0, 20)), "concrete-slab")
    job = with_edge(slab, "A", "house", "steps-at-edge", **STEPS)
    assert amount(job, "joint strip") == amount(slab, "joint strip") == pytest.approx(20)


def test_typed_length_of_a_held_edge_is_no_length_of_the_surface() -> None:
    job = with_edge(between_two(), "A", "ground", "edge-steel", choice=EdgeChoice.BUILT, at=(10, 0), length=23.0)
    assert (amount(job, "edge restraint"), amount(job, "steel edging")) == pytest.approx((20, 23))


def test_slab_is_formed_whatever_comes_along_its_edge() -> None:
    job = with_edge(terrace("concrete-slab"), "A", "ground", "edge-steel", choice=EdgeChoice.BUILT)
    assert amount(job, "form board", "concrete-slab") == pytest.approx(64)


def test_joint_at_the_house_is_paid_once() -> None:
    slab = with_zone(empty(), "A", rectangle(20, 12, at=(0, 20)), "concrete-slab")
    job = with_edge(slab, "A", "house", "joint-to-house", choice=EdgeChoice.BUILT)
    assert amount(slab, "joint strip") == amount(job, "joint strip") == pytest.approx(20)


def test_base_of_an_edge_ends_the_base_of_the_surface() -> None:
    """272.785 sq ft grown by 6 in all around; along an edge with a base of its own the outline's 240. Source: geometry."""
    job = with_edge(terrace(), "A", "ground", "edge-soldier", choice=EdgeChoice.BUILT)
    deep = 0.5  # ft, the recipe's base and its reach past the edge
    assert amount(terrace(), "base stone") == pytest.approx(272.785 * deep, abs=1e-3)
    assert amount(job, "base stone", "unit-pavers") == pytest.approx(240 * deep, abs=1e-3)
    steel = with_edge(terrace(), "A", "ground", "edge-steel", choice=EdgeChoice.BUILT)
    assert amount(steel, "base stone") == pytest.approx(272.785 * deep, abs=1e-3)


def test_base_of_an_edge_along_one_side_ends_it_there_alone() -> None:
    """Two sides of 20 ft are open: 6 in beyond each of them is 10 sq ft. Source: geometry, but for the corners."""
    job = with_edge(between_two(), "A", "ground", "edge-soldier", choice=EdgeChoice.BUILT, at=(10, 0))
    assert amount(between_two(), "base stone", "unit-pavers") == pytest.approx((240 + 20) * 0.5, abs=0.4)
    assert amount(job, "base stone", "unit-pavers") == pytest.approx((240 + 10) * 0.5, abs=0.2)


def test_explanation_says_what_a_decided_edge_holds() -> None:
    job = with_edge(between_two(), "A", "ground", "edge-steel", choice=EdgeChoice.BUILT, at=(10, 0))
    needed = requirements(job, basis())[0]
    restraint = next(one for one in needed if one.role == "edge restraint")
    told = TakeoffTraces(job, basis()).of(restraint.work_id, restraint.index)
    (step,) = told.steps
    assert step.source == "shared edges of the outlines: 40 ft, less 20 ft that “Steel edging along the edge” holds"
    assert step.result == pytest.approx(20)


def test_edit_of_an_edge_moves_the_surface_beside_it() -> None:
    """What is kept of a surface rests on the edges that hold it: deciding one and taking it back is seen."""
    job = with_edge(terrace(), "A", "ground", choice=EdgeChoice.BUILT)
    decided = with_work(job, PlaceKind.EDGE, named("edge A ground"), "edge-steel")
    for one, restraint in ((job, 64), (decided, 0), (job, 64)):
        assert amount(one, "edge restraint") == pytest.approx(restraint)


LENGTHS = st.one_of(st.none(), st.floats(0.5, 30).map(lambda feet: round(feet, 2)))
DECIDED = st.tuples(st.sampled_from(["A", "B"]), st.sampled_from(["ground", "house", "zone", "ground north"]), LENGTHS)


@given(st.lists(DECIDED, max_size=6, unique_by=lambda one: one[:2]), st.sets(st.integers(0, 5)))
@settings(max_examples=60, deadline=None)
def test_decided_and_undecided_lengths_add_up_to_the_open_length(edges, holds) -> None:
    job = with_zone(site(terrace(), house=rectangle(20, 10, at=(0, -10))), "B", rectangle(9, 12, at=(20, 0)))
    for letter, neighbor, length in edges:
        across = ("B" if letter == "A" else "A") if neighbor == "zone" else neighbor.split()[0]
        at = ((10, 12) if letter == "A" else (24, 12)) if "north" in neighbor else None
        before = len(job.edges)
        job = with_edge(job, letter, across, choice=EdgeChoice.BUILT, length=length, at=at)
        job = replace(job, edges=(*job.edges[:before], replace(job.edges[-1], id=named(f"{letter} {neighbor}"))))
    held = [Held(edge.id, f"Edge {at}") for at, edge in enumerate(job.edges) if at in holds]
    around = Surroundings(job, holding=held)
    for zone in job.zones:
        for kind in SHARED_KINDS:
            own, by_edges = around.own_edge(zone.id, kind), fsum(around.held(zone.id, kind).values())
            whole = around.shared(zone.id, kind)
            if own > 0 or kind != "ground":
                assert own + by_edges == pytest.approx(whole, abs=1e-6)
            else:  # lengths that were typed may take more from open ground than the edges leave of it
                assert by_edges >= whole - 1e-6
            if all(edge.length is None for edge in job.edges):
                assert own + by_edges == pytest.approx(whole, abs=1e-6)
    nothing = Surroundings(job)
    drawn = fsum(met.stretch.length for met in meetings(job) if met.zone_id == job.zones[0].id)
    assert drawn == pytest.approx(64)
    assert all(
        nothing.own_edge(job.zones[0].id, kind) == nothing.shared(job.zones[0].id, kind) for kind in SHARED_KINDS
    )
