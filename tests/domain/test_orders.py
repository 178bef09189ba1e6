"""Orders: the amounts are worked by hand from an 18 by 16 ft terrace in small pavers (tests/domain/takeoff/recipes.py).

Base: 288 sq ft grown by 6 in, 6 in deep, at 140 lb per cu ft and 8 % loss (all invented): see each test.
"""

from dataclasses import fields, replace
from datetime import date
from decimal import Decimal

import pytest

from app.domain.basis import Assembly, Basis, CostClass, LaborClass, Material, Part, Price, Supplier
from app.domain.costing.estimate import estimate
from app.domain.job import PlaceKind, Work
from app.domain.machine import OwnedMachine
from app.domain.orders import OrderKind, OrderLine, OrderList, order
from app.domain.takeoff.hiring import hire_words
from app.interchange.order_sheets import bought_words, notes_of
from tests.domain.takeoff.recipes import BASIS
from tests.domain.takeoff.yards import FIRST, GRILL, JOB, PLAIN, SECOND, key, work

PHASED = replace(JOB, phases=(replace(FIRST, title="Terrace", start=date(2027, 5, 10)), SECOND))


def price(material: str, **more) -> Price:
    return Price(material=material, unit_price=Decimal(1), **more)


def basis() -> Basis:
    prices = {
        "cobble": price("cobble", supplier="yard", pack=100, pack_name="pallet", batch="one batch"),
        "base-stone": price("base-stone", supplier="pit", least=20),
        "sand": price("sand", supplier="pit"),
    }
    materials = {
        **BASIS.materials,
        "base-stone": replace(BASIS.materials["base-stone"], load="10*ton", lead_days=5),
        "haul-soil": replace(BASIS.materials["haul-soil"], cost_class=CostClass.HAULING),
        "cobble": replace(BASIS.materials["cobble"], lead_days=14),
    }
    suppliers = {
        "yard": Supplier(key="yard", title="Wren Hollow Stone", phone="555 0117"),
        "pit": Supplier(key="pit", title="Aldgate Pit"),
    }
    return replace(BASIS, prices=prices, materials=materials, suppliers=suppliers)


def lines(lists: tuple[OrderList, ...]) -> dict[str, OrderLine]:
    return {line.material: line for one in lists for line in one.lines}


def test_lists_are_by_supplier_and_what_nobody_sells_stands_last_of_its_kind():
    found = [(one.kind, one.supplier_title) for one in order(PHASED, basis())]
    assert found == [
        (OrderKind.MATERIALS, "Aldgate Pit"),
        (OrderKind.MATERIALS, "Wren Hollow Stone"),
        (OrderKind.MATERIALS, ""),
        (OrderKind.HAULING, ""),
    ]


def test_pavers_come_in_whole_pallets_of_one_batch_with_what_is_kept():
    line = lines(order(PHASED, basis()))["cobble"]
    # 288 sq ft / 0.375 sq ft = 768 units; 7 % lost and 2 % kept: 768 × 1.09 = 837.12, so 9 pallets of 100
    assert line.wanted == pytest.approx(837.12)
    assert line.kept == pytest.approx(15.36)
    assert (line.packs, line.bought, line.pack_name, line.one_batch) == (9, 900, "pallet", True)


def test_base_stone_is_told_in_loads_and_never_under_the_least_order():
    line = lines(order(PHASED, basis()))["base-stone"]
    # (288 + 68 × 0.5 + π/4 or 1) × 0.5 ft × 140 lb × 1.08 / 2000 is about 12.2 tons: least order 20, loads of 10
    assert 12 < line.wanted < 12.5
    assert (line.bought, line.loads) == (20, 2)


def test_order_by_is_the_start_less_the_lead():
    found = lines(order(PHASED, basis()))
    assert found["cobble"].order_by == date(2027, 4, 26)
    assert found["base-stone"].order_by == date(2027, 5, 5)
    assert [one.order_by for one in order(PHASED, basis()) if one.supplier == "pit"] == [date(2027, 5, 5)]


def test_order_by_is_not_known_before_the_phase_has_a_start():
    assert {line.order_by for line in lines(order(JOB, basis())).values()} == {None}


def test_hired_trade_is_booked_by_the_lead_of_the_work_it_is_for():
    own = basis()
    pavers = own.assemblies["unit-pavers"]
    lead = replace(pavers, build=replace(pavers.build, lead_days=30))
    hired = {**own.materials, "joint-sand": replace(own.materials["joint-sand"], cost_class=CostClass.SUBCONTRACT)}
    found = order(PHASED, replace(own, materials=hired, assemblies={**own.assemblies, "unit-pavers": lead}))
    line = lines(found)["joint-sand"]
    assert line.order_by == date(2027, 4, 10)
    assert next(one.kind for one in found if line in one.lines) is OrderKind.SUBCONTRACT


@pytest.mark.parametrize(
    ("cost_class", "kind"),
    [
        (CostClass.EQUIPMENT, OrderKind.RENT),
        (CostClass.SUBCONTRACT, OrderKind.SUBCONTRACT),
        (CostClass.HAULING, OrderKind.HAULING),
        (CostClass.FEE, OrderKind.FEES),
        (CostClass.ALLOWANCE, OrderKind.TO_CHOOSE),
    ],
)
def test_what_is_rented_hired_hauled_and_paid_stands_on_lists_of_its_own(cost_class, kind):
    own = basis()
    moved = {**own.materials, "sand": replace(own.materials["sand"], cost_class=cost_class)}
    found = order(PHASED, replace(own, materials=moved))
    assert [one.kind for one in found if any(line.material == "sand" for line in one.lines)] == [kind]


