"""The early range: a made-up job by the same engine, told in whole thousands."""

import tomllib
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from app.domain.basis import Price
from app.domain.costing.early import Wish, early_job, early_range
from app.domain.costing.estimate import estimate
from app.domain.errors import BadValue
from app.domain.job import ZoneKind
from app.interchange.library_file import SHIPPED, load_library
from tests.domain.costing.three_zones import BASIS

DATA = {
    "access": {"easy": {"labor": 1.0}, "hard": {"labor": 1.5}},
    "accuracy": {"low": -0.2, "high": 0.35},
    "zone": {
        "dining": {"small": 100.0, "medium": 225.0, "large": 400.0, "work": [{"assembly": "paved", "place": "zone"}]},
        "planting": {"small": 100.0, "medium": 225.0, "large": 400.0, "work": [{"assembly": "bed", "place": "zone"}]},
    },
}
DINING, PLANTING = Wish(kind=ZoneKind.DINING), Wish(kind=ZoneKind.PLANTING, size=150.0)


def early(*wishes, access="easy", works=("supervision",)):
    return early_range(wishes, access, BASIS, data=DATA, works=works)


def test_band_is_the_price_of_the_made_up_job_less_and_more_in_whole_thousands():
    price = estimate(early_job([DINING, PLANTING], DATA, ["supervision"]), BASIS).price_cents
    total = early(DINING, PLANTING).total
    assert price * 0.8 - 100_000 < total.low <= price * 0.8
    assert price * 1.35 <= total.high < price * 1.35 + 100_000
    assert total.low % 100_000 == total.high % 100_000 == 0


def test_total_lies_within_the_sums_of_the_zones():
    found = early(DINING, PLANTING)
    assert (
        sum(one.low for one in found.zones)
        <= found.total.low
        <= found.total.high
        <= sum(one.high for one in found.zones)
    )


def test_bigger_and_harder_never_cost_less():
    small, medium, large = (early(Wish(kind=ZoneKind.DINING, size=size)).total for size in ("small", "medium", "large"))
    assert small.high <= medium.high < large.high
    court = Wish(kind=ZoneKind.DINING, size=2000.0)
    assert early(court).total.high < early(court, access="hard").total.high


def test_typed_area_is_taken_as_it_is():
    job = early_job([Wish(kind=ZoneKind.DINING, size=144.0)], DATA)
    assert job.alternatives[0].outline.sizes == (12.0, 12.0)


@pytest.mark.parametrize(
    ("wish", "access"),
    [(Wish(kind=ZoneKind.FIRE), "easy"), (Wish(kind=ZoneKind.DINING, size="vast"), "easy"), (DINING, "boat"),
     (Wish(kind=ZoneKind.DINING, size=0.0), "easy"), (Wish(kind=ZoneKind.DINING, size=float("nan")), "easy")],
)  # fmt: skip
def test_what_is_not_known_is_refused_in_words(wish, access):
    with pytest.raises(BadValue):
        early(wish, access=access)


def test_nothing_ticked_is_refused():
    with pytest.raises(BadValue):
        early()


@pytest.fixture(scope="module")
def shipped():
    basis = load_library().basis()
    prices = {key: Price(material=key, unit_price=Decimal("9.50"), fuel="none") for key in basis.materials}
    return replace(basis, prices=prices)


@pytest.mark.parametrize("kind", list(ZoneKind))
def test_shipped_recipe_of_every_kind_of_zone_counts_everything(shipped, kind):
    # prices are invented: what is held is that every typical recipe is whole, so that nothing is left out of a range
    data = tomllib.loads((Path(SHIPPED) / "early.toml").read_text())
    own = [one["assembly"] for one in tomllib.loads((Path(SHIPPED) / "own_hours.toml").read_text())["work"]]
    found = early_range([Wish(kind=kind, size="small")], "tight", shipped, data=data, works=own)
    asked = {"soil-not-known", "size-far", "delivery-not-priced"}
    assert [one.rule for one in found.findings if one.rule not in asked] == []
    assert 0 < found.total.low < found.total.high
