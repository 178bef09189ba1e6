"""How a zone is drawn follows what is chosen for it, though it is kept while nothing of that changes."""

from dataclasses import replace
from uuid import UUID

from app.domain.basis import Basis
from app.domain.job import Choice, Zone
from app.domain.palette.surfaces import surface_of
from app.interchange.library_file import load_library
from bench.estimate import job

LIBRARY = load_library().basis()
YARD = job(4)


def paved() -> tuple[Zone, str, str]:
    """A zone whose surface is a finish, the role of that, and another finish for the role."""
    for zone in YARD.zones:
        shown = surface_of(YARD, LIBRARY, zone).material
        role = LIBRARY.materials[shown].role if shown else ""
        others = [one.key for one in LIBRARY.materials.values() if one.role == role and one.finish and one.color]
        if role and len(others) > 1:
            return zone, role, next(key for key in others if key != shown)
    raise AssertionError("no zone of this job shows a finish")


def test_surface_is_the_finish_that_is_chosen_now() -> None:
    zone, role, other = paved()
    before = surface_of(YARD, LIBRARY, zone)
    choice = Choice(id=UUID(int=1), role=role, material=other, zone_id=zone.id)
    assert surface_of(replace(YARD, choices=(choice,)), LIBRARY, zone).material == other != before.material
    assert surface_of(YARD, LIBRARY, zone) is before


def test_surface_follows_the_color_in_the_library() -> None:
    zone, _, _ = paved()
    before = surface_of(YARD, LIBRARY, zone)
    red = replace(LIBRARY.materials[before.material], color="#aa2211", blend={})
    repainted: Basis = replace(LIBRARY, materials={**LIBRARY.materials, before.material: red})
    assert surface_of(YARD, repainted, zone).color != before.color
