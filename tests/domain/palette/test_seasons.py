"""What blooms when, by the plant table and the beds that are built."""

from dataclasses import replace

from app.domain.job import Planting, ZoneKind
from app.domain.palette.seasons import GREEN, Showing, by_season
from app.domain.plan import rectangle
from app.domain.seen.scene import scene_of
from app.interchange.seen_shapes import seen_shapes
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
    assert told == {"Spring": (Showing(spring.common, spring.colors),), GREEN: (Showing(green.common),)}


def test_one_that_blooms_over_two_seasons_stands_in_both() -> None:
    book = basis()
    long = next(one for one in book.plants.values() if {8, 9} <= set(one.bloom) and 5 not in one.bloom)
    assert {"Summer", "Fall"} <= {
        season for season, names in by_season(bed(long.key), book) if Showing(long.common, long.colors) in names
    }


def test_beds_that_are_left_out_or_without_a_list_say_nothing() -> None:
    book, job = basis(), bed("amelanchier-laevis")
    assert by_season(job, book)
    out = replace(job, zones=tuple(replace(zone, left_out=True) for zone in job.zones))
    assert by_season(out, book) == by_season(bed(), book) == ()


def test_a_yard_is_seen_in_the_bloom_of_a_month_and_in_leaf_without_one() -> None:
    book, shapes = basis(), seen_shapes()
    shrub, small = "hydrangea-quercifolia", "phlox-subulata"
    job = bed(shrub, small)
    leaf, may, june = (scene_of(job, book, shapes, grown=True, month=month) for month in (0, 5, 6))
    tops = [{one.key.split(":")[0]: one.top_color for one in scene.solids} for scene in (leaf, may, june)]
    assert [one["plant"] for one in tops] == ["", "#ffffff", "#ffffff"]  # white from May to July, as the table says
    assert [bool(one["bed"]) for one in tops] == [False, True, False]  # the phlox is over by June
    assert [name for name, _ in may.blooming] == [book.plants[key].common for key in (shrub, small)]
    assert not leaf.blooming
