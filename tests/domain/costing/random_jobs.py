"""Random jobs and bases that both estimates understand: rectangles that lie apart, plain recipes, all prices there."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import strategies as st

from app.domain.basis import Assembly, Basis, CostClass, Firm, LaborClass, Material, Part, Price, Task, TaskUse
from app.domain.job import Allowance, Alternative, Client, Head, Job, Phase, PlaceKind, Site, Work, Zone
from app.domain.plan.shapes import rectangle
from tests.domain.costing.three_zones import key

SHARES = st.decimals(0, "0.4", places=3)
CLASSES = st.sampled_from([CostClass.MATERIAL, CostClass.MATERIAL, CostClass.EQUIPMENT, CostClass.SUBCONTRACT])
SIDES = st.integers(4, 400).map(lambda quarters: quarters / 4)

# dimension of an amount → formulas for a zone; the material or task of that dimension
AMOUNTS = {
    "volume": ("area * 6*inch", "area * 0.25*foot", "area * 4*inch + outline * 0.5*foot**2"),
    "weight": ("area * 3*inch",),
    "area": ("area", "area * 1.5"),
    "length": ("outline", "outline + 2*foot"),
    "count": ("area / coverage_of('count')",),
}
MATERIALS = {
    "volume": {"buy": "yard**3"},
    "weight": {"buy": "ton", "placed_density": "140*lb/foot**3", "loosens": 1.25},
    "area": {"buy": "foot**2"},
    "length": {"buy": "each", "coverage": "8*foot"},
    "count": {"buy": "each", "coverage": "0.375*foot**2"},
}


def three(most: float, least: float = 0.0):
    cents = st.integers(int(least * 1000), int(most * 1000)).map(lambda n: n / 1000)
    return st.lists(cents, min_size=3, max_size=3).map(lambda found: tuple(sorted(found)))


@st.composite
def bases(draw) -> Basis:
    materials, prices, tasks, assemblies = {}, {}, {}, {}
    for name, told in MATERIALS.items():
        load = draw(st.sampled_from(["", "16*ton", "10*yard**3"])) if name == "weight" else ""
        materials[name] = Material(
            key=name, title=name, role=name, cost_class=draw(CLASSES), loss=draw(st.sampled_from([0.0, 0.05, 0.08])), load=load, **told
        )  # fmt: skip
        prices[name] = Price(
            material=name,
            unit_price=draw(st.decimals("0.01", 300, places=4)),
            supplier=draw(st.sampled_from(["", "yard", "quarry"])),
            pack=draw(st.sampled_from([1.0, 0.1, 2.5, 40.0])),
            least=draw(st.sampled_from([0.0, 3.0])),
            low=-0.05,
            high=0.1,
            delivery_cents=draw(st.sampled_from([0, 9_500])),
        )
    for name in ("area", "length"):
        unit = {"area": "foot**2", "length": "foot"}[name]
        slows = draw(st.sampled_from([(), ("access",)]))
        tasks[name] = Task(
            key=name, title=name, unit=unit, hours=draw(three(0.2, 0.001)), setup=draw(three(3)), slows=slows
        )
    tasks["watch"] = Task(key="watch", title="watch", unit="hour", hours=(1.0, 1.0, 1.0), crew="owner")
    for number in range(3):
        of = draw(st.lists(st.sampled_from(sorted(AMOUNTS)), min_size=1, max_size=3, unique=True))
        parts = tuple(
            Part(
                role=one,
                material=one,
                amount=draw(st.sampled_from(AMOUNTS[one])),
                keep=draw(st.sampled_from([0.0, 0.02])),
            )
            for one in of
        )
        uses = tuple(
            TaskUse(task=one, amount=draw(st.sampled_from(AMOUNTS[one])))
            for one in draw(st.lists(st.sampled_from(["area", "length"]), max_size=2, unique=True))
        )
        assemblies[f"a{number}"] = Assembly(key=f"a{number}", title="A", parts=parts, tasks=uses)
    assemblies["watching"] = Assembly(
        key="watching", title="W", measures="job", tasks=(TaskUse(task="watch", amount="crew_days * 1.5*hour"),)
    )
    people = {
        one: LaborClass(key=one, title=one, wage=draw(st.decimals(15, 60, places=2)), burden={"a": draw(SHARES)}, billable=Decimal("0.8"), own=one == "owner")
        for one in ("crew", "owner")
    }  # fmt: skip
    return Basis(
        firm=draw(firms()), assemblies=assemblies, materials=materials, tasks=tasks, prices=prices, labor_classes=people
    )


@st.composite
def firms(draw) -> Firm:
    return Firm(
        crew_day_hours=draw(st.sampled_from([Decimal(8), Decimal(9), Decimal("8.5")])),
        crew_size=draw(st.integers(1, 5)),
        rate_third=draw(st.sampled_from(["likely", "high"])),
        warranty_reserve=draw(SHARES),
        contingency=draw(SHARES),
        overhead={"material": draw(SHARES), "labor": draw(SHARES)},
        overhead_per_hour=draw(st.decimals(0, 20, places=2)),
        margin=draw(SHARES),
        tax_mode=draw(st.sampled_from(["consumer", "none", "retailer"])),
        tax_rate=draw(st.decimals(0, "0.1", places=4)),
        round_to_cents=draw(st.sampled_from([1, 100, 1000])),
    )


@st.composite
def jobs(draw) -> Job:
    count = draw(st.integers(1, 4))
    phases = tuple(Phase(id=key(900 + n), number=n) for n in (1, 2))
    zones = tuple(
        Zone(id=key(10 + n), letter="ABCD"[n], title="Z", chosen_id=key(20 + n), phase_id=draw(st.sampled_from([None, key(901), key(902)])))
        for n in range(count)
    )  # fmt: skip
    alternatives = tuple(
        Alternative(id=key(20 + n), zone_id=key(10 + n), outline=rectangle(draw(SIDES), draw(SIDES), at=(n * 1000.0, 0.0)))
        for n in range(count)
    )  # fmt: skip
    works = [
        Work(id=key(100 + at), place=PlaceKind.ALTERNATIVE, place_id=key(20 + zone), assembly=f"a{recipe}")
        for at, (zone, recipe) in enumerate(
            draw(st.lists(st.tuples(st.integers(0, count - 1), st.integers(0, 2)), min_size=1, max_size=6))
        )
    ]
    works += [Work(id=key(200), place=PlaceKind.JOB, place_id=None, assembly="watching")] * draw(st.integers(0, 1))
    allowances = tuple(
        Allowance(id=key(300 + n), cents=draw(st.integers(0, 10**6)), zone_id=draw(st.sampled_from([None, key(10)])))
        for n in range(draw(st.integers(0, 1)))
    )
    return Job(
        head=Head(id=key(1), client_id=key(2)),
        client=Client(id=key(2)),
        site=Site(id=key(3), access_width=draw(st.sampled_from([None, 2.5, 4.0, 8.0]))),
        zones=zones,
        alternatives=alternatives,
        phases=phases,
        works=tuple(works),
        allowances=allowances,
    )


def shuffled(job: Job, chance) -> Job:
    """The same job with its things entered in another order."""
    mixed = {name: list(getattr(job, name)) for name in ("zones", "alternatives", "works", "phases")}
    for things in mixed.values():
        chance.shuffle(things)
    return replace(job, **{name: tuple(things) for name, things in mixed.items()})
