"""The phase planner against every order of small yards, each priced in full; and no order breaks a rule."""

from dataclasses import replace
from datetime import date
from itertools import product
from random import Random

import pytest

from app.domain.costing.estimate import estimate
from app.domain.errors import BadValue, Refused
from app.domain.job import Fate, Job, Need, RunKind
from app.domain.phasing import order_points
from app.domain.phasing.planner import Asked, PhaseAsked, Want, plan
from app.domain.phasing.planner.pieces import Pieces
from app.domain.phasing.planner.planning import Planner
from app.domain.plan import rectangle
from app.worker.fitting import solved_within
from tests.plans.yards import empty, named, with_existing, with_feature, with_run, with_zone
from tests.stocked import stocked_basis

TODAY = date(2027, 3, 1)
RULES = frozenset({"torn-up", "demolition-late", "paved-in", "out-of-season"})
LOT = rectangle(60, 80, at=(-10, 0))


def yard() -> Job:
    """Four zones one behind another: the first lies across the yard; a line to the last runs below two of them."""
    job = empty(lot=LOT, way_in=(45.0, 0.0))
    job = with_zone(job, "A", rectangle(60, 6, at=(-10, 24)), "concrete-slab")
    job = with_zone(job, "B", rectangle(20, 12, at=(0, 36)), "concrete-slab")
    job = with_zone(job, "C", rectangle(10, 8, at=(25, 36)), "unit-pavers")
    job = with_zone(job, "D", rectangle(30, 12, at=(0, 56)), "sod-lawn")
    return with_run(
        job, "Water line", "drain-line", kind=RunKind.PIPE, zone_id=named("zone D"), points=((10.0, 20.0), (10.0, 60.0))
    )


def wishing(job: Job, **wants: int) -> Job:
    """Needs by letter: 0 is a must, else the weight of a wish."""
    needs = tuple(
        Need(id=named(f"need {letter}"), must=not weight, weight=weight or 3, zone_ids=(named(f"zone {letter}"),))
        for letter, weight in wants.items()
    )
    return replace(job, needs=needs)


def asked(*budgets: float | None, starts: tuple[date | None, ...] = ()) -> Asked:
    """Phases by budget as shares of the price of everything at once (None: open) and by their first days."""
    whole = price(yard())
    days = (*starts, *(None,) * len(budgets))
    return Asked(
        phases=tuple(
            PhaseAsked(budget_cents=None if share is None else round(whole * share), start=day)
            for share, day in zip(budgets, days, strict=False)
        )
    )


def price(job: Job) -> int:
    return estimate(job, stocked_basis(), TODAY).price_cents


def broken(job: Job) -> set[str]:
    worked = estimate(job, stocked_basis(), TODAY)
    return {one.rule for one in order_points(job, stocked_basis(), worked.requirements, TODAY)} & RULES


def best_of_all(job: Job, wanted: Asked) -> tuple[int, int, int] | None:
    """The rank of the best of all orders that break no rule and keep every budget, by full prices."""
    pieces = Pieces(job, stocked_basis(), wanted)
    planner = Planner(job, stocked_basis(), wanted, solved_within, TODAY)
    ranks = []
    for order in product(range(len(wanted.phases)), repeat=len(pieces.zones)):
        phased = pieces.job_of(order)
        if broken(phased):
            continue
        worked = estimate(phased, stocked_basis(), TODAY)
        spent = [worked.price_by_phase.get(str(phase.id), 0) for phase in pieces.phases]
        if all(
            one.budget_cents is None or cents <= one.budget_cents
            for one, cents in zip(wanted.phases, spent, strict=True)
        ):
            late = sum(weight * at for weight, at in zip(planner.weights, order, strict=True))
            ranks.append((late, worked.price_cents, sum(order)))
    return min(ranks, default=None)


