"""What makes most of a price: the lines that cost most, each with its unit price and what speaks against that."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from statistics import median

from app.domain.basis import Basis
from app.domain.costing.lines import Line
from app.domain.takeoff.trace import Trace, number_text

RULE = "price-far-off"
TIMES = 4.0  # where the basis holds no such rule
FELLOWS = 2  # other prices of one use and unit that are the least to be held against
MOST = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """What a unit price is far from: the firm's own earlier price of it, or the middle of its fellows in the book.

    `times` is how many times the other it is, below 1 where it is less; `fellows` how many others there are.
    """

    other: Decimal
    times: float
    fellows: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LargePart:
    """All lines of one material or task together; `part` is their share of the direct cost, `hours` of labor."""

    kind: str
    key: str
    title: str
    cents: int
    part: float
    amount: float
    unit: str
    hours: float
    unit_price: Decimal | None = None
    against: Against | None = None

    @property
    def figure(self) -> str:
        """The name by which it is explained."""
        return f"{self.kind}:{self.key}"


def largest_parts(
    lines: Sequence[Line], basis: Basis, earlier: Mapping[str, Decimal], most: int = MOST
) -> tuple[LargePart, ...]:
    """The materials and tasks that cost most, the dearest first; `earlier` are prices the book had before, by material.

    Direct cost [cents]; what an allowance or a rounding is, is not among them.
    """
    together: dict[tuple[str, str], list[Line]] = {}
    for line in lines:
        if line.kind in ("material", "task"):
            together.setdefault((line.kind, line.key), []).append(line)
    whole = sum(line.cents for line in lines)
    dearest = sorted(together.items(), key=lambda one: (-sum(line.cents for line in one[1]), one[0]))
    return tuple(_part(kind, of, whole, basis, earlier) for (kind, _), of in dearest[:most] if any(x.cents for x in of))


def _part(kind: str, of: list[Line], whole: int, basis: Basis, earlier: Mapping[str, Decimal]) -> LargePart:
    first, cents = of[0], sum(line.cents for line in of)
    price = basis.prices.get(first.key) if kind == "material" else None
    return LargePart(
        kind=kind,
        key=first.key,
        title=first.title,
        cents=cents,
        part=cents / whole if whole else 0.0,
        amount=sum(line.amount for line in of),
        unit=first.unit,
        hours=sum(line.hours for line in of),
        unit_price=price.unit_price if price else None,
        against=far_off(first.key, basis, earlier.get(first.key)) if price else None,
    )


def far_off(material: str, basis: Basis, earlier: Decimal | None) -> Against | None:
    """What a unit price is far from; None where it is near, or where there is nothing to hold it against.

    First the firm's own earlier price, up or down; then the middle of the other prices of the book for the same use,
    bought by the same unit, where it is dearer. A slipped comma is ten times, another unit a hundred. Assumption.
    """
    price, rule = basis.prices.get(material), basis.rules.get(RULE)
    limit = rule.value if rule else TIMES
    if price is None or price.unit_price <= 0:
        return None
    if earlier and earlier > 0:
        times = float(price.unit_price / earlier)
        return Against(other=earlier, times=times) if times >= limit or times <= 1 / limit else None
    fellows = sorted(_fellows(material, basis))
    if len(fellows) < FELLOWS:
        return None
    middle = median(fellows)
    times = float(price.unit_price / middle)
    return Against(other=Decimal(middle), times=times, fellows=len(fellows)) if times >= limit else None


def _fellows(material: str, basis: Basis) -> Iterable[Decimal]:
    own = basis.materials.get(material)
    if own is None:
        return
    for key, other in basis.materials.items():
        price = basis.prices.get(key)
        fits = key != material and (other.role, other.buy) == (own.role, own.buy)
        if fits and price and price.unit_price > 0:
            yield price.unit_price


def explain_largest(lines: Sequence[Line], figure: str, currency: str) -> Trace | None:
    """How one of them adds up: its lines; None where there is no such line (any more)."""
    kind, _, key = figure.partition(":")
    of = [line for line in lines if (line.kind, line.key) == (kind, key)]
    if not of:
        return None
    bought = "amount × unit price, with delivery and packs shared in"
    told = bought if kind == "material" else "hours × what an hour costs"
    steps = tuple(
        Trace(
            label=f"{number_text(line.amount)} {line.unit}",
            expression=told,
            filled=f"{number_text(line.hours)} hours" if line.hours else "",
            result=line.cents / 100,
            unit=currency,
        )
        for line in of
    )
    total = sum(line.cents for line in of) / 100
    return Trace(label=of[0].title, expression="sum of its lines", filled="", result=total, unit=currency, steps=steps)


def explain_unit_price(material: str, basis: Basis, earlier: Decimal | None) -> Trace | None:
    """Where a unit price comes from, and what it is held against; None where the book has none."""
    price, known = basis.prices.get(material), basis.materials.get(material)
    if price is None or known is None:
        return None
    unit = basis.firm.currency
    others = sorted(_fellows(material, basis))
    told: list[Trace] = []
    if earlier:
        told.append(Trace(label="The book before", expression="", filled="", result=float(earlier), unit=unit))
    if others:
        middle = f"the middle of {len(others)} for “{known.role}” by the same unit"
        told.append(Trace(label="Others", expression=middle, filled="", result=float(median(others)), unit=unit))
    supplier = basis.suppliers.get(price.supplier)
    known_by = ("price book", supplier.title if supplier else "", _day(price.priced_on))
    return Trace(
        label=f"{known.title}: unit price",
        expression="as the price book has it",
        filled="",
        result=float(price.unit_price),
        unit=unit,
        source=", ".join(part for part in known_by if part),
        steps=tuple(told),
    )


def _day(day: date | None) -> str:
    return f"priced {day.isoformat()}" if day else ""
