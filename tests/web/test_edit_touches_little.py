"""An edit works out what it touched, counted; and what is kept from edit to edit is what would be worked out afresh."""

import gc
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from decimal import Decimal
from functools import cache
from pathlib import Path
from random import Random
from typing import Any
from uuid import UUID, uuid4

import pytest

from app.db.session import database_of
from app.documents.plan_drawing import _DRAWN
from app.domain.basis import Price
from app.domain.change import Edit
from app.domain.checks.engine import checked
from app.domain.costing.forgotten import _ASKED
from app.domain.costing.lines import lines_made
from app.domain.costing.uncertain import _POOLS
from app.domain.job import Feature, Run, RunKind
from app.domain.keeping import BoundedByIdentity, BoundedCache, KeptByInputs
from app.domain.plan import edges as plan_edges
from app.domain.plan.shapes import circle, rectangle
from app.domain.takeoff.purchases import purchases_made
from app.domain.takeoff.requirements import worked_out
from app.services import deciding, edges, jobs, zones
from app.services.changes import fields_of
from app.services.jobs import changed, made
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.zones import NewZone
from tests.services.test_reading_again import asked_of, looks
from tests.web.conftest import Browser
from tests.web.yard import SHIPPED, Yard, order

ACROSS = 4
RECIPES = ("unit-pavers", "planting-bed", "unit-pavers", "sod-lawn")
CALLS_A_LINE = 20.0
PACE = {"width": 12.0, "depth": 9.0}


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    """Eight zones that touch, a wall, a drain, two things; everything has a price."""
    made_yard = Yard(tmp_path)
    office = made_yard.office
    prices = [Price(material=key, unit_price=Decimal("12.5")) for key in SHIPPED.materials]
    edits = tuple(
        Edit(kind="price", thing_id=one.material, version=0, before=None, after=fields_of(one, "price"))
        for one in prices
    )
    jobs.save(office, None, edits, order())
    for number in range(8):
        at = (PACE["width"] * (number % ACROSS), PACE["depth"] * (number // ACROSS))
        outline = rectangle(PACE["width"], PACE["depth"], at=at)
        new = NewZone(title=f"Zone {number}", outline=outline, assembly=RECIPES[number % len(RECIPES)])
        zones.add_zone(office, made_yard.id, new, order())
    things = [
        made("run", Run(id=uuid4(), title="Wall", kind=RunKind.WALL, points=((0.0, -2.0), (30.0, -2.0)), height=2.0)),
        made("run", Run(id=uuid4(), title="Drain", kind=RunKind.DRAIN, points=((0.0, 30.0), (40.0, 30.0)))),
        made("feature", Feature(id=uuid4(), title="Grill", x=4.0, y=4.0)),
    ]
    jobs.save(office, made_yard.id, tuple(things), order())
    yield made_yard
    office.database.close()


def paved(yard: Yard) -> list[UUID]:
    return [work.id for work in yard.works if work.assembly == "unit-pavers"]


def set_base(yard: Yard, work: UUID, inches: str) -> str:
    sent = {"name": "base", "formula": f"{inches} in", "version": "1000000"}
    answer = yard.post(f"plan/work/{work}/parameter", sent)
    assert answer.status_code == 200
    return answer.text


def test_number_of_one_work_touches_that_work(yard: Yard) -> None:
    first, second = paved(yard)[:2]
    set_base(yard, first, "7")
    asked_for_days = 7  # works that go by crew-days may follow, where another day is begun
    before = (worked_out(), lines_made(), purchases_made(), _DRAWN.made, plan_edges._PLANS.made)
    looked_at, pooled, reminded = checked(), _POOLS.made, _ASKED.made
    with asked_of(yard.office) as asked:
        set_base(yard, second, "7.125")
    works, lines, purchases, drawings, plans = (
        now - then
        for now, then in zip(
            (worked_out(), lines_made(), purchases_made(), _DRAWN.made, plan_edges._PLANS.made), before, strict=True
        )
    )
    assert 1 <= works <= 1 + asked_for_days
    own = sum(1 for one in sheet(yard.office, yard.id).estimate.requirements if one.work_id == second)
    bought_again = len(paved(yard)) * own  # at most: what the other paved zones share a purchase of
    assert lines <= own + bought_again + asked_for_days * 3
    assert purchases <= own + asked_for_days
    assert (drawings, plans) == (0, 0)
    assert (checked(), _ASKED.made) == (looked_at, reminded)
    assert _POOLS.made - pooled <= own + asked_for_days
    assert asked.transactions <= 3
    assert len(asked.statements) <= 13
    assert asked.reads("work") == 2  # before the edit, and after it
    assert not any(asked.reads(table) for table in ("zone", "alternative", "site", "price", "material", "assembly"))


def calls_of(action: Callable[[], object]) -> int:
    """How many functions are called, ours and built-in ones: the same on a busy machine."""
    count = 0

    def told(_frame: object, event: str, _arg: object) -> None:
        nonlocal count
        count += event in {"call", "c_call"}

    sys.setprofile(told)
    try:
        action()
    finally:
        sys.setprofile(None)
    return count


def test_lines_that_an_edit_leaves_as_they_are_cost_it_little(yard: Yard) -> None:
    """A job of twice the zones: what their lines add to one edit, counted in calls."""
    work = paved(yard)[0]

    def edited(inches: str) -> tuple[int, int]:
        set_base(yard, work, inches)  # warm
        jobs.save(yard.office, yard.id, (deepened(yard, work, f"{inches}5"),), order())
        return calls_of(lambda: sheet(yard.office, yard.id)), len(sheet(yard.office, yard.id).estimate.lines)

    few, lines = edited("7.1")
    for number in range(16):
        outline = rectangle(11.0, 8.0, at=(PACE["width"] * (number % ACROSS), 60 + PACE["depth"] * (number // ACROSS)))
        new = NewZone(title=f"More {number}", outline=outline, assembly=RECIPES[number % len(RECIPES)])
        zones.add_zone(yard.office, yard.id, new, order())
    many, more_lines = edited("7.2")
    assert more_lines > 2 * lines
    assert (many - few) / (more_lines - lines) <= CALLS_A_LINE


def deepened(yard: Yard, work: UUID, inches: str) -> Edit:
    return changed("work", work, yard.version("work", work), {"parameters": {"base": f"{inches}*inch"}})


def only_referring_to_itself(action: Callable[[], object]) -> list[str]:
    """The kinds of our own things, and of macros, that an action leaves to the garbage collector."""
    gc.collect()
    gc.disable()
    gc.set_debug(gc.DEBUG_SAVEALL)
    try:
        action()
        gc.collect()
        kinds = [f"{type(one).__module__}.{type(one).__qualname__}" for one in gc.garbage]
    finally:
        gc.set_debug(0)
        gc.garbage.clear()
        gc.enable()
    return [one for one in kinds if one.startswith(("app.", "jinja2."))]


def test_edit_leaves_nothing_to_the_garbage_collector(yard: Yard) -> None:
    """Nothing need be looked through while somebody waits (`web/idle`)."""
    work, way = paved(yard)[0], yard.job.alternatives[0].id

    def of_a_number(inches: str) -> None:
        sent = {"name": "base", "formula": f"{inches} in", "version": "1000000"}
        assert yard.post(f"estimate/work/{work}/parameter", sent).status_code == 200

    def of_an_outline(east: float) -> None:
        drawn = f"POLYGON ((0 0, {east} 0, {east} 9, 0 9, 0 0))"
        sent = {"outline.wkt": drawn, "version": str(yard.version("alternative", way)), "measured": "sketch"}
        answer = yard.post(f"plan/drawn/alternative/{way}", sent, headers={"hx-trigger": "canvas"})
        assert answer.status_code == 200

    of_a_number("7"), of_an_outline(11.5)  # warm
    assert only_referring_to_itself(lambda: (of_a_number("7.5"), of_an_outline(11.25))) == []


def test_outline_of_one_zone_leaves_the_works_of_others(yard: Yard) -> None:
    far = yard.job.alternatives[0]
    set_base(yard, paved(yard)[0], "7")
    before, drawn = worked_out(), _DRAWN.made
    fields = {"outline": rectangle(PACE["width"] - 1, PACE["depth"])}
    jobs.save(
        yard.office, yard.id, (changed("alternative", far.id, yard.version("alternative", far.id), fields),), order()
    )
    assert yard.get("plan").status_code == 200
    neighbors, whole_job = 2, len(yard.job.works) - len(yard.works)
    assert worked_out() - before <= 1 + neighbors + whole_job
    assert _DRAWN.made - drawn == 1


def test_price_touches_no_work_and_no_drawing(yard: Yard) -> None:
    yard.get("plan")
    before = (worked_out(), _DRAWN.made)
    key = sheet(yard.office, yard.id).estimate.purchases[0].material
    jobs.save(yard.office, None, (changed("price", key, 1, {"unit_price": "19.25"}),), order())
    with asked_of(yard.office) as asked:
        yard.get("plan")
    assert (worked_out(), _DRAWN.made) == before
    assert asked.reads("price") == 1
    assert not any(asked.reads(table) for table in ("material", "assembly", "task", "work"))


def test_page_of_what_nobody_touched_asks_the_database_once_at_most(yard: Yard) -> None:
    first = yard.get("plan")
    with asked_of(yard.office) as asked:
        again = yard.get("plan")
    assert bare(again.text) == bare(first.text)
    assert (asked.transactions, len(asked.statements)) == (looks(yard.office), looks(yard.office))


# what is kept is what would be worked out


def memories() -> list[Any]:
    """What keeps results, of what the collector looks at: not of what is frozen."""
    return [one for one in gc.get_objects() if isinstance(one, KeptByInputs | BoundedByIdentity | BoundedCache)]


@cache
def loaded_memories() -> list[Any]:
    """Those of the modules: they were frozen when the tests were collected, and are looked for once, for that is long."""
    gc.unfreeze()
    found = memories()
    gc.freeze()
    assert len(found) > 50
    return found


@contextmanager
def nothing_kept() -> Iterator[None]:
    """Every memory of results is empty until the block ends; then it is as it was."""
    every = [*loaded_memories(), *memories()]
    before = [(one, one._kept) for one in every]
    lines, plan_edges._KEPT = plan_edges._KEPT, {}
    for one in every:
        one._kept = type(one._kept)()
    try:
        yield
    finally:
        plan_edges._KEPT = lines
        for one, kept in before:
            one._kept = kept


def bare(page: str) -> str:
    """A page without what is new in every answer."""
    page = re.sub(r'(<p class="whole-step".*?>).*?</p>', r"\1</p>", page, flags=re.DOTALL)  # of edits, not of the job
    return re.sub(
        r'(name="(?:token|change_id|csrf)"[^>]*value=|content=)"[^"]*"|[0-9a-f-]{36}"\s*name="change_id"', "", page
    )


def deeper(any_of: Random, yard: Yard) -> None:
    set_base(yard, any_of.choice(paved(yard)), f"{any_of.randrange(32, 80) / 8}")


def wider(any_of: Random, yard: Yard) -> None:
    way = any_of.choice(yard.job.alternatives)
    outline = any_of.choice([rectangle(any_of.randrange(3, 14), 7.5, at=(any_of.randrange(40), 3.0)), circle(4.0)])
    zones.outline_zone(yard.office, yard.id, way.id, {"outline": outline}, yard.version("alternative", way.id), order())


def dearer(any_of: Random, yard: Yard) -> None:
    key = any_of.choice(sheet(yard.office, yard.id).estimate.purchases).material
    price = {"unit_price": f"{any_of.randrange(1, 90)}.25"}
    jobs.save(yard.office, None, (changed("price", key, 10**6, price),), order())


def moved_in_time(any_of: Random, yard: Yard) -> None:
    phases = yard.job.phases
    if len(phases) < 2:
        yard.post("phases/phase/new", {"title": f"Part {len(phases)}"})
    else:
        zone = any_of.choice(yard.job.zones)
        fields = {"phase_id": str(any_of.choice(phases).id)}
        jobs.save(yard.office, yard.id, (changed("zone", zone.id, yard.version("zone", zone.id), fields),), order())


def another_firm(any_of: Random, yard: Yard) -> None:
    fields = any_of.choice([{"margin": "0.2"}, {"margin": "0.3"}, {"system": "metric"}, {"system": "feet"}])
    jobs.save(yard.office, None, (changed("firm", yard.office.firm_id, 10**6, fields),), order())


def decided(any_of: Random, yard: Yard) -> None:
    zone = any_of.choice(yard.job.zones)
    lines = edges.edges_of(jobs.open_job(yard.office, yard.id), zone)
    if lines:
        deciding.decide_edge(yard.office, yard.id, zone.id, any_of.choice(lines).neighbor, "nothing", order())


def another_way(any_of: Random, yard: Yard) -> None:
    zone = any_of.choice(yard.job.zones)
    ways = [one for one in yard.job.alternatives if one.zone_id == zone.id]
    if len(ways) < 2:
        zones.copy_alternative(yard.office, yard.id, zone.id, "Another way", order())
    else:
        fields = {"chosen_id": str(any_of.choice(ways).id)}
        jobs.save(yard.office, yard.id, (changed("zone", zone.id, yard.version("zone", zone.id), fields),), order())


def taken_back(_any_of: Random, yard: Yard) -> None:
    jobs.undo(yard.office, yard.id, uuid4())


def seen(any_of: Random, yard: Yard) -> None:
    site = yard.job.site
    fields = {"haul_distance": float(any_of.randrange(300)), "soil": any_of.choice(["clay", "sand"])}
    jobs.save(yard.office, yard.id, (changed("site", site.id, yard.version("site", site.id), fields),), order())


EDITS: tuple[Callable[[Random, Yard], None], ...] = (
    deeper, wider, dearer, moved_in_time, another_firm, decided, another_way, taken_back, seen,
)  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2))
def test_what_is_kept_of_a_plan_whose_outlines_are_edited_is_what_would_be_worked_out(yard: Yard, seed: int) -> None:
    any_of = Random(seed)
    yard.get("plan")
    for edit in (*any_of.choices((wider, decided, another_way, taken_back), k=6), wider):
        edit(any_of, yard)
        warm, worked = bare(yard.get("plan").text), sheet(yard.office, yard.id)
        with nothing_kept():
            fresh = Office(yard.office.settings, database_of(yard.office.settings), yard.office.firm_id, SHIPPED)
            anew, cold = sheet(fresh, yard.id), bare(Browser(fresh).get(f"/jobs/{yard.id}/plan").text)
            fresh.database.close()
        assert told(worked) == told(anew), edit.__name__
        assert warm == cold, edit.__name__


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2))
def test_what_is_kept_after_any_edits_is_what_would_be_worked_out(yard: Yard, seed: int) -> None:
    any_of = Random(seed)
    for number, edit in enumerate(any_of.sample(EDITS, len(EDITS))):
        edit(any_of, yard)
        shown = ("plan", "estimate", "checks") if number % 3 == 2 else ()
        warm = {name: bare(yard.get(name).text) for name in shown}
        worked = sheet(yard.office, yard.id)
        with nothing_kept():
            fresh = Office(yard.office.settings, database_of(yard.office.settings), yard.office.firm_id, SHIPPED)
            anew = sheet(fresh, yard.id)
            browser = Browser(fresh) if shown else None
            cold = {name: bare(browser.get(f"/jobs/{yard.id}/{name}").text) for name in shown} if browser else {}
            fresh.database.close()
        assert told(worked) == told(anew), edit.__name__
        assert warm == cold, edit.__name__


def told(view: Sheet) -> tuple[object, ...]:
    worked = view.estimate
    figures = (worked.lines, worked.purchases, worked.build_up, worked.range, worked.crew_days, worked.hours)
    return (*figures, worked.reasons, view.readiness, view.undo, view.saved_at)
