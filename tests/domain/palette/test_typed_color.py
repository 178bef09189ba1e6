"""Colors as people type them: hex, Lab, Munsell chips, blends."""

import pytest

from app.domain.errors import BadValue
from app.domain.palette.color import difference, lab_of
from app.domain.palette.munsell import chip_lab
from app.domain.palette.typed_color import blend_words, typed_blend, typed_color
from app.interchange.soil_chips import soil_chips

CHIPS = soil_chips()


@pytest.mark.parametrize(
    ("chip", "lab"),
    [  # table `munsell` of the R package aqp (USDA-NRCS soil science), Lab for D65
        ("10YR 4/3", (40.93, 5.60, 19.57)),
        ("10YR 3/2", (30.25, 3.87, 12.07)),
        ("10YR 5/4", (51.41, 6.59, 25.40)),
        ("5YR 4/6", (40.93, 18.63, 30.51)),
        ("10YR 6/1", (61.56, 1.39, 7.11)),
        ("2.5Y 6/4", (61.60, 2.14, 27.47)),
    ],
)
def test_soil_chips_lie_within_one_of_the_published_table(chip: str, lab: tuple[float, float, float]) -> None:
    assert difference(chip_lab(chip, CHIPS), lab) < 1.0


def test_a_neutral_has_the_lightness_of_the_renotation() -> None:
    assert chip_lab("N 5", CHIPS)[0] == pytest.approx(51.0, abs=0.1)  # Munsell renotation, value 5: L* 51.0


def test_between_chips_it_is_read_between() -> None:
    low, high, between = (chip_lab(f"10YR {value}/4", CHIPS) for value in ("4", "5", "4.5"))
    assert between[0] == pytest.approx((low[0] + high[0]) / 2)
    assert chip_lab("10yr 5 / 3", CHIPS)[2] == pytest.approx(
        (chip_lab("10YR 5/2", CHIPS)[2] + chip_lab("10YR 5/4", CHIPS)[2]) / 2
    )


@pytest.mark.parametrize("typed", ["10YR 1/3", "7P 4/4", "10YR 5/9", "N 1", "sand", "12", "#12345", "Lab 120 0 0"])
def test_what_is_no_color_is_refused_with_what_to_type(typed: str) -> None:
    with pytest.raises(BadValue) as wrong:
        typed_color(typed, CHIPS)
    assert wrong.value.sentence.endswith(".")


@pytest.mark.parametrize(
    ("typed", "color"),
    [("#b07a52", "#b07a52"), (" B07A52 ", "#b07a52"), ("abc", "#aabbcc"), ("lab 0, 0, 0", "#000000")],
)
def test_hex_and_lab_are_read(typed: str, color: str) -> None:
    assert typed_color(typed, CHIPS) == color


def test_lab_with_a_minus_of_either_kind_is_read() -> None:
    assert lab_of(typed_color("Lab 60 −20 10", CHIPS)) == pytest.approx((60, -20, 10), abs=0.4)


def test_a_blend_takes_colors_of_any_kind_and_adds_up() -> None:
    blend = typed_blend("#b07a52 60%, 10YR 5/4 25 %; Lab 80, 0, 0 15%", CHIPS)
    assert sum(blend.values()) == pytest.approx(1)
    assert list(blend.values()) == [0.6, 0.25, 0.15]
    assert typed_blend(blend_words(blend), CHIPS) == blend


@pytest.mark.parametrize("typed", ["#b07a52", "#b07a52 60%", "#b07a52 60%, #ffffff 50%", "red 100%"])
def test_a_blend_that_does_not_add_up_is_refused(typed: str) -> None:
    with pytest.raises(BadValue):
        typed_blend(typed, CHIPS)


def test_nothing_typed_is_no_blend() -> None:
    assert typed_blend("  ", CHIPS) == {}
