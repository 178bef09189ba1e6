"""Colors against published figures: CIEDE2000 pairs, conversions, lightness and reflectance."""

import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.palette.color import difference, hex_of, lab_of, mean_of, reflectance
from app.domain.palette.sun_on import reflectance_index
from app.interchange.library_file import load_library

# Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula", Color Research and Application 30(1), 2005, 21-30,
# Table 1. Pair 14 lies on the jump of the hue angle: rounding gives 4.8045 or 4.7461.
PAIRS = tomllib.loads((Path(__file__).parents[2] / "published" / "ciede2000.toml").read_text(encoding="utf-8"))["pair"]


@pytest.mark.parametrize("pair", PAIRS, ids=[str(pair["number"]) for pair in PAIRS])
def test_published_pairs_come_out_to_four_places_both_ways(pair: dict) -> None:
    one, other = tuple(pair["one"]), tuple(pair["other"])
    expected = pair["difference"] if isinstance(pair["difference"], list) else [pair["difference"]]
    assert any(math.isclose(difference(one, other), value, abs_tol=6e-5) for value in expected)
    assert difference(other, one) == pytest.approx(difference(one, other), abs=1e-9)


def test_large_differences_of_the_published_set() -> None:
    # ICC HDR working group, reference set of 2020 (color.org)
    assert difference((100.0, 0.0, 0.0), (0.0, 0.0, 0.0)) == pytest.approx(100.0, abs=1e-4)
    assert difference((84.25, 5.74, 96.0), (84.46, 8.88, 96.49)) == pytest.approx(1.6743, abs=1e-4)
    assert difference((84.25, 5.74, 96.0), (84.52, 5.75, 93.09)) == pytest.approx(0.5887, abs=1e-4)


@pytest.mark.parametrize(
    ("color", "lab"),
    [  # sRGB primaries in CIE Lab, D65: computed by colour-science 0.4.7 and by coloraide alike
        ("#ff0000", (53.23, 80.11, 67.22)),
        ("#00ff00", (87.74, -86.18, 83.19)),
        ("#0000ff", (32.30, 79.20, -107.85)),
        ("#ffffff", (100.0, 0.0, 0.0)),
        ("#808080", (53.585, 0.0, 0.0)),
    ],
)
def test_lab_of_screen_colors(color: str, lab: tuple[float, float, float]) -> None:
    assert lab_of(color) == pytest.approx(lab, abs=0.03)


@given(st.integers(0, 0xFFFFFF))
def test_hex_comes_back_through_lab(number: int) -> None:
    color = f"#{number:06x}"
    assert hex_of(lab_of(color)) == color


def test_reflectance_is_that_of_the_lightness() -> None:
    # CIE 15: L* = 116 (Y)^(1/3) - 16; 18% gray is L* 49.5
    assert reflectance((49.496, 0.0, 0.0)) == pytest.approx(0.18, abs=1e-4)
    assert reflectance((0.0, 0.0, 0.0)) == 0


def test_a_blend_is_seen_as_its_mixed_light() -> None:
    assert mean_of({"#000000": 0.5, "#ffffff": 0.5}) == "#bcbcbc"  # half the light, not half the code
    assert mean_of({"#b07a52": 0.3, "#7d8287": 0.7}) == mean_of({"#7d8287": 0.7, "#b07a52": 0.3})


def test_reflectance_index_of_the_two_standards_that_define_it() -> None:
    # ASTM E1980: black (reflectance 0.05, emittance 0.90) is 0, white (0.80, 0.90) is 100
    assert reflectance_index(0.05) == pytest.approx(0, abs=1)
    assert reflectance_index(0.80) == pytest.approx(100, abs=1)


@given(st.floats(0, 1), st.floats(0, 1))
def test_what_gives_back_more_is_cooler(one: float, other: float) -> None:
    assert reflectance_index(max(one, other)) >= reflectance_index(min(one, other))


def test_shipped_blends_are_seen_as_the_color_beside_them_and_add_up() -> None:
    blended = [one for one in load_library().basis().materials.values() if one.blend]
    assert blended
    for one in blended:
        assert sum(one.blend.values()) == pytest.approx(1)
        assert difference(lab_of(mean_of(one.blend)), lab_of(one.color)) < 5