CASES = {
    "open": (wishing(yard()), asked(None, None)),
    "lawn first, but it lies behind": (wishing(yard(), D=0), asked(0.7, None)),
    "terrace first paves the rest out": (wishing(yard(), A=0), asked(0.55, None)),
    "three of a kind": (wishing(yard(), A=0, C=5, D=1), asked(0.6, 0.4, 0.5)),
    "tight": (wishing(yard(), B=0, C=2), asked(0.56, 0.56)),
    "slab goes": (
        with_existing(wishing(yard(), C=0), "Slab", "concrete", "demolish-slab", fate=Fate.GOES, thickness=0.33,
                      outline=rectangle(12, 6, at=(14, 38))),
        asked(0.5, None),
    ),
    "column on the slab": (
        with_feature(wishing(yard(), D=0), "Column", "column", x=10.0, y=40.0, zone_id=named("zone D")), asked(0.6, None)
    ),
    "lawn waits for spring": (
        wishing(yard(), D=0), asked(None, None, starts=(date(2027, 6, 25), date(2027, 9, 1)))
    ),
    "nobody plants in winter": (
        wishing(yard(), D=0), asked(None, None, starts=(date(2027, 11, 20), date(2028, 1, 10)))
    ),
    "too little money": (wishing(yard()), asked(0.3, 0.3)),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_planner_finds_the_best_of_all_orders_priced_in_full(case) -> None:
    job, wanted = CASES[case]
    found = plan(job, stocked_basis(), wanted, solved_within, TODAY)
    expected = best_of_all(job, wanted)
    assert found.proven
    assert (found.best.rank if found.best else None) == expected


@pytest.mark.parametrize("seed", range(8))
def test_planner_finds_the_best_whatever_is_wanted_and_may_be_spent(seed) -> None:
    drawn = Random(seed)
    wants = {letter: drawn.randrange(6) for letter in "ABCD" if drawn.random() < 0.7}
    wanted = asked(*(drawn.choice([None, drawn.uniform(0.3, 0.9)]) for _ in range(drawn.choice([2, 3]))))
    job = wishing(yard(), **wants)
    found = plan(job, stocked_basis(), wanted, solved_within, TODAY)
    assert (found.best.rank if found.best else None) == best_of_all(job, wanted)


@pytest.mark.parametrize("case", CASES)
def test_no_order_breaks_a_rule_or_a_budget(case) -> None:
    job, wanted = CASES[case]
    found = plan(job, stocked_basis(), wanted, solved_within, TODAY)
    if found.best is None:
        assert found.why in ("season", "money")
        return
    phased = Pieces(job, stocked_basis(), wanted).job_of(found.best.assignment)
    assert not broken(phased)
    assert price(phased) == found.best.price_cents == sum(found.best.phases)
    for one, cents in zip(wanted.phases, found.best.phases, strict=True):
        assert one.budget_cents is None or cents <= one.budget_cents


def test_line_of_a_later_zone_lies_below_the_earlier_one_that_is_finished_above_it() -> None:
    job = wishing(yard(), B=0)
    wanted = replace(asked(None, None), wants={str(named("zone D")): Want.WAIT})
    pieces = Pieces(job, stocked_basis(), wanted)
    phased = pieces.job_of((1, 0, 1, 1))
    assert phased.runs[0].phase_id == pieces.phases[0].id
    assert [one.place for one in pieces.followers] == [f"run:{named('run Water line')}"]


def test_budget_that_is_too_small_says_what_would_do() -> None:
    found = plan(wishing(yard()), stocked_basis(), asked(0.3, 0.3), solved_within, TODAY)
    assert found.best is None
    assert found.why == "money"
    for phase, cents in found.short:
        budgets = [one.budget_cents for one in asked(0.3, 0.3).phases]
        budgets[phase] = cents
        enough = Asked(phases=tuple(PhaseAsked(budget_cents=one) for one in budgets))
        assert plan(wishing(yard()), stocked_basis(), enough, solved_within, TODAY).best is not None
    assert found.short


def test_everything_at_once_is_cheapest_and_phasing_has_its_price() -> None:
    found = plan(wishing(yard(), D=0), stocked_basis(), asked(0.7, None), solved_within, TODAY)
    assert found.best.price_cents > found.at_once.price_cents


def test_owner_says_what_comes_first_whatever_the_needs_say() -> None:
    job = wishing(yard(), B=0)
    said = {str(named("zone B")): Want.WAIT, str(named("zone C")): Want.MUST}
    found = plan(job, stocked_basis(), replace(asked(0.5, None), wants=said), solved_within, TODAY)
    assert found.best.assignment[2] == 0


@pytest.mark.parametrize(
    "phases",
    [
        (),
        (PhaseAsked(budget_cents=0),),
        (PhaseAsked(budget_cents=-5),),
        (PhaseAsked(start=date(2027, 5, 1)), PhaseAsked(start=date(2027, 5, 1))),
        (PhaseAsked(start=date(2027, 5, 1)), PhaseAsked(), PhaseAsked(start=date(2027, 4, 1))),
        (PhaseAsked(),) * 7,
    ],
)
def test_phases_that_make_no_sense_are_refused_in_a_sentence(phases) -> None:
    with pytest.raises(BadValue, match=r"\w+ \w+"):
        plan(yard(), stocked_basis(), Asked(phases=phases), solved_within, TODAY)


def test_nothing_to_plan_is_refused() -> None:
    with pytest.raises(Refused, match="nothing to plan"):
        plan(empty(), stocked_basis(), Asked(phases=(PhaseAsked(),)), solved_within, TODAY)
