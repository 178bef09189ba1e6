"""What blooms when, by the plant table and the beds that are built."""

from dataclasses import replace

from app.domain.job import Planting, ZoneKind
from app.domain.palette.seasons import GREEN, by_season
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, named, with_zone


def bed(*species: str):
    job = with_zone(empty(), "P", rectangle(20, 8, at=(0, 20)), "planting-bed", kind=ZoneKind.PLANTING)
    rows = tuple(Planting(id=named(key), alternative_id=named("way P"), species=key) for key in species)
    return replace(job, plantings=rows)


def test_plants_are_named_by_the_season_they_bloom_in_and_evergreens_apart() -> None:
    book = basis()
    spring = next(one for one in book.plants.values() if one.bloom == (4,) and not one.evergreen)
    green = next(one for one in book.plants.values() if one.evergreen and not one.bloom)
    told = dict(by_season(bed(spring.key, green.key, "no-such-plant"), book))
    assert told == {"Spring": (spring.common,), GREEN: (green.common,)}


def test_one_that_blooms_over_two_seasons_stands_in_both() -> None:
    book = basis()
    long = next(one for one in book.plants.values() if {8, 9} <= set(one.bloom) and 5 not in one.bloom)
    assert {"Summer", "Fall"} <= {season for season, names in by_season(bed(long.key), book) if long.common in names}


def test_beds_that_are_left_out_or_without_a_list_say_nothing() -> None:
    book, job = basis(), bed("amelanchier-laevis")
    assert by_season(job, book)
    out = replace(job, zones=tuple(replace(zone, left_out=True) for zone in job.zones))
    assert by_season(out, book) == by_season(bed(), book) == ()
