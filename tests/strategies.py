"""Random values of the domain for property tests: jobs and bases whose parts fit together.

Every field of every dataclass is drawn by its declared type, so a new field is covered without a change here. Ids
are unique, things name only things that are there, outlines are real, and formulas have the dimension they need.
"""

import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from hypothesis import strategies as st

from app.domain.basis import (
    Assembly,
    Basis,
    Firm,
    Include,
    LaborClass,
    Material,
    Parameter,
    Part,
    Price,
    Reminder,
    Rule,
    Subcontractor,
    Supplier,
    Task,
    TaskUse,
)
from app.domain.job import JOB_THINGS, Client, Head, Job, Mark, Opening, PlaceKind, RodReading, Site, Tape
from app.domain.plan.outline import Outline

WORDS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=4)
# one draw each: a job has so many parts that those drawn letter by letter would use up what an example may draw
KEYS = st.integers(0, 999).map(
    lambda n: f"{'abcdefghij'[n % 10]}{['stone', 'oak', 'fern', 'slate'][n // 10 % 4]}-{n // 40}"
)
HASHES = st.integers(0, 2**32).map(lambda n: f"{n:064x}")
AMOUNTS = st.floats(0, 10_000, allow_nan=False).map(lambda x: round(x, 4))
SHARES = st.decimals(0, "0.95", places=4)

# A formula of each dimension for each thing an assembly can be placed on.
FORMULAS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "zone": {"area": ("area", "grown(6*inch)", "area * 0.5"), "length": ("outline", "shared('ground')")},
    "run": {"area": ("length * height", "length * 2*foot"), "length": ("length", "length + 1*foot")},
    "edge": {"area": ("length * 1*foot",), "length": ("length", "curved_length + length")},
    "feature": {"area": ("count * 4*foot**2",), "length": ("count * 3*foot",)},
    "existing": {"area": ("count * 4*foot**2",), "length": ("count * 3*foot",)},
    "job": {"area": ("area_total",), "length": ("haul_distance",)},
}
# field → where the thing it names is held
NAMED = (
    ("zone_id", "zones"),
    ("phase_id", "phases"),
    ("chosen_id", "alternatives"),
    ("benchmark_id", "marks"),
    ("way_id", "alternatives"),
    ("alternative_id", "alternatives"),
    ("packet_id", "packets"),
    ("approval_id", "approvals"),
    ("photo_id", "photos"),
    ("order_id", "supply_orders"),
    ("spot_id", "features"),
    ("done_photo_id", "photos"),
    ("valve_id", "existing"),
)
# things that cannot be without the one they name
MUST_NAME = {
    "Alternative": "zone_id",
    "Edge": "zone_id",
    "Planting": "alternative_id",
    "Quote": "packet_id",
    "CutSheet": "approval_id",
    **dict.fromkeys(("Backorder", "Substitute", "Delivery", "PalletsBack", "SupplierBill"), "order_id"),
}
NAMED_MANY = (
    ("zone_ids", "zones"),
    ("thing_ids", "features"),
    ("way_ids", "alternatives"),
    ("option_ids", "options"),
    ("work_ids", "works"),
    ("photo_ids", "photos"),
    ("along_ids", "runs"),
)
BOUGHT = {"area": "foot**2", "length": "foot", "volume": "ton"}
MOST_KINDS = 14  # kinds of things of one job: all of them at once are more than an example may draw
PLACES = {
    PlaceKind.ALTERNATIVE: ("alternatives", "zone"),
    PlaceKind.RUN: ("runs", "run"),
    PlaceKind.FEATURE: ("features", "feature"),
    PlaceKind.EDGE: ("edges", "edge"),
    PlaceKind.EXISTING: ("existing", "existing"),
}


@st.composite
def outlines(draw: st.DrawFn) -> Outline:
    """A rectangle somewhere, turned by quarter turns only, from 1 to 60 ft a side."""
    width, depth = draw(st.integers(1, 60)), draw(st.integers(1, 60))
    x, y = draw(st.integers(-50, 50)), draw(st.integers(-50, 50))
    corners = [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth), (x, y)]
    ring = ", ".join(f"{a} {b}" for a, b in corners)
    return Outline(f"POLYGON (({ring}))", "rectangle", (float(width), float(depth)))


