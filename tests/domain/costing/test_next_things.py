"""The next thing out costs the client least, the next thing in gives most; both at the difference of full estimates."""

from dataclasses import replace
from uuid import UUID

from app.domain.costing.estimate import estimate
from app.domain.costing.fitting_units import OUT, Units
from app.domain.costing.next_things import left_out_of, next_in, next_out, without
from app.domain.job import Feature, Job, Need, Option
from bench.estimate import basis, job

ON = basis()


def with_needs(*weights: int, left_out: tuple[int, ...] = ()) -> Job:
    """Zones with a wish each, by its weight; some left out."""
    bare = job(len(weights))
    zones = tuple(replace(zone, left_out=at in left_out) for at, zone in enumerate(bare.zones))
    needs = tuple(
        Need(id=UUID(int=900 + at), must=weight == 9, weight=min(weight, 5), zone_ids=(bare.zones[at].id,))
        for at, weight in enumerate(weights)
    )
    return replace(bare, zones=zones, needs=needs)


def test_the_lightest_wish_goes_first_and_a_must_last() -> None:
    yard = with_needs(4, 2, 9)
    worked = estimate(yard, ON)
    found = next_out(Units(yard), ON, worked)
    assert found is not None
    assert (found.at, found.picks) == (1, (0, OUT, 0))
    assert found.then_cents == estimate(with_needs(4, 2, 9, left_out=(1,)), ON).price_cents
    assert found.difference.cents == worked.price_cents - found.then_cents > 0


def test_the_heaviest_wish_comes_in_first() -> None:
    yard = with_needs(4, 2, 5, left_out=(0, 1, 2))
    found = next_in(Units(yard), ON, estimate(yard, ON))
    assert found is not None
    assert found.at == 2
    assert found.then_cents == estimate(with_needs(4, 2, 5, left_out=(0, 1)), ON).price_cents


def test_of_alike_the_dearest_goes_and_the_cheapest_comes() -> None:
    yard = with_needs(3, 3, 3)
    out = next_out(Units(yard), ON, estimate(yard, ON))
    assert out is not None
    alone = [estimate(with_needs(3, 3, 3, left_out=(at,)), ON).price_cents for at in range(3)]
    assert out.then_cents == min(alone)
    bare = with_needs(3, 3, 3, left_out=(0, 1, 2))
    into = next_in(Units(bare), ON, estimate(bare, ON))
    assert into is not None
    only = [estimate(with_needs(3, 3, 3, left_out=tuple({0, 1, 2} - {at})), ON).price_cents for at in range(3)]
    assert into.then_cents == min(only)


def test_with_a_zone_goes_what_rests_on_it_and_nothing_comes_without() -> None:
    yard = with_needs(3, 3)
    lamp = Feature(id=UUID(int=5), title="Lamp", zone_id=yard.zones[0].id)
    option = Option(id=UUID(int=6), thing_ids=(lamp.id,), taken=True)
    units = Units(replace(yard, features=(lamp,), options=(option,)))
    assert without(units, (0, 0, 0), 0) == (OUT, 0, OUT)
    left = left_out_of(units, ON, (OUT, 0, OUT), 0)
    assert [one.unit.is_option for one in left] == [False], "the lamp waits for its zone"


def test_with_everything_in_nothing_comes_and_with_nothing_in_nothing_goes() -> None:
    yard, bare = with_needs(3, 3), with_needs(3, 3, left_out=(0, 1))
    assert next_in(Units(yard), ON, estimate(yard, ON)) is None
    assert next_out(Units(bare), ON, estimate(bare, ON)) is None
