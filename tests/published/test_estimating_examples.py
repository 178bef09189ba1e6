"""Worked examples of estimating that others published, run through purchases, labor and price. The source is beside each.

The tables' figures were read in excerpts of the sources; what is our own arithmetic on them says so.
"""

from decimal import Decimal
from uuid import UUID

import pytest

from app.domain.basis import Basis, Firm, LaborClass, Material, Price, Task
from app.domain.costing.crew_day import crew_days, day_of
from app.domain.costing.labor import cost_per_hour, hours_of
from app.domain.costing.price import margin_of, markup_of, profit_cents
from app.domain.costing.range import Input, Inputs, distribution
from app.domain.pay import CrewDay
from app.domain.takeoff.purchases import Purchase, purchases
from app.domain.takeoff.requirements import Requirement
from app.domain.units import AREA, RATIO, VOLUME, Dimension


def bought(material: Material, amount: float, dimension: Dimension, **more: float) -> Purchase:
    told = {"work_id": UUID(int=1), "index": 0, "kind": "material", "key": material.key, "role": "r", "label": "l"}
    place = {"zone": "z", "phase": "", "place": "zone:z", "assembly": "a", "loss": material.loss, "keep": 0.0}
    need = Requirement(**{**told, **place, **more}, amount=amount, dimension=dimension)
    price = Price(material=material.key, unit_price=Decimal(1))
    return purchases([need], Basis(materials={material.key: material}, prices={material.key: price}))[0][0]


def test_concrete_of_a_small_building_with_a_tenth_of_waste_is_ordered_up_not_down():
    # US Navy, Engineering Aid, NAVEDTRA 14070, figure 5-2: 527.40 cu ft, × 1.10 = 580.14 cu ft; printed "21 cu yd" is
    # rounded down: 580.14 / 27 = 21.49, and 22 must be ordered (our reading of it). 133.032 in the print is a misprint.
    volumes = (85.76, 50.0356, 133.32, 69.32, 188.961)
    concrete = Material(key="concrete", title="Concrete", role="r", buy="yard**3", loss=0.10)
    order = bought(concrete, sum(volumes), VOLUME)
    assert order.wanted * 27 == pytest.approx(580.14, abs=0.01)
    assert order.bought == 22


def test_bulk_coat_with_a_loss_comes_to_a_whole_number_of_gallons_and_stays_it():
    # US Army FM 5-436, chapter 6: gallons = L (W + 2) R (1 + H) / 9 with L 15,840 ft, W 23 ft, R 0.3 gal/sq yd, H 5 %
    # (inputs published; 13,860 is our arithmetic). In floats it comes out a hair above: it must not order 13,861.
    coat = Material(key="coat", title="Coat", role="r", buy="gallon", coverage="9*foot**2/0.3", loss=0.05)
    assert bought(coat, 15_840 * (23 + 2), AREA).bought == 13_860


def test_blocks_of_a_wall_with_six_percent_of_waste():
    # 20 × 10 ft of 8 × 16 in faces, 1.125 blocks per sq ft and 6 % waste: 238.5, that is 239 blocks (a trade page;
    # common practice). NAVEDTRA 14045, table 4-3 page, gives 3/4 block a foot and 3/2 courses a foot: the same 1.125.
    block = Material(key="block", title="Block", role="r", buy="each", coverage="8/9*foot**2", loss=0.06)
    assert bought(block, 200, AREA).bought == 239
    assert bought(block, 1_000, AREA, loss=0.0).bought == 1_125  # 100 × 10 ft: 75 a course, 15 courses


def test_pickup_loads_that_come_out_whole_stay_whole():
    # geometry: 0.1 + 0.2 of a load three times is 0.9 of a load; 3 × 0.1 × 10 cu yd is 3 loads of 1 cu yd exactly
    soil = Material(key="soil", title="Soil", role="r", buy="yard**3", load="1*yard**3")
    assert bought(soil, (0.1 + 0.2) * 10 * 27, VOLUME).loads == 3


def test_man_days_from_a_production_rate():
    # US Navy, Builder Advanced, NAVEDTRA 14045, p. 2-27: 16,000 sq ft at 33 man-hours per 1,000 sq ft / 8 = 66 man-days
    board = Task(key="board", title="Board", unit="foot**2", hours=(0.033, 0.033, 0.033))
    firm = Firm(crew_day_hours=Decimal(8), crew_size=1)
    hours = hours_of(16_000, board, firm, {})
    assert hours.priced == pytest.approx(528)
    assert crew_days({"": [(hours.priced, Decimal(1))]}, day_of(firm, {}))[0].days == 66
    # a longer day holds more of them: man-day equivalent 9/8, NAVEDTRA 14233; 66 / 1.125 = 58.67, in whole days 59
    longer = Firm(crew_day_hours=Decimal(9), crew_size=1)
    assert crew_days({"": [(hours.priced, Decimal(1))]}, day_of(longer, {}))[0].days == 59