def test_one_material_in_two_zones_is_one_line_with_both_letters():
    twice = replace(
        PHASED,
        zones=(*JOB.zones, replace(JOB.zones[0], id=key(13), letter="B", title="Walk", chosen_id=key(14))),
        alternatives=(*JOB.alternatives, replace(PLAIN, id=key(14), zone_id=key(13))),
        works=(*JOB.works, work(101, place_id=key(14))),
    )
    line = lines(order(twice, basis()))["cobble"]
    assert line.zones == ("A", "B")
    assert line.wanted == pytest.approx(2 * 837.12)
    assert line.packs == 17  # 1674.24 in pallets of 100: not twice nine


def test_two_phases_order_apart():
    later = replace(PHASED, works=(*JOB.works, work(101, phase_id=SECOND.id)))
    phases = [(one.phase_number, one.start) for one in order(later, basis()) if one.supplier == "yard"]
    assert phases == [(1, date(2027, 5, 10)), (2, None)]


def test_amounts_are_the_estimates_own_purchases():
    from app.domain.costing.estimate import estimate

    bought = {(one.material, one.phase): one.bought for one in estimate(PHASED, basis()).purchases}
    assert bought == {
        (line.material, one.phase_id): line.bought for one in order(PHASED, basis()) for line in one.lines
    }


def test_supplier_that_the_book_does_not_know_is_named_by_its_key():
    assert {one.supplier_title for one in order(PHASED, replace(basis(), suppliers={}))} == {"yard", "pit", ""}


def test_no_field_of_an_order_holds_money():
    names = {field.name for cls in (OrderLine, OrderList) for field in fields(cls)}
    assert not {name for name in names if "cent" in name or "price" in name or "cost" in name}


def test_work_that_cannot_be_worked_out_orders_nothing():
    lost = replace(JOB, works=(Work(id=key(1), place=PlaceKind.FEATURE, place_id=GRILL.id, assembly="unit-pavers"),))
    assert order(lost, basis()) == ()


def test_what_goes_by_crew_days_is_ordered_for_the_days_the_estimate_pays_for():
    """The site slows the crew, so its days are more than the hours at the plain rate: both count the same ones."""
    daily = Assembly(key="daily", title="Daily", measures="job", parts=(Part(role="bags", amount="crew_days"),))
    bags = Material(key="bags", title="Bags", role="bags", buy="each")
    known = basis()
    slowed = replace(
        known,
        firm=replace(known.firm, crew_size=1, crew_day_hours=Decimal(1)),
        assemblies={**known.assemblies, "daily": replace(daily, parts=(replace(daily.parts[0], material="bags"),))},
        materials={**known.materials, "bags": bags},
        tasks={name: replace(task, slows=("soil",)) for name, task in known.tasks.items()},
        labor_classes={
            task.crew: LaborClass(key=task.crew, title="", wage=Decimal(20)) for task in known.tasks.values()
        },
    )
    of_all = Work(id=key(900), place=PlaceKind.JOB, assembly="daily")
    job = replace(PHASED, site=replace(JOB.site, soil="rock"), works=(*JOB.works, of_all))
    paid = {(one.material, one.phase): one.bought for one in estimate(job, slowed).purchases}
    ordered = {(line.material, one.phase_id): line.bought for one in order(job, slowed) for line in one.lines}
    assert ordered == paid
    easy = replace(job, site=replace(JOB.site, soil="sand"))
    assert lines(order(job, slowed))["bags"].bought > lines(order(easy, slowed))["bags"].bought


def test_machine_is_ordered_by_its_periods_for_the_hours_of_work():
    digger = Material(key="base-stone", title="Digger", role="r", buy="ton", cost_class=CostClass.EQUIPMENT)
    on = basis()
    tons = lines(order(PHASED, on))["base-stone"].wanted
    machine = replace(digger, buy="hour", coverage="1*ton", placed_density="140*lb/foot**3")
    machine = replace(machine, coverage="100*foot**3")
    hired = replace(on.prices["base-stone"], least=0, day_cents=300, week_cents=900)
    on = replace(on, materials={**on.materials, "base-stone": machine}, prices={**on.prices, "base-stone": hired})
    line = lines(order(PHASED, on))["base-stone"]
    assert tons > line.wanted > 0
    assert line.hire is not None
    assert bought_words(line) == hire_words(line.hire)
    assert notes_of(line)[0].startswith("for ")


def test_machine_of_our_own_is_ordered_of_nobody():
    on = basis()
    machine = replace(on.materials["base-stone"], cost_class=CostClass.EQUIPMENT)
    owned = replace(on.prices["base-stone"], owned=OwnedMachine(purchase_cents=5_000_00))
    on = replace(on, firm=replace(on.firm, name="Brackenfold Yards"))
    hired = replace(on, materials={**on.materials, "base-stone": machine})
    assert (OrderKind.RENT, "Aldgate Pit") in [(one.kind, one.supplier_title) for one in order(PHASED, hired)]
    ours = replace(hired, prices={**on.prices, "base-stone": owned})
    found = [one for one in order(PHASED, ours) if "base-stone" in [line.material for line in one.lines]]
    assert [(one.kind, one.supplier, one.supplier_title, one.phone) for one in found] == [
        (OrderKind.OWN, "", "Brackenfold Yards", "")
    ]
    assert [line.order_by for line in found[0].lines] == [None]