LEAVES: Mapping[Any, st.SearchStrategy[Any]] = {
    str: WORDS,
    bool: st.booleans(),
    int: st.integers(0, 1000),
    float: AMOUNTS,
    Decimal: SHARES,
    UUID: st.integers(1, 2**32).map(lambda n: UUID(int=n)),
    date: st.dates(date(2020, 1, 1), date(2035, 12, 31)),
    datetime: st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC)),  # noqa: DTZ001
    Outline: outlines(),
}


@cache
def of_type(kind: Any) -> st.SearchStrategy[Any]:  # noqa: PLR0911  one line a sort of type
    """Values of a declared type."""
    if kind in LEAVES:
        return LEAVES[kind]
    if isinstance(kind, type) and issubclass(kind, Enum):
        return st.sampled_from(kind)
    if is_dataclass(kind):
        return made(kind)  # type: ignore[arg-type]
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is Literal:
        return st.sampled_from(arguments)
    if origin in (Union, types.UnionType):
        return st.one_of(*(st.none() if a is type(None) else of_type(a) for a in arguments))
    if origin is tuple and arguments[-1] is Ellipsis:
        return st.lists(of_type(arguments[0]), max_size=1).map(tuple)
    if origin is tuple:
        return st.tuples(*map(of_type, arguments))
    if origin is not None and issubclass(origin, Mapping):
        return st.dictionaries(KEYS, of_type(arguments[1]), max_size=1)
    raise TypeError(f"no strategy for {kind}")


