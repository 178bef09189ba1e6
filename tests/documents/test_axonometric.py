"""The drawing of the yard: to scale, the same to the byte, from eight corners, in every light, nothing private in it."""

import re
from dataclasses import replace
from datetime import date
from math import hypot
from xml.etree import ElementTree as ET

import pytest
import shapely

from app.documents.axonometric import Sight, axonometric_svg, frame_of
from app.documents.axonometric_letters import Lettered, placed
from app.domain.job import EdgeChoice, Fate, Job, RunKind, ZoneKind
from app.domain.plan import rectangle
from app.domain.seen.convex import polygon_of
from app.domain.seen.ordering import back_to_front
from app.domain.seen.scene import scene_of
from app.domain.seen.solids import CORNERS, Lamp, Scene, Solid, turned
from app.interchange.seen_shapes import seen_shapes
from tests.plans.yards import basis, empty, named, with_edge, with_existing, with_feature, with_run, with_zone

A = (Lettered("A", f"zone:{named('zone A')}", (10.0, 26.0), 0.5),)
SECRET = "never to be seen 4711"


def yard() -> Job:
    job = replace(empty(), site=replace(empty().site, lot=rectangle(80, 80, at=(-10, -10)), house_height=16.0))
    job = with_zone(job, "A", rectangle(20, 12, at=(0, 20)), "unit-pavers", level=0.5)
    job = with_zone(job, "B", rectangle(20, 12, at=(20, 20)), "sod-lawn", kind=ZoneKind.LAWN, level=-1.0)
    job = with_run(job, "wall", "seat-wall", kind=RunKind.WALL, points=((0.0, 32.0), (20.0, 32.0)), height=1.5)
    job = with_feature(job, "column", "column", x=4.0, y=28.0, zone_id=named("zone A"))
    job = with_feature(job, "tree", "tree", x=30.0, y=28.0)
    job = with_feature(job, "light", "path-light", x=10.0, y=25.0)
    job = with_feature(job, "table", x=14.0, y=25.0)
    job = with_existing(job, "Oak", "tree", fate=Fate.STAYS, x=-5.0, y=40.0, height=30.0, spread=20.0)
    return with_existing(job, "Shed", "structure", fate=Fate.GOES, outline=rectangle(8, 8, at=(40, 40)))


def scene(job: Job | None = None, *, grown: bool = True) -> Scene:
    return scene_of(job or yard(), basis(), seen_shapes(), grown=grown)


