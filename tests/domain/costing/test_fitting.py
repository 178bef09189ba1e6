"""The best set under a budget is what trying every set with the full estimate finds."""

from dataclasses import replace
from decimal import Decimal
from itertools import product
from uuid import UUID

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.domain.costing import fitting
from app.domain.costing.estimate import estimate
from app.domain.costing.fitting import Fit, Program, Row, _Search, fit
from app.domain.costing.fitting_units import OUT, Picks, Units
from app.domain.errors import Refused
from app.domain.job import Alternative, Feature, Job, Need, Option, PlaceKind, Run, Work
from app.domain.plan.shapes import rectangle
from app.worker.fitting import solved
from bench.estimate import basis, job
from bench.fitting import yard as large_yard

ON = basis()
RECIPES = ("unit-pavers", "gravel-surface", "planting-bed", "sod-lawn", "concrete-slab")


def key(kind: int, number: int) -> UUID:
    return UUID(int=(kind << 40) + number)


@st.composite
def yards(draw: st.DrawFn) -> Job:
    """Two to four zones that may touch, one or two ways each, a run that is an option, wishes and musts."""
    count = draw(st.integers(2, 4))
    bare = job(count)
    apart = draw(st.sampled_from((0.0, 9.0)))
    ways, works = [], []
    for at, zone in enumerate(bare.zones):
        for way in range(draw(st.integers(1, 2))):
            width = draw(st.integers(4, 22))
            outline = rectangle(width, 12, at=(at * (22.0 + apart), 0.0))
            ways.append(
                Alternative(id=key(1, 10 * at + way), zone_id=zone.id, outline=outline, fall=0.02, position=way)
            )
            recipe = draw(st.sampled_from(RECIPES))
            place = {"place": PlaceKind.ALTERNATIVE, "place_id": ways[-1].id}
            works.append(Work(id=key(2, 10 * at + way), assembly=recipe, **place))
    fence = Run(id=key(3, 1), zone_id=bare.zones[0].id, length=float(draw(st.integers(5, 60))))
    works.append(Work(id=key(2, 999), assembly="edging-steel", place=PlaceKind.RUN, place_id=fence.id))
    held = draw(st.sampled_from(((fence.id,), (fence.id, bare.zones[-1].id))))
    needs = tuple(
        Need(
            id=key(4, at),
            words=f"Need {at}",
            must=draw(st.booleans()),
            weight=draw(st.integers(1, 5)),
            zone_ids=tuple(draw(st.lists(st.sampled_from(bare.zones), min_size=1, max_size=2, unique=True)))[:2],
        )
        for at in range(draw(st.integers(0, 3)))
    )
    return replace(
        bare,
        zones=tuple(replace(zone, chosen_id=key(1, 10 * at)) for at, zone in enumerate(bare.zones)),
        alternatives=tuple(ways),
        works=tuple(works),
        runs=(fence,),
        options=(Option(id=key(5, 1), thing_ids=held, taken=True),),
        needs=tuple(replace(need, zone_ids=tuple(zone.id for zone in need.zone_ids)) for need in needs),
    )


def every_set(units: Units) -> list[Picks]:
    sets = product(*(range(OUT, len(unit.ways)) for unit in units.all))
    return [picks for picks in sets if units.stands(picks)]


def tried(yard: Job, budget: int) -> tuple[Picks, int] | None:
    """The best of all sets, each priced in full: most worth, then the lowest stand-alone price."""
    units = Units(yard)
    search = _Search(units, ON, solved, budget)
    costs = dict(zip(search.cells, search.costs, strict=True))
    priced = [(picks, estimate(units.job_of(picks), ON).price_cents) for picks in every_set(units)]
    fitting = [(picks, cents) for picks, cents in priced if cents <= budget]

    def rank(one: tuple[Picks, int]) -> tuple[int, float]:
        return -units.worth(one[0]), sum(costs[at, pick] for at, pick in enumerate(one[0]) if pick != OUT)

    return min(fitting, key=rank) if fitting else None


def best(yard: Job, budget: int) -> Fit:
    return fit(yard, ON, budget, solved)


@given(yards(), st.floats(0.05, 1.1))
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_best_set_is_what_trying_every_set_with_the_full_estimate_finds(yard: Job, share: float) -> None:
    whole = estimate(yard, ON).price_cents
    budget = round(whole * share)
    found, wanted = best(yard, budget), tried(yard, budget)
    if wanted is None:
        assert found.picks is None
        return
    assert found.picks is not None
    units = Units(yard)
    assert units.parts(found.picks) == units.parts(wanted[0])
    assert (found.picks, found.price_cents) == wanted
    assert found.price_cents <= budget


@given(yards(), st.floats(0.1, 1.0), st.integers(1, 3))
@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
def test_nothing_that_was_not_tried_is_worth_more_than_the_search_says_it_could_be(
    yard: Job, share: float, most: int
) -> None:
    budget = round(estimate(yard, ON).price_cents * share)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(fitting, "FEWEST_PRICED", most)
        patched.setattr(fitting, "MOST_PRICED", most)
        found = best(yard, budget)
    wanted, units = tried(yard, budget), Units(yard)
    if found.picks is None or wanted is None:
        return
    bound = units.worth(found.could or found.picks)
    assert units.worth(found.picks) <= units.worth(wanted[0]) <= bound
    assert found.proven == (found.could is None)