def made(kind: type, **fixed: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Values of a dataclass, field by field, some of them given."""
    hints = get_type_hints(kind)
    return st.builds(
        kind, **{f.name: fixed[f.name] if f.name in fixed else of_type(hints[f.name]) for f in fields(kind)}
    )


@st.composite
def jobs(draw: st.DrawFn, basis: Basis | None = None, most: int = 2) -> Job:
    """A job whose things name only one another; with a basis, works and choices name what it holds."""
    kinds = {place: kind for kind, place in JOB_THINGS.values()}
    filled = draw(st.sets(st.sampled_from(sorted(set(kinds) - {"head", "client", "site"})), max_size=MOST_KINDS))
    ids = {
        place: () if place not in filled else tuple(UUID(int=n) for n in range(1, 1 + draw(st.integers(0, most))))
        for place in kinds
    }
    ids = _told_apart(ids)
    client = draw(made(Client, id=st.just(UUID(int=2**101))))
    head = draw(made(Head, id=st.just(UUID(int=2**102)), client_id=st.just(client.id)))
    marks = st.lists(st.sampled_from(ids["marks"]), max_size=2).map(tuple) if ids["marks"] else st.just(())
    one_mark = st.none() | st.sampled_from(ids["marks"]) if ids["marks"] else st.none()
    doors = st.lists(made(Opening, mark_id=one_mark), max_size=2).map(tuple)
    site = draw(made(Site, id=st.just(UUID(int=2**103)), baseline_ids=marks, openings=doors))
    held: dict[str, Any] = {}
    for place, kind in kinds.items():
        if place in ("head", "client", "site"):
            continue
        held[place] = _things(draw, kind, ids, ids[place], basis)
    return Job(head=head, client=client, site=site, **held)


def _told_apart(ids: Mapping[str, tuple[UUID, ...]]) -> dict[str, tuple[UUID, ...]]:
    """Ids of different kinds never meet."""
    return {place: tuple(UUID(int=i.int + (n << 110)) for i in of) for n, (place, of) in enumerate(ids.items(), 1)}


def _things(draw: st.DrawFn, kind: type, ids: Any, own: tuple[UUID, ...], basis: Basis | None) -> tuple[Any, ...]:
    names = {f.name for f in fields(kind)}
    must = MUST_NAME.get(kind.__name__, "")
    if must and not _present(ids, dict(NAMED)[must]):
        return ()
    things = []
    for one in own:
        fixed: dict[str, Any] = {"id": st.just(one)}
        for name, place in NAMED:
            if name in names:
                there = _present(ids, place)
                fixed[name] = st.sampled_from(there) if name == must else st.sampled_from((None, *there))
        fixed |= {name: _some(_present(ids, place)) for name, place in NAMED_MANY if name in names}
        if kind is Mark:
            fixed["tapes"] = _lists(made(Tape, from_id=st.sampled_from(own)))
            setups = ids["level_setups"]
            fixed["rods"] = _lists(made(RodReading, setup_id=st.sampled_from(setups))) if setups else st.just(())
        if "file" in names:
            fixed["file"] = HASHES
        if kind.__name__ == "Work":
            fixed |= _placed(draw, ids, basis)
        if kind.__name__ == "Choice" and basis is not None and basis.materials:
            fixed["material"] = st.sampled_from(sorted(basis.materials))
        things.append(draw(made(kind, **fixed)))
    return tuple(things)


def _some(there: tuple[UUID, ...]) -> st.SearchStrategy[tuple[UUID, ...]]:
    return st.lists(st.sampled_from(there), max_size=2, unique=True).map(tuple) if there else st.just(())


def _lists(of: st.SearchStrategy[Any]) -> st.SearchStrategy[tuple[Any, ...]]:
    return st.lists(of, max_size=2).map(tuple)


def _present(ids: Any, place: str) -> tuple[UUID, ...]:
    """Alternatives and edges are there only where a zone is."""
    return () if place in ("alternatives", "edges") and not ids["zones"] else ids[place]


def _placed(draw: st.DrawFn, ids: Any, basis: Basis | None) -> dict[str, Any]:
    """Where a work is, and which assembly it is."""
    possible = [kind for kind, (place, _) in PLACES.items() if _present(ids, place)]
    place = draw(st.sampled_from([*possible, PlaceKind.JOB]))
    fixed: dict[str, Any] = {"place": st.just(place)}
    fixed["place_id"] = st.none() if place is PlaceKind.JOB else st.sampled_from(_present(ids, PLACES[place][0]))
    if basis is not None:
        measures = "job" if place is PlaceKind.JOB else PLACES[place][1]
        fitting = sorted(a.key for a in basis.assemblies.values() if a.measures == measures)
        fixed["assembly"] = st.sampled_from(fitting or sorted(basis.assemblies) or ["none"])
        fixed["parameters"] = fixed["finishes"] = st.just({})
    return fixed


@st.composite
def bases(draw: st.DrawFn) -> Basis:
    """A basis whose assemblies name materials and tasks that are there, with prices, and includes without cycles."""
    suppliers = _keyed(draw, Supplier)
    labor = _keyed(draw, LaborClass, least=1, wage=st.decimals(15, 60, places=2), billable=st.just(Decimal("0.8")))
    tasks: dict[str, Any] = {}
    materials: dict[str, Any] = {}
    for dimension, unit in BOUGHT.items():
        materials |= _materials(draw, dimension, unit)
        task_unit = {"volume": "foot**3"}.get(dimension, unit)
        tasks |= _keyed(
            draw,
            Task,
            prefix=dimension,
            least=1,
            most=2,
            unit=st.just(task_unit),
            hours=_three(),
            setup=_three(),
            crew=st.sampled_from(sorted(labor)),
            learned_on=st.just(""),
            slows=st.just(()),
        )
    prices = {
        key: draw(
            made(
                Price,
                material=st.just(key),
                unit_price=st.decimals("0.01", 900, places=4),
                supplier=st.sampled_from(["", *sorted(suppliers)]),
                pack=st.sampled_from([1.0, 2.5, 40.0]),
                batch=st.just(""),
                low=st.just(-0.05),
                high=st.just(0.1),
                least=st.sampled_from([0.0, 3.0]),
            )
        )
        for key in materials
    }
    return Basis(
        firm=draw(
            made(
                Firm,
                mark=st.one_of(st.just(""), HASHES),
                overhead=st.just({"material": Decimal("0.1")}),
                time_zone=st.just("America/New_York"),
                currency=st.just("USD"),
                margin=SHARES,
                crew_day_hours=st.sampled_from([Decimal(8), Decimal(9)]),
                crew_size=st.integers(1, 6),
            )
        ),
        assemblies=_assemblies(draw, materials, tasks),
        materials=materials,
        tasks=tasks,
        prices=prices,
        suppliers=suppliers,
        reminders=_keyed(draw, Reminder),
        subcontractors=_keyed(draw, Subcontractor),
        labor_classes=labor,
        rules=draw(
            st.dictionaries(KEYS, made(Rule), max_size=2).map(
                lambda held: {
                    key: type(rule)(**{f.name: getattr(rule, f.name) for f in fields(rule)} | {"id": key})
                    for key, rule in held.items()
                }
            )
        ),
    )


def _keyed(
    draw: st.DrawFn, kind: type, *, prefix: str = "", least: int = 0, most: int = 3, **fixed: Any
) -> dict[str, Any]:
    keys = draw(st.lists(KEYS, min_size=least, max_size=most, unique=True))
    full = [f"{prefix}-{key}" if prefix else key for key in keys]
    return {key: draw(made(kind, key=st.just(key), **fixed)) for key in full}


def _three() -> st.SearchStrategy[tuple[float, ...]]:
    """Low, likely, high."""
    return st.lists(st.floats(0, 5).map(lambda x: round(x, 3)), min_size=3, max_size=3).map(lambda x: tuple(sorted(x)))


def _materials(draw: st.DrawFn, dimension: str, unit: str) -> dict[str, Any]:
    density = "140*lb/foot**3" if dimension == "volume" else ""
    nothing = {name: st.just("") for name in ("coverage", "thickness", "length", "width", "load")}
    return _keyed(
        draw,
        Material,
        prefix=dimension,
        least=1,
        most=2,
        buy=st.just(unit),
        placed_density=st.just(density),
        role=st.just(f"{dimension} stuff"),
        loss=st.sampled_from([0.0, 0.08]),
        loosens=st.just(1.25),
        **nothing,
    )


def _assemblies(draw: st.DrawFn, materials: Mapping[str, Any], tasks: Mapping[str, Any]) -> dict[str, Any]:
    made_so_far: dict[str, Any] = {}
    for measures, formulas in FORMULAS.items():
        amounts = {**formulas, "volume": tuple(f"({text}) * 4*inch" for text in formulas["area"])}
        dimension = draw(st.sampled_from(sorted(BOUGHT)))
        amount = st.sampled_from(amounts[dimension])
        part = made(
            Part,
            material=st.sampled_from([k for k in materials if k.startswith(dimension)]),
            amount=amount,
            role=st.just(f"{dimension} stuff"),
            when=st.just(""),
            keep=st.just(0.0),
            loss=st.sampled_from([None, 0.1]),
        )
        use = made(
            TaskUse,
            task=st.sampled_from([k for k in tasks if k.startswith(dimension)]),
            amount=amount,
            when=st.just(""),
        )
        inside = [key for key, held in made_so_far.items() if held.measures == measures]
        include = (
            made(Include, assembly=st.sampled_from(inside), passes=st.just({}), when=st.just("")) if inside else None
        )
        parameter = made(Parameter, value=st.just("6*inch"), least=st.just("4*inch"), most=st.just("18*inch"))
        made_so_far |= _keyed(
            draw,
            Assembly,
            prefix=measures,
            least=1,
            most=2,
            measures=st.just(measures),
            parameters=st.dictionaries(st.sampled_from(["base", "bedding"]), parameter, max_size=2),
            parts=st.lists(part, max_size=2).map(tuple),
            tasks=st.lists(use, max_size=2).map(tuple),
            includes=st.lists(include, max_size=1).map(tuple) if include else st.just(()),
            suits=st.just(()),
        )
    return made_so_far
