"""Checks of what is planted: both sides of each limit, and each missing input said."""

from dataclasses import replace

import pytest

from app.domain.checks.engine import check
from app.domain.findings import Severity
from app.domain.job import Existing, Planting, RunKind, ZoneKind
from app.domain.plan.shapes import rectangle
from app.domain.takeoff.stocked import stocked
from tests.plans.yards import basis, empty, named, site, with_need, with_run, with_zone

BASIS = basis()


def yard(species, size="5-gal", *, at=((30.0, 30.0),), **of_site):
    job = site(with_zone(empty(), "A", rectangle(60, 60), "planting-bed", kind=ZoneKind.PLANTING), **of_site)
    way = job.alternatives[0].id
    row = Planting(id=named("row"), alternative_id=way, species=species, size=size, pattern="placed", points=at)
    return replace(job, plantings=(row,))


def found(job, rule):
    return [one for one in check(job, stocked(BASIS, job)) if one.rule == rule]


@pytest.mark.parametrize(("zone", "broken"), [("3b", False), ("2b", True), ("9", False), ("10a", True)])
def test_a_plant_lives_in_its_zones_only(zone, broken):
    # Source: US Department of Agriculture, plant hardiness zones; Ilex verticillata 3 to 9, as the table has it
    points = found(yard("ilex-verticillata", usda_zone=zone), "plant-usda-zone")
    assert bool(points) == broken
    assert all("3 to 9" in one.limit for one in points)


def test_without_a_zone_nothing_passes_unseen():
    (one,) = found(yard("ilex-verticillata"), "plant-usda-zone")
    assert one.severity is Severity.NOT_CHECKED
    assert not found(empty(), "plant-usda-zone")


@pytest.mark.parametrize(
    ("words", "told"),
    [("Room for the dog to run", "pets"), ("Our toddlers play here", "people"), ("A quiet place, no category", "")],
)
def test_a_plant_that_harms_is_told_where_children_or_pets_are_in_mind(words, told):
    points = found(with_need(yard("taxus-media"), words), "plant-harm")
    assert bool(points) == bool(told)
    assert all(told in one.what for one in points)
    assert not found(with_need(yard("clethra-alnifolia"), words), "plant-harm")


@pytest.mark.parametrize(
    ("species", "rule", "limit"),
    [
        ("cercis-canadensis", "tree-to-house-small", 10),  # to 30 ft
        ("cladrastis-kentukea", "tree-to-house-medium", 15),  # to 50 ft
        ("quercus-alba", "tree-to-house-large", 20),  # to 80 ft
    ],
)
def test_a_tree_stands_clear_of_the_house_by_its_grown_height(species, rule, limit):
    # Source: Houston Area Urban Forestry Council, where to plant a tree: 10, 15 and 20 ft
    house = rectangle(20, 20, at=(-20.0, 20.0))  # its wall lies at x = 0
    assert not found(yard(species, "7-gal", at=((limit, 30.0),), house=house), rule)
    (near,) = found(yard(species, "7-gal", at=((limit - 0.1, 30.0),), house=house), rule)
    assert "the house" in near.what
    others = {"tree-to-house-small", "tree-to-house-medium", "tree-to-house-large"} - {rule}
    assert not any(found(yard(species, "7-gal", at=((1, 30.0),), house=house), other) for other in others)
    assert found(yard(species, "7-gal", house=None), rule)[0].severity is Severity.NOT_CHECKED


def test_a_tree_stands_clear_of_lines_in_the_ground():
    near = with_run(yard("cercis-canadensis", "7-gal"), "Gas", kind=RunKind.GAS, points=((0, 39.9), (60, 39.9)))
    assert "Gas" in found(near, "tree-to-buried")[0].what
    far = with_run(yard("cercis-canadensis", "7-gal"), "Gas", kind=RunKind.GAS, points=((0, 40), (60, 40)))
    assert not found(far, "tree-to-buried")
    told = Existing(id=named("line"), title="Power", utility="electric", points=((0, 35), (60, 35)))
    assert "Power" in found(replace(yard("cercis-canadensis", "7-gal"), existing=(told,)), "tree-to-buried")[0].what
    assert not found(replace(yard("clethra-alnifolia"), existing=(told,)), "tree-to-buried")


def test_a_tree_stands_clear_of_walls_and_paving():
    wall = with_run(yard("cercis-canadensis", "7-gal"), "Wall", kind=RunKind.WALL, points=((0, 34.9), (60, 34.9)))
    assert found(wall, "tree-to-paving")
    paved = with_zone(yard("cercis-canadensis", "7-gal"), "B", rectangle(10, 10, at=(35, 25)), "unit-pavers")
    assert not found(paved, "tree-to-paving")
    nearer = with_zone(yard("cercis-canadensis", "7-gal"), "B", rectangle(10, 10, at=(34.8, 25)), "unit-pavers")
    assert "Place B" in found(nearer, "tree-to-paving")[0].what


@pytest.mark.parametrize(("species", "told"), [("cornus-kousa", True), ("chionanthus-virginicus", False)])
def test_a_tall_tree_asks_for_a_look_up(species, told):
    # Source: Vermont community forestry: 25 ft at most under or near overhead lines; 30 ft and 20 ft grown
    points = found(yard(species, "7-gal"), "tree-and-overhead")
    assert [one.severity for one in points] == [Severity.NOT_CHECKED] * told


def test_a_grown_shrub_leaves_paths_and_house_free():
    # Viburnum dentatum grows 10 ft wide: 5 ft each way, of which one may reach over
    for gap, told in ((4.0, False), (3.9, True)):
        path = with_zone(yard("viburnum-dentatum"), "P", rectangle(4, 60, at=(30 + gap, 0)), kind=ZoneKind.PATH)
        assert bool(found(path, "plant-over-path")) == told


def test_shrubs_have_half_the_room_they_grow_to():
    assert not found(yard("viburnum-dentatum", at=((30, 30), (35, 30))), "plants-crowded")
    (one,) = found(yard("viburnum-dentatum", at=((30, 30), (34.9, 30))), "plants-crowded")
    assert "49%" in one.what


UNDER_THE_SUN = {"latitude": 40.0, "longitude": -76.0, "house": rectangle(60, 20, at=(0, 60)), "house_height": 24.0}


@pytest.mark.parametrize(
    ("species", "at", "told"),
    [
        ("baptisia-australis", (30.0, 20.0), ""),  # full and part sun, in the open
        ("matteuccia-struthiopteris", (30.0, 20.0), "more"),  # part sun and shade, in the open
        ("lavandula-angustifolia", (30.0, 81.0), "too little"),  # full sun, 1 ft north of a wall of 24 ft
        ("polystichum-acrostichoides", (30.0, 81.0), ""),
    ],
)
def test_plants_have_the_sun_they_want(species, at, told):
    job = yard(species, "1-gal", at=(at,), **UNDER_THE_SUN)
    points = found(job, "plant-sun")
    assert bool(points) == bool(told)
    assert all(told in one.what for one in points)


def test_where_the_sun_is_not_known_that_is_said_once():
    (one,) = found(yard("baptisia-australis", "1-gal", latitude=None), "plant-sun")
    assert one.severity is Severity.NOT_CHECKED
    assert "latitude and longitude" in one.what
