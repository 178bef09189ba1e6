"""Activities from an estimate: the crew's hours in stages and places, and what waits for what."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from math import fsum

import pytest

from app.domain.job import Stage
from app.domain.plan.shapes import rectangle
from app.domain.schedule.activities import planned
from app.domain.schedule.axis import WorkingDays
from app.domain.schedule.dated import Held, schedule, waiting_days
from app.interchange.building_stages import building_stages
from app.interchange.library_file import load_library
from app.services import zones
from app.services.sheets import sheet
from tests.stocked import begun_job, order, stocked_office

TODAY = date(2027, 3, 1)  # a Monday
STAGES = building_stages()


@pytest.fixture(scope="module")
def laid(tmp_path_factory):
    office = stocked_office(tmp_path_factory.mktemp("scheduled"))
    job_id = begun_job(office)
    zones.add_zone(
        office,
        job_id,
        zones.NewZone(title="Counter", kind="cooking", assembly="concrete-slab", outline=rectangle(10, 8, at=(80, 0))),
        order(),
    )
    view = sheet(office, job_id)
    yield view
    office.database.close()


def plan_of(view):
    return planned(view.job, view.basis, view.estimate, STAGES)


def scheduled(view, **more):
    return schedule(view.job, view.basis, plan_of(view), STAGES, today=TODAY, days=WorkingDays(), **more)


def test_every_task_of_the_library_has_a_stage_of_the_list():
    library = load_library().basis()
    for recipe in library.assemblies.values():
        for use in recipe.tasks:
            assert STAGES.of_task(use.task, recipe) in STAGES.by_key
    named = {step for stage in STAGES.by_key.values() for step in stage.steps}
    used = {step for recipe in library.assemblies.values() for step in recipe.build.order}
    assert used <= named, f"steps without a stage: {sorted(used - named)}"
    assert {task for stage in STAGES.by_key.values() for task in stage.tasks} <= set(library.tasks)
    roles = {material.role for material in library.materials.values()}
    roles |= {part.role for recipe in library.assemblies.values() for part in recipe.parts}
    assert {role for stage in STAGES.by_key.values() for role in stage.roles} <= roles


def test_crew_days_are_the_hours_of_the_estimate_over_the_crews_day(laid):
    day = laid.estimate.paying.day
    own = {key for key, one in laid.basis.labor_classes.items() if one.own}
    hours = fsum(one.priced for one in laid.estimate.hours if one and one.labor_class not in own)
    assert scheduled(laid).crew_days == pytest.approx(hours / (day.worked * day.people))


def test_at_one_place_stages_come_in_their_order(laid):
    rows = [one for one in scheduled(laid).activities if one.planned.place == str(laid.job.zones[0].id)]
    ranks = [STAGES.rank[one.planned.stage] for one in sorted(rows, key=lambda one: one.moments.start)]
    assert ranks == sorted(ranks)
    assert len(set(ranks)) > 2


def test_a_slab_cures_before_the_next_stage_at_its_place(laid):
    slab_id = str(laid.job.zones[2].id)
    rows = {one.planned.stage: one for one in scheduled(laid).activities if one.planned.place == slab_id}
    poured, sawn = rows["pour"], rows["surface"]
    assert poured.planned.cure_days == 7  # its recipe's
    assert sawn.start > poured.finish + timedelta(days=7)


def test_one_crew_is_never_at_two_places(laid):
    spans = sorted(
        one.moments[:2] for one in scheduled(laid).activities if not one.planned.trade and one.planned.activity.days
    )
    for (_, finish), (start, _) in pairwise(spans):
        assert start >= finish - 1e-9


def test_two_crews_are_never_later_than_one(laid):
    assert scheduled(laid, held=Held(crews=2)).finish <= scheduled(laid).finish


def test_a_phase_without_a_day_begins_when_permits_and_marked_lines_let_it(laid):
    found = scheduled(laid)
    wait = max(waiting_days(laid.job, laid.basis, STAGES).values(), default=0)
    assert found.assumed_start
    assert found.start > TODAY + timedelta(days=wait)


def test_a_phase_begins_on_its_day_and_what_comes_late_is_said(laid):
    first = min(laid.job.phases, key=lambda one: one.number)
    soon = replace(first, start=TODAY + timedelta(days=1))
    job = replace(laid.job, phases=tuple(soon if one.id == first.id else one for one in laid.job.phases))
    found = schedule(job, laid.basis, plan_of(laid), STAGES, today=TODAY, days=WorkingDays())
    assert found.start == TODAY + timedelta(days=1)
    wait = waiting_days(job, laid.basis, STAGES).get(str(first.id), 0)
    assert ("starts-before-permits" in {one.rule for one in found.findings}) == (wait > 1)
    for one in found.order_by:
        assert one.by == one.wanted - timedelta(days=one.lead_days)
        late = one.by < TODAY <= one.wanted
        said = {finding.where for finding in found.findings if finding.rule == "ordered-too-late"}
        assert (f"material:{one.material}" in said) == late


def test_sooner_and_surer_finishes_stand_in_order(laid):
    found = scheduled(laid)
    assert found.start <= found.expected <= found.sure


def test_nothing_planned_is_no_schedule(laid):
    assert schedule(laid.job, laid.basis, (), STAGES, today=TODAY, days=WorkingDays()) is None


def starts(laid_out, stage):
    return [
        one.start for one in laid_out.activities if one.planned.stage == stage and one.planned.activity.days > 0.005
    ]


def test_a_phase_without_a_day_of_its_own_waits_for_its_approval(laid):
    phase = laid.job.phases[0]
    bare = replace(laid.job, phases=tuple(replace(one, start=None) for one in laid.job.phases))
    late = date(2027, 9, 15)
    plan = planned(bare, laid.basis, laid.estimate, STAGES)
    held = Held(approved={str(phase.id): late})
    found = schedule(bare, laid.basis, plan, STAGES, today=TODAY, days=WorkingDays(), held=held)
    assert found.start > late


def test_a_phase_that_has_not_begun_waits_for_its_approval_whatever_day_was_typed(laid):
    phase = laid.job.phases[0]
    late = max(phase.start or TODAY, TODAY) + timedelta(days=90)
    typed = replace(laid.job, phases=(replace(phase, start=TODAY + timedelta(days=10)), *laid.job.phases[1:]))
    held = Held(approved={str(phase.id): late})

    def first_day(job):
        plan = planned(job, laid.basis, laid.estimate, STAGES)
        found = schedule(job, laid.basis, plan, STAGES, today=TODAY, days=WorkingDays(), held=held)
        return min(one.start for one in found.activities if one.planned.phase == str(phase.id))

    assert first_day(typed) > late
    begun = replace(typed, head=replace(typed.head, stage=Stage.BUILDING))
    begun = replace(begun, phases=(replace(phase, start=TODAY), *begun.phases[1:]))
    assert first_day(begun) <= TODAY + timedelta(days=4), "work that goes on is not moved"


def test_what_has_a_season_waits_for_it_and_all_after_it_follows(laid):
    ready = date(2027, 9, 13)
    free = scheduled(laid)
    held = Held(season=lambda one, day: max(day, ready) if one.stage == "surface" else None)
    found = scheduled(laid, held=held)
    assert all(day >= ready for day in starts(found, "surface"))
    assert found.finish >= max(free.finish, ready)


def test_zone_that_a_machine_crosses_is_finished_after_the_one_behind_it_is_dug(laid):
    first, last = laid.job.zones[0], laid.job.zones[-1]
    held = Held(behind=((f"zone:{last.id}", f"zone:{first.id}"),))
    found = scheduled(laid, held=held)
    dug = [
        one.finish
        for one in found.activities
        if one.planned.place == str(last.id) and STAGES.rank[one.planned.stage] <= STAGES.rank["base"]
    ]
    paved = [
        one.start for one in found.activities if one.planned.place == str(first.id) and one.planned.stage == "surface"
    ]
    assert dug
    assert paved
    assert max(dug) <= min(paved)


def test_days_lost_to_weather_make_work_outdoors_longer_never_shorter(laid):
    lost = WorkingDays(lost=dict.fromkeys(range(1, 13), 12.0))
    wet = schedule(laid.job, laid.basis, plan_of(laid), STAGES, today=TODAY, days=lost)
    assert wet.finish > scheduled(laid).finish
