"""The boards of swatches: exact sizes, shares of a blend, ids of their own, the same bytes again."""

import re
from xml.etree import ElementTree as ET

import pytest

from app.documents.lying_drawing import CELLS, ORDER, board_svg, boards_svg
from app.domain.palette.lying import Square
from app.domain.palette.seen_in import LOOKS, Look
from app.domain.palette.tiles import Tile

SVG = "{http://www.w3.org/2000/svg}"
TWO = (
    Tile(square=Square("a", 0, 0, 20), letter="A", title="Pavers & <stone>", colors={"#b07a52": 1.0}, hatch="running"),
    Tile(square=Square("b", 20, 0, 10), letter="B", title="Mix", colors={"#000000": 0.75, "#ffffff": 0.25}),
)


def squares(drawn: str) -> list[float]:
    root = ET.fromstring(drawn)
    return [float(one.get("width", 0)) for one in root.iter(f"{SVG}rect") if one.get("width") == one.get("height")]


def test_sides_are_in_scale_to_one_another() -> None:
    sides = [side for side in squares(board_svg(TWO, Look())) if side > 50]
    assert max(sides) / min(sides) == pytest.approx(2.0, rel=1e-3)


def test_a_blend_lies_in_its_shares() -> None:
    drawn = board_svg(TWO, Look())
    cells = re.findall(r'width="5.3" height="5.3" fill="(#\w+)"', drawn)
    assert len(cells) == CELLS * CELLS
    assert cells.count("#000000") == 48
    assert sorted(one for row in ORDER for one in row) == list(range(CELLS * CELLS))


def test_all_ids_are_told_apart_and_used_ones_are_there() -> None:
    drawn = boards_svg(TWO)
    ids = re.findall(r' id="([^"]+)"', drawn)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", drawn)) <= set(ids)


def test_the_same_again_to_the_byte_and_every_look_has_its_words() -> None:
    assert boards_svg(TWO) == boards_svg(TWO)
    assert all(look.words.capitalize() in boards_svg(TWO) for look in LOOKS)
    assert "&amp; &lt;stone&gt;" in boards_svg(TWO)


def test_nothing_to_lie_is_no_drawing() -> None:
    assert board_svg((), Look()) == boards_svg(()) == ""


def test_colors_that_fall_together_at_dusk_keep_their_shares() -> None:
    near = (Tile(square=Square("a", 0, 0, 20), letter="A", title="Near", colors={"#000000": 0.5, "#000001": 0.5}),)
    ET.fromstring(board_svg(near, Look(dusk=True)))
