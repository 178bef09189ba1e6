"""What kinds of work sold for: by hand over area and length, and beside past jobs once there are enough of them."""

from dataclasses import replace
from uuid import UUID

from app.domain.basis import Assembly, Part
from app.domain.costing.compared import sold_of
from app.domain.costing.estimate import estimate
from app.domain.costing.past import PastJob, Worth, beside, worths
from app.domain.job import Measured, PlaceKind, Run, RunKind, Work, ZoneKind
from tests.domain.costing.three_zones import BASIS, BED, JOB

YARD = replace(
    JOB,
    zones=tuple(replace(one, kind=ZoneKind.PLANTING if one.id == BED else ZoneKind.DINING) for one in JOB.zones),
)


def past(number: int, cents: int, kind: str = "zone:dining") -> PastJob:
    return PastJob(str(number), f"Job {number}", f"2027-0{number}-01", (Worth(kind, 100.0, cents * 100),))


def test_a_kind_of_zone_sells_for_what_is_built_on_it_over_its_area() -> None:
    worked = estimate(YARD, BASIS)
    found = {one.kind: one for one in worths(YARD, sold_of(worked))}
    assert set(found) == {"zone:dining", "zone:planting"}
    assert found["zone:dining"].amount == 20 * 15 + 4 * 25  # terrace and path
    works = {str(UUID(int=number)) for number in (101, 102)}
    assert found["zone:dining"].cents == sum(
        cents for line, cents in zip(worked.lines, worked.selling, strict=True) if line.work_id in works
    )
    assert found["zone:planting"].per_unit == round(found["zone:planting"].cents / 120)


def test_lines_go_by_their_length() -> None:
    run = Run(id=UUID(int=301), kind=RunKind.WALL, length=50.0, measured=Measured.TAPED)
    work = Work(id=UUID(int=302), place=PlaceKind.RUN, place_id=run.id, assembly="low-wall")
    job = replace(YARD, runs=(run,), works=(*YARD.works, work))
    part = Part(role="permit", amount="1", material="permit")
    recipe = Assembly(key="low-wall", title="Low wall", measures="run", parts=(part,))
    worked = estimate(job, replace(BASIS, assemblies={**BASIS.assemblies, "low-wall": recipe}))
    wall = next(one for one in worths(job, sold_of(worked)) if one.kind == "run:wall")
    assert (wall.amount, wall.unit, wall.title) == (50.0, "ft", "Wall run")
    assert wall.cents == worked.price_by_work[str(work.id)]


def test_two_jobs_are_too_few_and_three_are_enough() -> None:
    own = (Worth("zone:dining", 200.0, 200 * 25_00),)
    few = beside(own, [past(1, 20_00), past(2, 30_00)])[0]
    assert few.too_few
    three = beside(own, [past(3, 24_00), past(1, 20_00), past(2, 30_00)])[0]
    assert not three.too_few
    assert (three.values, three.middle, three.stands) == ((20_00, 24_00, 30_00), 24_00, "within")
    assert [job.id for job, _ in three.past] == ["1", "2", "3"]


def test_what_was_never_sold_so_dear_or_so_cheap_is_said() -> None:
    jobs = [past(number, 20_00 + number) for number in (1, 2, 3)]
    assert beside((Worth("zone:dining", 1.0, 30_00),), jobs)[0].stands == "above all"
    assert beside((Worth("zone:dining", 1.0, 10_00),), jobs)[0].stands == "below all"
    assert beside((Worth("zone:lawn", 1.0, 10_00),), jobs)[0].past == ()
