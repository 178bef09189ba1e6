"""Depths as the crew tapes them, worked by hand; the recipe is tests/domain/takeoff/recipes.py."""

from dataclasses import replace

import pytest

from app.domain.basis import CostClass
from app.domain.crew import LayerKind, crew_sheets
from app.domain.crew.layers import LIFT
from app.domain.units import LENGTH
from app.interchange.library_file import load_library
from app.services.crew_pages import size_words
from tests.domain.takeoff.recipes import BASIS
from tests.domain.takeoff.yards import JOB, work
from tests.plans import yards

HAULED = replace(
    BASIS,
    materials={
        **BASIS.materials,
        "haul-soil": replace(BASIS.materials["haul-soil"], cost_class=CostClass.HAULING),
    },
)


def terrace(job=JOB, basis=HAULED):
    return crew_sheets(job, basis)[0].works[0]


def inches(layer):
    return None if layer.thickness is None else round(layer.thickness * 12, 6)


def test_layers_of_a_paved_zone_lie_from_the_dig_up():
    # by hand: 6 in base + 1 in bedding + 2 3/8 in paver = 9 3/8 in dug
    assert [(layer.kind, layer.role, inches(layer)) for layer in terrace().layers] == [
        (LayerKind.DIG, "soil haul", 9.375),
        (LayerKind.SHEET, "separation fabric", None),
        (LayerKind.LAID, "base stone", 6),
        (LayerKind.LAID, "bedding", 1),
        (LayerKind.LAID, "finish", 2.375),
    ]


@pytest.mark.parametrize(("base", "lifts"), [("4*inch", 1), ("6*inch", 2), ("8*inch", 2), ("12*inch", 3)])
def test_base_is_laid_in_lifts_of_four_inches_at_most(base, lifts):
    # Interlocking Concrete Pavement Institute, tolerances; Brick Industry Association: lifts of 4 in at most
    job = replace(JOB, works=(work(100, parameters={"base": base}),))
    stone = next(layer for layer in terrace(job).layers if layer.role == "base stone")
    assert stone.lifts == lifts
    assert stone.thickness / lifts <= LIFT + 1e-9


def test_deeper_base_digs_deeper_by_as_much():
    deeper = terrace(replace(JOB, works=(work(100, parameters={"base": "8*inch"}),)))
    assert inches(deeper.layers[0]) == 11.375


def test_other_finish_digs_by_its_own_thickness():
    slab = terrace(replace(JOB, works=(work(100, finishes={"finish": "slab"}),)))
    assert inches(slab.layers[0]) == 9  # 6 + 1 + 2 in
    assert slab.layers[-1].title == "Slab, ivory"


def test_sizes_are_told_once_and_not_those_the_layers_show():
    found = [(size.label, size.dimension == LENGTH) for size in terrace().sizes]
    assert found == [("Base beyond the edge", True), ("Ground dug", False)]


def test_measures_of_the_place_are_area_and_outline():
    assert [(size.label, size.value) for size in terrace().measures] == [("Area", 288), ("Outline", 68)]


@pytest.mark.parametrize(
    "surface",
    ["unit-pavers", "unit-pavers-medium", "unit-pavers-large", "stone-on-base", "concrete-slab", "gravel-surface"],
)
def test_layers_of_a_shipped_surface_fill_the_dig(surface):
    # geometry: the finish is flush with the ground, so what is dug out is what is laid in
    laid = terrace(replace(JOB, works=(work(100, surface),)), load_library().basis()).layers
    dug = sum(layer.thickness for layer in laid if layer.kind is LayerKind.DIG)
    assert dug > 0
    assert sum(layer.thickness or 0 for layer in laid if layer.kind is LayerKind.LAID) == pytest.approx(dug)


def test_binder_mixed_into_a_layer_is_no_layer_of_its_own():
    laid = terrace(replace(JOB, works=(work(100, "stone-fines-surface"),)), load_library().basis()).layers
    assert [layer.role for layer in laid if layer.kind is LayerKind.LAID] == ["base stone", "surface fines"]


def test_courses_of_a_wall_stand_among_its_sizes():
    # 18 in high and 6 in buried, courses of 6 in: 4
    job = yards.with_run(yards.empty(), "Seat", "seat-wall", points=((0, 0), (8, 0)), height=1.5)
    (work,) = [one for sheet in crew_sheets(job, yards.basis()) for one in sheet.works]
    courses = next(size for size in work.sizes if size.label == "Courses")
    assert size_words(courses, "feet") == "4"
