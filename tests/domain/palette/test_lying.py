"""Swatches as they will lie: sizes exact, none over another, neighbors against each other; wet and dusk as models say."""

from dataclasses import replace
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.job import ZoneKind
from app.domain.palette.color import lab_of
from app.domain.palette.lying import Piece, Square, contact, lie_beside
from app.domain.palette.seen_in import LOOKS, Look, seen
from app.domain.palette.tiles import tiles_of
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, with_zone

NUMBERED = st.lists(st.tuples(st.floats(1, 900), st.floats(-50, 50), st.floats(-50, 50)), min_size=1, max_size=9).map(
    lambda rows: [Piece(f"z{n}", *row) for n, row in enumerate(rows)]
)


def overlap(one: Square, other: Square) -> float:
    wide = min(one.x + one.side, other.x + other.side) - max(one.x, other.x)
    high = min(one.y + one.side, other.y + other.side) - max(one.y, other.y)
    return min(wide, high)


@settings(max_examples=60)
@given(NUMBERED, st.sets(st.tuples(st.integers(0, 8), st.integers(0, 8)), max_size=12))
def test_each_square_has_its_own_area_none_overlap_and_the_board_hangs_together(pieces: list, met: set) -> None:
    touching = {frozenset((f"z{a}", f"z{b}")): 4.0 for a, b in met if a != b and max(a, b) < len(pieces)}
    squares = lie_beside(pieces, touching)
    areas = {one.key: one.area for one in pieces}
    assert {one.key for one in squares} == set(areas)
    assert all(one.side == pytest.approx(sqrt(areas[one.key])) for one in squares)
    for place, one in enumerate(squares):
        assert all(overlap(one, other) <= 1e-6 for other in squares[:place])
        assert not place or any(contact(one, other) > 0 for other in squares[:place])
    assert lie_beside(pieces[::-1], touching) == squares


def test_a_row_of_neighbors_lies_against_each_other_in_the_order_of_the_plan() -> None:
    pieces = [Piece("a", 100, 0, 0), Piece("b", 80, 10, 0), Piece("c", 60, 20, 0)]
    squares = {one.key: one for one in lie_beside(pieces, {frozenset("ab"): 10, frozenset("bc"): 10})}
    assert contact(squares["a"], squares["b"]) > 0
    assert contact(squares["b"], squares["c"]) > 0
    assert squares["a"].x < squares["b"].x < squares["c"].x


def test_three_that_all_touch_all_touch() -> None:
    pieces = [Piece("a", 100, 0, 0), Piece("b", 60, 10, 4), Piece("c", 40, 10, -4)]
    squares = lie_beside(pieces, {frozenset(pair): 5.0 for pair in ("ab", "bc", "ac")})
    assert all(contact(one, other) > 0 for one in squares for other in squares if one.key < other.key)


def test_only_corners_meeting_is_no_contact() -> None:
    assert contact(Square("a", 0, 0, 5), Square("b", 5, 5, 5)) == 0


@given(st.integers(0, 0xFFFFFF))
def test_wet_is_never_lighter_and_gloss_is_as_it_was(number: int) -> None:
    color = f"#{number:06x}"
    assert lab_of(seen(color, "matt", Look(wet=True)))[0] <= lab_of(color)[0] + 0.5
    assert seen(color, "gloss", Look(wet=True)) == color
    assert seen(color, "", Look()) == color


def test_wet_darkens_as_the_published_formula_says() -> None:
    # Angstrom 1925 as told by Lekner and Dorf 1988: a quarter of the light becomes 0.25 / (1.33^2 * 0.75 + 0.25) = 0.1586
    gray = "#898989"  # gives back 0.2502 of the light
    assert lab_of(seen(gray, "matt", Look(wet=True)))[0] == pytest.approx(116 * 0.1586 ** (1 / 3) - 16, abs=0.3)


def test_dusk_is_darker_bluer_and_grayer() -> None:
    day, dusk = lab_of("#b07a52"), lab_of(seen("#b07a52", "", Look(dusk=True)))
    assert dusk[0] < day[0]
    assert dusk[2] < day[2]
    assert abs(dusk[1]) < abs(day[1])


def test_looks_are_told_in_words() -> None:
    assert [look.words for look in LOOKS] == ["dry, by day", "wet, by day", "dry, at dusk", "wet, at dusk"]


def test_tiles_are_the_zones_with_a_surface_and_the_walls_where_their_color_was_told() -> None:
    job = with_zone(empty(), "A", rectangle(20, 12, at=(0, 20)), "unit-pavers")
    job = with_zone(job, "B", rectangle(20, 12, at=(20, 20)), "sod-lawn", kind=ZoneKind.LAWN)
    job = with_zone(job, "C", rectangle(5, 5, at=(60, 60)))
    book = basis()
    assert [tile.letter for tile in tiles_of(job, book)] == ["A", "B"]
    walled = replace(job, site=replace(job.site, wall_color="#d8cfbd", house_height=10.0))
    tiles = {tile.letter or tile.title: tile for tile in tiles_of(walled, book)}
    assert set(tiles) == {"A", "B", "House walls"}
    assert tiles["House walls"].square.side ** 2 == pytest.approx(
        240
    )  # 40 ft of wall to the eaves, held to the largest
    low = {one.title: one for one in tiles_of(replace(job, site=replace(walled.site, house_height=4.0)), book)}
    assert low["House walls"].square.side ** 2 == pytest.approx(160)
    assert tiles["A"].square.side ** 2 == pytest.approx(240)


def test_a_blend_is_shown_in_all_its_colors() -> None:
    job = with_zone(empty(), "A", rectangle(20, 12, at=(0, 20)), "unit-pavers")
    book = basis()
    key = tiles_of(job, book)[0].title
    material = next(one for one in book.materials.values() if one.title == key)
    mixed = replace(material, blend={"#b07a52": 0.75, "#d9c7a0": 0.25}, sheen="satin")
    (tile,) = tiles_of(job, replace(book, materials={**book.materials, material.key: mixed}))
    assert dict(tile.colors) == {"#b07a52": 0.75, "#d9c7a0": 0.25}
    assert tile.sheen == "satin"
