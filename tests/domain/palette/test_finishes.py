"""A work is named by the finishes that are seen of it."""

from types import SimpleNamespace
from uuid import UUID

import pytest

from app.domain.job import PlaceKind, Work
from app.domain.palette import finishes_named
from tests.stocked import stocked_basis

WORK = UUID(int=7)


def named(assembly: str, *keys: str) -> tuple[str, ...]:
    lines = tuple(SimpleNamespace(work_id=str(WORK), kind="material", key=key) for key in keys)
    work = Work(id=WORK, place=PlaceKind.FEATURE, place_id=UUID(int=8), assembly=assembly)
    return finishes_named(stocked_basis(), SimpleNamespace(lines=lines), work)  # type: ignore[arg-type]


@pytest.mark.parametrize("assembly", ["tree", "shrub", "planting-bed"])
def test_plants_are_not_named_by_the_mulch_around_them(assembly: str) -> None:
    assert named(assembly, "mulch-cedar") == ()


def test_mulch_that_is_the_surface_is_named() -> None:
    assert named("mulch-layer", "mulch-cedar") == ("Shredded cedar, natural",)


def test_material_nobody_sees_is_not_named() -> None:
    basis = stocked_basis()
    hidden = next(key for key, one in basis.materials.items() if not one.finish)
    assert named("unit-pavers", hidden, "paver-brick-clay") == (basis.materials["paver-brick-clay"].title,)
