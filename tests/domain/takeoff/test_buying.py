"""An amount in place becomes units that can be bought: by coverage, directly, or by density, whichever way round."""

import pytest

from app.domain.basis import Material
from app.domain.errors import BadValue
from app.domain.takeoff.buying import bought_amount
from app.domain.units.dimension import AREA, LENGTH, VOLUME, WEIGHT


def material(**more) -> Material:
    return Material(key="stone", title="Stone", role="base", **more)


def test_volume_in_place_is_bought_by_weight_through_its_density():
    # 27 cu ft × 140 lb = 3,780 lb = 1.89 short tons of 2,000 lb
    stone = material(buy="ton", placed_density="140*lb/foot**3")
    assert bought_amount(stone, 27.0, VOLUME) == pytest.approx(1.89)
    assert bought_amount(stone, 4_000.0, WEIGHT) == pytest.approx(2.0)


def test_weight_in_place_is_bought_by_volume_through_its_density():
    # 5,400 lb / 100 lb per cu ft = 54 cu ft = 2 cu yd
    stone = material(buy="yard**3", placed_density="100*lb/foot**3")
    assert bought_amount(stone, 5_400.0, WEIGHT) == pytest.approx(2.0)
    assert bought_amount(stone, 54.0, VOLUME) == pytest.approx(2.0)


def test_coverage_counts_before_the_unit():
    paver = material(buy="each", coverage="0.375*foot**2")
    assert bought_amount(paver, 300.0, AREA) == pytest.approx(800.0)


def test_what_cannot_be_bought_is_said_with_how_it_is_bought():
    with pytest.raises(BadValue, match=r"Stone is bought by the .*ton.* and has a density, so .* is wanted"):
        bought_amount(material(buy="ton", placed_density="140*lb/foot**3"), 10.0, LENGTH)
