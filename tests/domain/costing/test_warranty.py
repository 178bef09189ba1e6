"""The warranty reserve by kind of work: each kind's own share, exact sums, the usual share for the rest."""

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.basis import Basis, CostClass, Firm
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import Explaining
from app.domain.costing.price import Cells, build_up
from app.domain.costing.warranty import by_kind, reserved
from tests.domain.costing.three_zones import BASIS, JOB, firm_with

KINDS = Firm(warranty_by_group={"walls": Decimal("0.03"), "lawn": Decimal(0)}, warranty_reserve=Decimal("0.015"))


def grouped(**more) -> Basis:
    basis = firm_with(**more)
    groups = {"paved": "surfaces", "bed": "planting"}
    assemblies = {key: replace(one, group=groups.get(key, "")) for key, one in basis.assemblies.items()}
    return replace(basis, assemblies=assemblies)


def test_each_kind_keeps_its_own_share_and_others_the_usual_one() -> None:
    cells = Cells(
        cents=[100_00, 50_00, 200_00, 10_00, 99_00],
        classes=[CostClass.LABOR, CostClass.MATERIAL, CostClass.LABOR, CostClass.FEE, CostClass.ALLOWANCE],
        hours=[0.0] * 5,
        kinds=["walls", "walls", "lawn", "", "walls"],
    )
    # 3% of 150 = 4.50 over the two walls, none of the lawn, 1.5% of 10 = 0.15; an allowance carries none
    assert build_up(cells, KINDS).step("warranty").shares == (300, 150, 0, 15, 0)
    # without kinds 1.5% of 360.00 = 5.40
    assert build_up(cells, Firm(warranty_reserve=Decimal("0.015"))).step("warranty").cents == 540


def test_firm_without_kinds_keeps_one_share_as_before() -> None:
    assert estimate(JOB, grouped()).build_up == estimate(JOB, BASIS).build_up


@given(
    st.lists(st.tuples(st.integers(0, 10**9), st.sampled_from(["", "walls", "lawn", "pipes"])), max_size=30),
    st.decimals(0, 1, places=4),
)
def test_kinds_add_up_to_the_cent_at_every_level(rows: list[tuple[int, str]], share: Decimal) -> None:
    firm = Firm(warranty_by_group={"walls": share}, warranty_reserve=Decimal("0.015"))
    priced, kinds = np.array([cents for cents, _ in rows], dtype=np.int64), [kind for _, kind in rows]
    parts, _ = reserved(priced, kinds, firm)
    found = by_kind(priced, kinds, firm) if rows else ()
    assert int(parts.sum()) == sum(one.cents for one in found)
    for one in found:
        assert sum(int(part) for part, kind in zip(parts, kinds, strict=True) if kind == one.kind) == one.cents
        assert one.cents == pytest.approx(one.direct_cents * float(one.share), abs=0.51)


def test_reserve_opens_to_its_kinds() -> None:
    basis = grouped(warranty_by_group={"surfaces": Decimal("0.02")})
    worked = estimate(JOB, basis)
    trace = Explaining(JOB, basis, worked).figure("step:warranty")
    assert round(trace.result * 100) == worked.build_up.step("warranty").cents
    assert sum(round(one.result * 100) for one in trace.steps) == round(trace.result * 100)
    assert [(one.label, one.source) for one in trace.steps] == [
        ("What belongs to no kind", "the firm's usual share"),
        ("Planting", "the firm's usual share"),
        ("Surfaces", "firm settings"),
    ]
    assert trace.steps[2].filled.startswith("2% of ")


def test_words_say_the_share_or_that_it_goes_by_kind() -> None:
    priced = np.array([1_000_00], dtype=np.int64)
    assert reserved(priced, [], replace(KINDS, warranty_reserve=Decimal("0.01512345")))[1] == "1.5123%"
    assert reserved(priced, ["walls"], Firm())[1] == "1.5%"
    assert reserved(priced, ["walls"], KINDS)[1] == "by kind of work"
    assert reserved(priced, [], KINDS)[0].tolist() == [15_00]  # lines of no work are of no kind
    kinds = by_kind(np.array([1, 2, 3], dtype=np.int64), ["walls", "lawn", "walls"], KINDS)
    assert [one.kind for one in kinds] == ["lawn", "walls"]
