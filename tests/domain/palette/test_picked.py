"""A color from a photo against a white card: what a colored light does is taken out; what cannot be read is refused."""

from io import BytesIO

import pytest
from PIL import Image

from app.domain.errors import BadValue
from app.domain.palette.color import difference, lab_of, linear_of
from app.domain.palette.picked import CAMERA, CARD, Patch, picked
from app.interchange.picture_patches import patches

STILL = (0.0, 0.0, 0.0)


def under(light: tuple[float, float, float], color: str) -> Patch:
    """How a surface of a color looks to a camera under a colored light: each part of the light times what is given back."""
    return Patch(tuple(part * own for part, own in zip(light, linear_of(color), strict=True)), STILL, 0.0)  # type: ignore[arg-type]


@pytest.mark.parametrize("light", [(0.9, 0.9, 0.9), (0.8, 0.62, 0.4), (0.4, 0.5, 0.7)])
@pytest.mark.parametrize("color", ["#b07a52", "#7d8287", "#53575a"])
def test_the_light_is_taken_out(light: tuple[float, float, float], color: str) -> None:
    card = Patch(tuple(part * CARD for part in light), STILL, 0.0)  # type: ignore[arg-type]
    found = picked(card, under(light, color))
    assert difference(found.lab, lab_of(color)) < 0.5
    assert found.within == pytest.approx(CAMERA)


def test_an_uneven_card_is_less_certain_and_an_uneven_stone_is_said() -> None:
    even, uneven = (Patch((0.5, 0.5, 0.5), (s, s, s), 0.0) for s in (0.0, 0.05))
    stone = Patch((0.2, 0.15, 0.1), (0.05, 0.04, 0.03), 0.0)
    assert picked(uneven, stone).within > picked(even, stone).within
    assert picked(even, stone).uneven > 3


@pytest.mark.parametrize(
    ("card", "stone", "field"),
    [
        (Patch((0.9, 0.9, 0.9), STILL, 0.021), Patch((0.2, 0.2, 0.2), STILL, 0), "white"),
        (Patch((0.11, 0.3, 0.3), STILL, 0), Patch((0.05, 0.05, 0.05), STILL, 0), "white"),
        (Patch((0.4, 0.4, 0.4), STILL, 0), Patch((0.2, 0.44, 0.2), STILL, 0), "stone"),
    ],
)
def test_what_cannot_be_read_is_refused_beside_its_tap(card: Patch, stone: Patch, field: str) -> None:
    with pytest.raises(BadValue) as wrong:
        picked(card, stone)
    assert wrong.value.field == field


def test_just_within_the_limits_it_is_read() -> None:
    picked(Patch((0.9, 0.9, 0.9), STILL, 0.02), Patch((0.2, 0.2, 0.2), STILL, 0))
    picked(Patch((0.12, 0.3, 0.3), STILL, 0), Patch((0.05, 0.05, 0.05), STILL, 0))
    picked(Patch((0.4, 0.4, 0.4), STILL, 0), Patch((0.2, 0.43, 0.2), STILL, 0))


def picture() -> bytes:
    drawn = Image.new("RGB", (400, 300), (128, 128, 128))
    drawn.paste((224, 214, 190), (0, 0, 200, 300))
    drawn.paste((255, 255, 255), (300, 200, 400, 300))
    out = BytesIO()
    drawn.save(out, "PNG")
    return out.getvalue()


def test_patches_are_read_where_they_were_tapped() -> None:
    found = patches(picture(), {"white": (0.25, 0.5), "stone": (0.6, 0.2), "sun": (0.9, 0.9)})
    assert found["white"]["mean"] == pytest.approx(linear_of("#e0d6be"), abs=1e-3)
    assert found["stone"]["scatter"] == pytest.approx([0, 0, 0], abs=1e-6)
    assert found["sun"]["burned"] == 1.0
    assert found["white"]["burned"] == 0.0


def test_a_tap_beside_the_picture_and_a_broken_picture_are_refused() -> None:
    with pytest.raises(BadValue):
        patches(picture(), {"white": (1.2, 0.5)})
    with pytest.raises(BadValue):
        patches(b"no picture", {"white": (0.5, 0.5)})
    assert patches(picture(), {"white": (1.0, 1.0)})["white"]["burned"] == 1.0
