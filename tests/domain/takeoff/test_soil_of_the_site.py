"""The soil of the site makes what is dug out swell: recipes read it, and only what rests on it is worked out again."""

from dataclasses import replace

import pytest

from app.domain.job import PlaceKind, Work
from app.domain.takeoff.explained import explain_requirement
from app.domain.takeoff.requirements import requirements
from app.interchange.library_file import load_library
from tests.domain.takeoff.yards import JOB, PLAIN, key

BASIS = load_library().basis()
DIG = Work(id=key(700), place=PlaceKind.ALTERNATIVE, place_id=PLAIN.id, assembly="excavate-and-haul")


def hauled(soil: str, work: Work = DIG) -> float:
    job = replace(JOB, works=(work,), site=replace(JOB.site, soil=soil))
    return next(one.amount for one in requirements(job, BASIS)[0] if one.role == "soil haul")


def test_clay_makes_more_loose_soil_than_sand():
    loam, clay, sand = hauled("loam"), hauled("clay"), hauled("sand")
    assert (clay / loam, sand / loam) == (pytest.approx(1.43 / 1.25), pytest.approx(1.11 / 1.25))
    assert hauled("") == loam


def test_swell_typed_for_a_work_stands():
    assert hauled("clay", replace(DIG, parameters={"swell": "1.3"})) == pytest.approx(hauled("loam") * 1.04)


def test_swell_opens_to_the_soil_of_the_site():
    job = replace(JOB, works=(DIG,), site=replace(JOB.site, soil="clay"))
    index = next(one.index for one in requirements(job, BASIS)[0] if one.role == "soil haul")
    trace = explain_requirement(job, BASIS, DIG.id, index)
    swell = next(one for one in trace.steps if one.label == "Loose over bank volume")
    assert swell.result == 1.43
    assert any("soil of the site" in one.source for one in swell.steps)
