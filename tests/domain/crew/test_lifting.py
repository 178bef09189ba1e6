"""What a piece weighs, and who lifts it."""

import pytest

from app.domain.basis import Material
from app.domain.crew.lifting import HeavyPiece, heavy_pieces, piece_of


def slab(key: str, side: str, **more: str) -> Material:
    return Material(key=key, title=key, role="finish", buy="each", length=side, width=side, thickness="2*inch", **more)


def test_weight_follows_from_sides_and_the_usual_weight_of_concrete():
    # ACI 318 takes normalweight concrete as 145 to 150 lb/cu ft (from memory): 24 x 24 x 2 in is 2/3 cu ft
    assert piece_of(slab("large", "24*inch")) == HeavyPiece(title="large", pounds=100)


def test_density_of_the_material_itself_goes_first():
    assert piece_of(slab("light", "24*inch", placed_density="60*lb/foot**3")).pounds == 40


@pytest.mark.parametrize(
    ("pounds", "people"),
    [(50, 1), (51, 2), (99, 2), (100, 0)],  # NIOSH lifting equation: 51 lb under ideal conditions
)
def test_two_lift_above_fifty_pounds_and_a_machine_from_a_hundred(pounds: int, people: int):
    assert HeavyPiece(title="", pounds=pounds).people == people


def test_only_what_is_heavy_is_told_the_heaviest_first_and_once():
    large, small = slab("large", "24*inch"), slab("small", "9*inch")
    bag = Material(key="mix", title="Concrete mix, 80 lb bag", role="concrete", buy="bag")
    found = heavy_pieces([bag, small, large, large])
    assert [(one.title, one.pounds) for one in found] == [("large", 100), ("Concrete mix, 80 lb bag", 80)]


def test_what_has_no_size_has_no_weight():
    assert piece_of(Material(key="soil", title="Soil", role="soil", buy="yard**3")) is None