def test_days_of_a_crew_of_which_a_share_of_the_day_is_worked():
    # US Navy, NAVEDTRA 14233 and 14045: duration = man-days / (crew × availability × man-day equivalent); 66 man-days,
    # crew of 5, availability 0.80 (published 0.75 to 0.85), 9-hour days 1.125: 14.67 days (our arithmetic), whole 15
    firm = Firm(crew_day_hours=Decimal(9), crew_size=5, crew_day=CrewDay(loading=Decimal("1.8")))
    day = day_of(firm, {})
    assert day.worked / day.paid == pytest.approx(0.80)
    assert 66 * 8 / (day.worked * day.people) == pytest.approx(14.67, abs=0.005)
    assert crew_days({"": [(66 * 8.0, Decimal(1))]}, day)[0].days == 15


def test_cost_of_an_hour_from_wage_and_what_comes_on_top():
    # US Bureau of Labor Statistics, employer costs for employee compensation, June 2022, construction (quoted by the
    # Economic Policy Institute): wages 30.39; supplements 1.61, leave 1.97, insurance and retirement 5.55, legally
    # required 4.03; total 43.56 (its rounded rows add up to 43.55)
    wage = Decimal("30.39")
    on_top = {"supplements": "1.61", "leave": "1.97", "insurance": "5.55", "legal": "4.03"}
    burden = {name: Decimal(dollars) / wage for name, dollars in on_top.items()}
    hour = cost_per_hour(LaborClass(key="c", title="", wage=wage, burden=burden))
    assert hour == pytest.approx(Decimal("43.56"), abs=Decimal("0.011"))
    assert sum(burden.values()) == pytest.approx(Decimal("0.433"), abs=Decimal("0.001"))  # our arithmetic


def test_unproductive_hours_raise_the_cost_of_a_productive_one():
    # 172 paid hours a month, 78 % of them productive: printed 134 hours, 134.16 (a trade forum; common practice, no source)
    hour = cost_per_hour(LaborClass(key="c", title="", wage=Decimal(10), billable=Decimal("0.78")))
    assert hour * Decimal("134.16") == pytest.approx(Decimal(10) * 172, abs=Decimal("0.01"))


@pytest.mark.parametrize(
    ("markup", "margin"), [("0.25", "0.20"), ("1/3", "0.25"), ("0.5", "1/3"), ("2/3", "0.40"), ("1", "0.50")]
)
def test_markup_on_cost_and_margin_on_price_go_together(markup, margin):
    # identities of arithmetic, as printed in every text on pricing: margin = markup / (1 + markup)
    up, on_price = (Decimal(a) / Decimal(b or 1) for a, _, b in (text.partition("/") for text in (markup, margin)))
    assert margin_of(up) == pytest.approx(on_price)
    assert markup_of(on_price) == pytest.approx(up)


def test_margin_of_a_quarter_divides_the_cost_by_three_quarters():
    # a small-business text: a cost of $20 at 50 % markup sells for $30, a margin of a third; for a margin of 25 %
    # divide by 0.75 (26.67 is our arithmetic)
    assert 2_000 + profit_cents(2_000, Decimal(1) / 3) == 3_000
    assert 2_000 + profit_cents(2_000, Decimal("0.25")) == 2_667


@pytest.mark.parametrize(
    ("low", "likely", "high", "expected"),
    [(2, 5, 8, 5), (1, 2, 9, 3), (0.25, 0.5, 3.75, 1), (1, 1, 7, 2), (1, 3, 11, 4)],
)
def test_expected_value_of_three_points(low, likely, high, expected):
    # the tasks of a published PERT example (pmknowledgecenter.be; inputs published, (a + 4m + b)/6 our arithmetic)
    assert distribution(Inputs((Input("task", low, likely, high),))).mean == pytest.approx(expected)


def test_units_that_are_bought_whole_are_never_ordered_short():
    # brick paving, 4.5 modular units per sq ft with joints (Beall, Masonry and Concrete, p. 141; fraction read from a
    # poor scan): 100 sq ft are 450 units, a square foot more is 5 units more
    brick = Material(key="brick", title="Brick", role="r", buy="each", coverage="foot**2/4.5")
    assert bought(brick, 100, AREA).bought == 450
    assert bought(brick, 101, AREA).bought == 455
    assert bought(brick, 450, RATIO).bought == 450