def drawn(sight: Sight, **more: object) -> str:
    return axonometric_svg(scene(), sight, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("corner", range(CORNERS))
def test_ten_feet_measure_ten_feet_on_the_drawing_whichever_way_they_run(corner: int) -> None:
    frame = frame_of(scene(), corner, 900.0)
    assert frame is not None
    start = frame.at((0.0, 0.0), 0.0)
    for point, height in (((10.0, 0.0), 0.0), ((0.0, 10.0), 0.0), ((-6.0, 8.0), 0.0), ((0.0, 0.0), 10.0)):
        x, y = frame.at(point, height)
        assert hypot(x - start[0], y - start[1]) == pytest.approx(10 * frame.scale)


@pytest.mark.parametrize("light", ["even", "sun", "evening"])
@pytest.mark.parametrize("ink", [False, True])
def test_every_light_is_well_formed_its_ids_are_there_and_it_repeats_to_the_byte(light: str, ink: bool) -> None:
    for corner in (0, 3, 6):
        sight = Sight(corner=corner, light=light, ink=ink)  # type: ignore[arg-type]
        markup = drawn(sight, letters=A)
        ET.fromstring(markup)
        ids = re.findall(r' id="([^"]+)"', markup)
        assert len(ids) == len(set(ids))
        assert set(re.findall(r"url\(#([^)]+)\)", markup)) <= set(ids)
        assert markup == drawn(sight, letters=A)


def test_letter_stands_where_its_zone_is_seen_and_nowhere_while_the_house_hides_it() -> None:
    """Held against sight lines: from a place on the zone's top upward and toward who looks, none meets the house."""
    there = scene()
    house = [polygon_of(one.base) for one in there.solids if one.key == "house"]
    zone = next(polygon_of(one.base) for one in there.solids if one.key == A[0].key)
    hides = set()
    for corner in range(CORNERS):
        ordered = [there.solids[at] for at in back_to_front(there.solids, corner)]
        found = placed(A, ordered, corner)
        hides.add(bool(found.hidden))
        assert (": A." in drawn(Sight(corner=corner), letters=A)) == bool(found.hidden)
        for _, (across, up) in found.seen:
            turn, away = turned(corner), up - A[0].level
            at = [across * turn.across[i] + away * turn.away[i] for i in (0, 1)]
            assert zone.buffer(0.01).contains(shapely.points(at))
            sight = [[at[i] - turn.away[i] * high for i in (0, 1)] for high in (0.1 * step for step in range(155))]
            assert not any(one.buffer(-0.01).contains(shapely.points(point)) for point in sight for one in house)
    assert hides == {True, False}


def test_ink_has_no_color_of_the_materials() -> None:
    fills = set(re.findall(r'fill="(#[0-9a-f]{6})"', drawn(Sight(ink=True))))
    assert fills <= {"#ffffff", "#1d2a26", "#fbf9f2"}
    assert len(set(re.findall(r'fill="(#[0-9a-f]{6})"', drawn(Sight())))) > 6


def test_everything_lies_within_the_drawing() -> None:
    for corner in range(CORNERS):
        frame = frame_of(scene(), corner, 600.0)
        assert frame is not None
        for one in scene().solids:
            for height in (one.bottom, one.top):
                for x, y in (frame.at(point, height) for point in one.base):
                    assert 0 <= x <= frame.width
                    assert 0 <= y <= frame.height


def test_only_what_is_on_the_plan_and_stays_is_seen() -> None:
    keys = {one.key.split(":")[0] for one in scene().solids}
    assert keys == {"zone", "house", "run", "feature", "existing"}
    kept = [one for one in scene().solids if one.key.startswith("existing")]
    assert all(str(named("thing Oak")) in one.key for one in kept)


def test_heights_come_from_recipes_and_measures_and_what_has_none_is_flat_and_said() -> None:
    found = scene()
    by_key = {one.key: one for one in found.solids}
    column = by_key[f"feature:{named('feature column')}"]
    assert (column.bottom, column.top) == pytest.approx((0.5, 3.5))  # 36 in, on a surface at half a foot
    wall = by_key[f"run:{named('run wall')}"]
    assert wall.top - wall.bottom == pytest.approx(1.5)
    assert by_key["house"].top == pytest.approx(16.0)
    assert found.flat == ("table",)
    table = by_key[f"feature:{named('feature table')}"]
    assert table.top == table.bottom == 0.5


def test_a_house_without_a_height_is_flat_and_said() -> None:
    job = replace(yard(), site=replace(yard().site, house_height=None))
    found = scene(job)
    assert "House" in found.flat
    assert {one.top for one in found.solids if one.key == "house"} == {-1.0}


def test_plants_grow() -> None:
    def high(grown: bool) -> float:
        return max(one.top for one in scene(grown=grown).solids if one.key == f"feature:{named('feature tree')}")

    assert high(True) > high(False)


def test_shadows_come_with_the_sun_and_go_with_it() -> None:
    noon = Sight(light="sun", day=date(2027, 6, 21), hour=15.0)
    assert 'fill-opacity=".30"' in drawn(noon)
    assert 'fill-opacity=".30"' not in drawn(replace(noon, hour=23.0))
    assert 'fill-opacity=".30"' not in drawn(Sight())
    assert drawn(noon) != drawn(replace(noon, hour=9.0))


def test_pools_of_light_show_in_the_evening_only_and_to_scale() -> None:
    light = "#ffdf94"
    assert light not in drawn(Sight())
    evening = drawn(Sight(light="evening"))
    assert light in evening
    pool = Scene(
        solids=(
            Solid("ground", ((-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0)), 0, 0, "#888888", ground=True),
        ),
        lamps=(Lamp((0.0, 0.0), 0.0, 6.0),),
    )
    frame = frame_of(pool, 0, 900.0)
    assert frame is not None
    path = re.search(rf'<path d="M([^"]+)Z" fill="{light}"', axonometric_svg(pool, Sight(light="evening")))
    assert path is not None
    points = [tuple(map(float, part.split())) for part in path[1].split("L")]
    center = frame.at((0.0, 0.0), 0.0)
    assert {round(hypot(x - center[0], y - center[1]) / frame.scale, 1) for x, y in points} == {6.0}  # type: ignore[misc]


def test_nothing_private_is_in_the_drawing() -> None:
    job = yard()
    job = replace(
        job,
        head=replace(job.head, private_note=SECRET),
        client=replace(job.client, private_note=SECRET, name=SECRET),
        zones=tuple(replace(zone, private_note=SECRET) for zone in job.zones),
    )
    assert SECRET not in axonometric_svg(scene(job), Sight())


def test_an_empty_plan_is_no_drawing() -> None:
    job = replace(empty(), site=replace(empty().site, house=None))
    assert axonometric_svg(scene(job), Sight()) == ""


def test_moving_the_plan_moves_nothing_on_the_drawing() -> None:
    job = with_zone(
        replace(empty(), site=replace(empty().site, house=None)), "A", rectangle(20, 12, at=(0, 20)), "unit-pavers"
    )
    moved = with_zone(
        replace(empty(), site=replace(empty().site, house=None)), "A", rectangle(20, 12, at=(100, 220)), "unit-pavers"
    )
    paths = [re.findall(r'd="(M[^"]+Z)"', axonometric_svg(scene(one), Sight()))[-3:] for one in (job, moved)]
    assert paths[0] == paths[1]


def test_steps_at_an_edge_go_down_on_the_lower_side() -> None:
    job = replace(empty(), site=replace(empty().site, house=None))
    job = with_zone(job, "A", rectangle(20, 12, at=(0, 20)), "unit-pavers", level=1.5)
    job = with_zone(job, "B", rectangle(20, 12, at=(0, 32)), "sod-lawn", kind=ZoneKind.LAWN, level=0.0)
    job = with_edge(job, "A", "B", "steps-at-edge", choice=EdgeChoice.BUILT)
    steps = [one for one in scene(job).solids if one.key.startswith("edge:")]
    assert [one.top for one in steps] == pytest.approx([1.0, 0.5])  # three rises of 6 in: two treads, then the lawn
    assert all(y >= 32 - 1e-6 for one in steps for _, y in one.base)
    level = with_edge(
        with_zone(with_zone(replace(empty(), site=replace(empty().site, house=None)), "A", rectangle(20, 12), "unit-pavers"),
                  "B", rectangle(20, 12, at=(0, 12)), "sod-lawn"), "A", "B", "steps-at-edge")  # fmt: skip
    assert not [one for one in scene(level).solids if one.key.startswith("edge:")]


def test_steps_of_a_zone_climb_from_its_low_to_its_high_neighbor() -> None:
    job = replace(empty(), site=replace(empty().site, house=None))
    job = with_zone(job, "A", rectangle(20, 12, at=(0, 0)), "unit-pavers", level=0.0)
    job = with_zone(job, "S", rectangle(6, 4, at=(5, 12)), "stone-steps", kind=ZoneKind.STEPS)
    job = with_zone(job, "B", rectangle(20, 12, at=(0, 16)), "unit-pavers", level=2.0)
    steps = [one for one in scene(job).solids if one.key == f"zone:{named('zone S')}"]
    assert [one.top for one in steps] == pytest.approx([0.5, 1.0, 1.5, 2.0])
    assert sum(polygon_of(one.base).area for one in steps) == pytest.approx(24.0)


def test_a_counter_a_roof_and_strung_lights_stand_as_their_recipes_say() -> None:
    job = replace(empty(), site=replace(empty().site, house=None))
    job = with_zone(job, "A", rectangle(60, 40, at=(0, 0)), "unit-pavers", level=0.0)
    job = with_run(job, "counter", "counter-block", kind=RunKind.WALL, points=((5.0, 5.0), (13.0, 5.0)))
    job = with_run(job, "lights", "strung-lights", kind=RunKind.OTHER, points=((5.0, 30.0), (45.0, 30.0)))
    job = with_feature(job, "pergola", "shade-structure", x=30.0, y=15.0)
    found = scene(job)
    counter = next(one for one in found.solids if one.key == f"run:{named('run counter')}")
    assert (counter.top, counter.base[2][1] - counter.base[1][1]) == pytest.approx((3.0, 2.5))
    posts = [one for one in found.solids if one.key == f"run:{named('run lights')}" and not one.line]
    assert len(posts) == 3  # every 20 ft along 40 ft
    assert {round(one.top - one.bottom, 6) for one in posts} == {10.0}
    assert len([one for one in found.solids if one.line]) == 4  # two spans, each down to its middle and up again
    assert [lamp.at for lamp in found.lamps] == [pytest.approx((15.0, 30.0)), pytest.approx((35.0, 30.0))]
    pergola = [one for one in found.solids if one.key == f"feature:{named('feature pergola')}"]
    assert len(pergola) == 5
    assert max(one.top for one in pergola) == pytest.approx(9.0)
    assert [one.open for one in pergola].count(True) == 1
