"""Which tests follow from what was built, where; what of it counts as passed; what hand-over waits for."""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import uuid4

import pytest

from app.domain.errors import BadValue, Refused
from app.domain.handover.needed_tests import NeededTest, needed_tests, read_values
from app.domain.handover.signing_tests import Told, refuse_leaving_out, result_of, rows_of, waiting_for
from app.domain.job import LEFT_OUT, NOT_PASSED, PASSED, Alternative, Job, PlaceKind, RunKind, SignedTest
from app.domain.plan import rectangle
from app.interchange.after_lists import kinds_of_test
from tests.plans import yards

KINDS = kinds_of_test()


def needed(job: Job, **rules: float) -> dict[str, NeededTest]:
    return {one.kind.key: one for one in needed_tests(job, yards.basis(**rules), KINDS)}


def paved() -> Job:
    return yards.with_zone(yards.empty(), "A", rectangle(18, 14, at=(60, 0)), "unit-pavers")


def lit(count: int = 4) -> Job:
    return yards.with_feature(paved(), "lights", "path-light", zone_id=yards.named("zone A"), count=count)


def test_nothing_built_on_the_plan_wants_no_test() -> None:
    assert needed(yards.empty()) == {}
    assert needed(yards.with_work(yards.empty(), PlaceKind.JOB, None, "cleanup")) == {}


def test_each_zone_wants_its_own_test_and_a_way_not_chosen_wants_none() -> None:
    job = yards.with_zone(paved(), "B", rectangle(10, 10, at=(80, 0)), "unit-pavers")
    asked = [one.zone_letter for one in needed_tests(job, yards.basis(), KINDS) if one.kind.key == "surface-fall"]
    assert asked == ["A", "B"]
    spare = Alternative(id=uuid4(), zone_id=job.zones[0].id, outline=rectangle(9, 9))
    other = yards.with_work(replace(job, alternatives=(*job.alternatives, spare)), PlaceKind.ALTERNATIVE, spare.id, "drip-in-bed")  # fmt: skip
    assert "drip-runs" not in needed(other)


def test_lights_want_one_reading_each() -> None:
    assert needed(lit(4))["light-voltage"].readings == 4
    assert needed(lit(1))["light-voltage"].readings == 1


def test_firms_own_rule_stands_in_for_the_librarys_limit() -> None:
    assert needed(paved())["surface-fall"].least == 0.02
    assert needed(paved(), paver_fall=0.015)["surface-fall"].least == 0.015


@pytest.mark.parametrize(
    ("recipe", "test"),
    [("fire-gas", "gas-tight"), ("grill", "gas-tight"), ("outlet-allowance", "line-voltage"), ("backflow", "drinking-water")],
)  # fmt: skip
def test_licensed_work_wants_its_trades_test(recipe: str, test: str) -> None:
    assert test in needed(yards.with_feature(paved(), "it", recipe))


def test_recipe_that_names_a_licensed_trade_wants_its_test_whatever_it_is_called() -> None:
    basis = yards.basis()
    own = replace(basis.assemblies["grill"], key="pizza-oven", title="Pizza oven")
    basis = replace(basis, assemblies={**basis.assemblies, "pizza-oven": own})
    job = yards.with_feature(paved(), "oven", "pizza-oven")
    assert "gas-tight" in {one.kind.key for one in needed_tests(job, basis, KINDS)}


def test_drain_and_gas_line_are_tried_each_by_itself() -> None:
    job = yards.with_run(paved(), "Drain", "drain-line", kind=RunKind.DRAIN, length=20.0)
    job = yards.with_run(job, "Gas", "gas-run", kind=RunKind.GAS, length=30.0)
    found = needed(job)
    assert (found["drains-run"].title, found["gas-tight"].title) == ("Drain", "Gas")


@pytest.mark.parametrize(
    ("volts", "result"),
    [("10.8, 12.6, 11, 11", PASSED), ("10.79, 12, 12, 12", NOT_PASSED), ("12.61, 12, 12, 12", NOT_PASSED)],
)
def test_readings_decide_on_both_sides_of_each_limit(volts: str, result: str) -> None:
    told = Told(values=read_values(volts, "volt", "feet"), passed=True, name="Ada")
    assert result_of(needed(lit())["light-voltage"], told) == result


@pytest.mark.parametrize("typed", ["2%", "1/4 in per ft", "1:48"])
def test_fall_typed_in_any_way_is_the_same_slope(typed: str) -> None:
    told = Told(values=read_values(typed, "slope", "feet"), name="Ada")
    assert result_of(needed(paved())["surface-fall"], told) == PASSED


def test_licensed_test_wants_name_and_license() -> None:
    gas = needed(yards.with_feature(paved(), "it", "grill"))["gas-tight"]
    for told in (Told(passed=True, name="Ada"), Told(passed=True, license="G 12")):
        with pytest.raises(BadValue):
            result_of(gas, told)
    assert result_of(gas, Told(passed=True, name="Ada Bauer", license="G 12")) == PASSED
    with pytest.raises(Refused, match="no way round"):
        refuse_leaving_out(gas, "Maren Oduya", "They are sure it is tight")


def signed(one: NeededTest, result: str, hour: int) -> SignedTest:
    at = datetime(2027, 6, 1, hour, tzinfo=UTC)
    return SignedTest(id=uuid4(), test=one.kind.key, place=one.place, day=date(2027, 6, 1), result=result, said_at=at)


def test_newest_signature_counts_and_a_left_out_gas_test_still_waits() -> None:
    job = yards.with_feature(paved(), "it", "grill")
    asked = needed(job)
    fall, gas = asked["surface-fall"], asked["gas-tight"]
    held = [signed(fall, PASSED, 9), signed(fall, NOT_PASSED, 8), signed(gas, LEFT_OUT, 9)]
    rows = {one.needed.kind.key: one for one in rows_of(asked.values(), held)}
    waits = {one.needed.kind.key for one in waiting_for(rows.values())}
    assert rows["surface-fall"].result == PASSED
    assert waits == asked.keys() - {"surface-fall"}
    back = rows_of(asked.values(), [*held, signed(fall, NOT_PASSED, 10)])
    assert {one.needed.kind.key for one in waiting_for(back)} == asked.keys()
