"""The faces of one solid: what looks away is not drawn, seams have no rim, leaves are round, wires are lines."""

import re

import pytest

from app.documents.axonometric_faces import Brush, drawn_solid
from app.documents.hatches import Patterns
from app.domain.seen.solids import Lamp, Solid, projected, turned

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))


def at(point, height):
    x, y = projected(point, height, 0)
    return x * 10, -y * 10


def brush(**more: object) -> Brush:
    own = {"patterns": Patterns("t", 1.0), "lit": (-1.0, 0.0), "away": turned(0).away, "shadow": lambda _level: None}
    return Brush(**{**own, **more})  # type: ignore[arg-type]


def faces(one: Solid, **more: object) -> int:
    return len(re.findall(r'd="M[^"]*Z" fill="#', drawn_solid(one, at, brush(**more))))


def test_of_a_box_two_sides_and_the_top_are_seen() -> None:
    assert faces(Solid("box", SQUARE, 0, 5, "#b07a52", drawn=(True,) * 4)) == 3
    assert faces(Solid("flat", SQUARE, 0, 0, "#b07a52", drawn=(True,) * 4)) == 1


def test_sides_that_are_seams_are_not_drawn_and_have_no_rim() -> None:
    whole = drawn_solid(Solid("box", SQUARE, 0, 5, "#b07a52", drawn=(True,) * 4), at, brush())
    part = drawn_solid(Solid("box", SQUARE, 0, 5, "#b07a52", drawn=(False, True, True, True)), at, brush())
    assert whole.count("Z") > part.count("Z")
    assert faces(Solid("box", SQUARE, 0, 5, "#b07a52", drawn=(False,) * 4)) == 1


@pytest.mark.parametrize(("lit", "shaded"), [((0.0, -1.0), False), ((0.0, 1.0), True)])
def test_a_side_away_from_the_light_is_hatched(lit: tuple[float, float], shaded: bool) -> None:
    front = Solid(
        "wall", ((0.0, 0.0), (10.0, 0.0), (10.0, 1.0), (0.0, 1.0)), 0, 5, "#b07a52", drawn=(True, False, False, False)
    )
    assert ("url(#" in drawn_solid(front, at, brush(lit=lit))) is shaded


def test_leaves_are_one_round_mass_and_a_wire_is_a_line() -> None:
    assert faces(Solid("tree", SQUARE, 0, 9, "#8fa072", round=True)) == 2
    wire = Solid("wire", SQUARE, 9, 9.1, "#000000", line=(((0.0, 0.0), 9.0), ((10.0, 0.0), 9.0)))
    assert drawn_solid(wire, at, brush()).count("L") == 1


def test_pools_stay_on_the_surface_they_fall_on() -> None:
    ground = Solid("zone", SQUARE, 0, 0, "#b07a52", drawn=(True,) * 4, ground=True)
    near, far = (brush(lamps=(Lamp((x, 5.0), 0.0, 3.0),), evening=True) for x in (5.0, 40.0))
    assert "#ffdf94" in drawn_solid(ground, at, near)
    assert "#ffdf94" not in drawn_solid(ground, at, far)
    thing = Solid("table", SQUARE, 0, 3, "#b07a52", drawn=(True,) * 4)
    assert "#ffdf94" not in drawn_solid(thing, at, near)


def test_what_is_no_color_is_drawn_as_paper() -> None:
    assert "expression" not in drawn_solid(Solid("x", SQUARE, 0, 0, 'expression("1")', ground=True), at, brush())