def test_a_job_too_large_to_try_all_says_what_could_still_be_better() -> None:
    of = large_yard()
    found = best(of, round(estimate(of, ON).price_cents * 0.5))
    units = Units(of)
    assert found.picks is not None
    assert not found.proven
    assert found.could is not None
    assert units.worth(found.could) > units.worth(found.picks)
    wishes = [one for one in units.wishes if one.must]
    met = [sum(all(picks[at] != OUT for at in one.units) for one in wishes) for picks in (found.picks, found.could)]
    assert met[0] == met[1] == len(wishes), "what is not proven are the small things, not what they must have"


def plain(share: float = 1.0, **fields: object) -> tuple[Job, int]:
    """Three zones of one way, and a share of the price of all."""
    yard = replace(job(3), **fields)
    return yard, round(estimate(yard, ON).price_cents * share)


def test_all_that_fits_stays_in() -> None:
    yard, budget = plain()
    found = best(yard, budget)
    assert (found.picks, found.price_cents, found.proven) == ((0, 0, 0), budget, True)


def test_a_must_stays_before_everything_that_is_nice() -> None:
    zones = job(3).zones
    nice = [Need(id=key(6, at), must=False, weight=5, zone_ids=(zones[at].id,)) for at in (0, 1)]
    must = Need(id=key(6, 9), must=True, zone_ids=(zones[2].id,))
    yard, budget = plain(0.75, needs=(*nice, must))
    found = best(yard, budget)
    assert found.picks is not None
    assert found.picks[2] != OUT


def test_of_two_wishes_the_heavier_stays() -> None:
    zones = job(2).zones
    for heavy in (0, 1):
        needs = tuple(
            Need(id=key(6, at), must=False, weight=5 if at == heavy else 1, zone_ids=(zones[at].id,)) for at in (0, 1)
        )
        yard = replace(job(2), needs=needs)
        found = best(yard, round(estimate(yard, ON).price_cents * 0.8))
        assert found.picks is not None
        assert [pick != OUT for pick in found.picks].count(True) == 1
        assert found.picks[heavy] != OUT


def test_what_rests_on_a_zone_goes_with_it_and_never_without() -> None:
    zones = job(2).zones
    lamp = Feature(id=key(7, 1), zone_id=zones[0].id)
    option = Option(id=key(5, 1), thing_ids=(lamp.id,), taken=True)
    units = Units(replace(job(2), features=(lamp,), options=(option,)))
    assert not units.stands((OUT, 0, 0))
    assert units.stands((0, OUT, 0))
    assert units.stands((OUT, 0, OUT))


def test_an_option_the_client_declined_is_not_put_in_again() -> None:
    yard = job(2)
    declined = Option(id=key(5, 1), thing_ids=(yard.zones[1].id,), taken=False, initials="LW")
    found = best(replace(yard, options=(declined,)), estimate(yard, ON).price_cents * 2)
    assert found.picks == (0,)


def test_a_wish_that_an_option_meets_goes_with_it() -> None:
    zones = job(2).zones
    lamp = Run(id=key(3, 1), zone_id=zones[0].id, length=40.0)
    option = Option(id=key(5, 1), thing_ids=(lamp.id,), taken=True)
    need = Need(id=key(6, 1), must=True, zone_ids=(zones[0].id,), option_ids=(option.id,))
    yard = replace(job(2), runs=(lamp,), options=(option,), needs=(need,))
    units = Units(yard)
    assert [wish.units for wish in units.wishes] == [(0, 2)]
    assert [units.parts(picks)[0] for picks in ((0, 0, 0), (0, 0, OUT), (OUT, 0, OUT))] == [1, 0, 0]
    declined = replace(yard, options=(replace(option, taken=False, initials="LW"),))
    assert Units(declined).wishes == ()


def test_a_budget_below_the_least_possible_is_said() -> None:
    work = Work(id=key(2, 5), place=PlaceKind.JOB, assembly="portable-toilet")
    yard = replace(job(2), works=(*job(2).works, work))
    found = best(yard, 1_00)
    assert (found.picks, found.price_cents) == (None, found.least_cents)
    assert found.least_cents > 1_00


def test_without_zones_or_prices_there_is_nothing_to_fit() -> None:
    with pytest.raises(Refused, match="nothing to choose"):
        best(replace(job(1), zones=(), alternatives=(), works=()), 100)
    with pytest.raises(Refused, match="no price yet"):
        fit(job(2), replace(ON, prices={}), 100, solved)


def test_taking_a_set_makes_it_the_set_now() -> None:
    zones = job(3).zones
    way = Alternative(id=key(1, 5), zone_id=zones[0].id, outline=rectangle(9, 9))
    option = Option(id=key(5, 2), way_id=way.id)
    yard = replace(job(3), alternatives=(*job(3).alternatives, way), options=(option,))
    units = Units(yard)
    for picks in every_set(units):
        assert Units(units.job_of(picks)).picks_now == picks


def test_a_program_is_solved_the_same_however_often() -> None:
    rows = (Row((0, 1, 2), (4.0, 3.0, 2.0), most=5.0),)
    program = Program((-5.0, -4.0, -3.0), rows)
    assert {solved(program) for _ in range(5)} == {(1, 2)}
    assert solved(Program((1.0,), (Row((0,), (1.0,), least=2.0),))) is None


def test_prices_used_here_are_invented() -> None:
    assert next(iter(ON.prices.values())).unit_price == Decimal("12.3400")
