"""What makes most of a price, and which unit price of it stands out; the arithmetic beside each is done by hand."""

from dataclasses import replace
from decimal import Decimal

import pytest

from app.domain.basis import Basis, CostClass, Material, Price
from app.domain.costing.largest import explain_largest, far_off, largest_parts
from app.domain.costing.lines import Line


def basis(**prices: str) -> Basis:
    """Pavers by the square foot, and one sold by the piece."""
    materials = {key: Material(key=key, title=key, role="paver", buy="foot**2") for key in prices}

    own = {key: Price(material=key, unit_price=Decimal(one)) for key, one in prices.items()}
    return Basis(materials=materials, prices=own)


def line(kind: str, key: str, cents: int, amount: float = 1.0, index: int = 0) -> Line:
    return Line(kind, key, key, "w", index, "z", "p", CostClass.MATERIAL, amount, "foot**2", 0.0, cents)


LINES = [line("material", "red", 300_00, 50), line("task", "lay", 500_00), line("material", "red", 400_00, 70)]


def test_lines_of_one_thing_stand_together_the_dearest_first() -> None:
    first, second = largest_parts([*LINES, line("rounding", "", 800_00)], basis(red="5.00"), {})
    assert (first.key, first.cents, first.amount, first.unit_price) == ("red", 700_00, 120, Decimal("5.00"))
    assert (second.key, second.cents, second.unit_price) == ("lay", 500_00, None)
    assert (first.part, second.part) == (0.35, 0.25)  # of $2,000, the rounding in it


def test_no_more_are_named_than_asked_for_and_nothing_that_costs_nothing() -> None:
    many = [line("material", f"m{n}", 100 * n) for n in range(9)]
    assert [one.key for one in largest_parts(many, basis(), {}, most=3)] == ["m8", "m7", "m6"]
    assert largest_parts([line("material", "free", 0)], basis(), {}) == ()


@pytest.mark.parametrize(("own", "stands_out"), [("19.99", False), ("20.00", True), ("500", True), ("0.50", False)])
def test_a_price_is_held_against_the_middle_of_its_fellows_where_it_is_dearer(own: str, stands_out: bool) -> None:
    found = far_off("red", basis(red=own, gray="4", buff="5", black="6"), None)
    assert (found is not None) is stands_out
    if found:
        assert (found.other, found.fellows, found.times) == (5, 3, float(own) / 5)


def test_one_fellow_or_another_unit_says_nothing() -> None:
    assert far_off("red", basis(red="500", gray="4"), None) is None
    assert far_off("cap", basis(cap="500", gray="4", buff="5"), None) is not None  # by the square foot, as they are
    by_piece = basis(cap="500", gray="4", buff="5")
    pieces = {**by_piece.materials, "cap": replace(by_piece.materials["cap"], buy="each")}
    assert far_off("cap", replace(by_piece, materials=pieces), None) is None


@pytest.mark.parametrize(("own", "stands_out"), [("16", True), ("15.99", False), ("1", True), ("1.01", False)])
def test_what_the_book_said_before_speaks_first_up_and_down(own: str, stands_out: bool) -> None:
    found = far_off("red", basis(red=own, gray="400", buff="500"), Decimal(4))
    assert (found is not None) is stands_out
    if found:
        assert (found.other, found.fellows) == (4, 0)


def test_it_opens_to_its_lines_and_what_is_gone_to_nothing() -> None:
    told = explain_largest(LINES, "material:red", "USD")
    assert told is not None
    assert (told.result, [step.result for step in told.steps]) == (700, [300, 400])
    assert explain_largest(LINES, "material:gray", "USD") is None
