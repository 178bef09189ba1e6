"""Inspections hold up what would cover them: after the work, before the trench is closed, again where one failed.

The order is that of the International Residential Code, section R109.1 (footings before concrete is placed; what is
roughed in before it is covered or concealed), as remembered.
"""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from app.domain.costing.estimate import estimate
from app.domain.job import HandedOver, LoggedVisit, PlaceKind, RunKind, Stage, TypedDays
from app.domain.plan.shapes import rectangle
from app.domain.schedule.activities import planned, with_typed_days
from app.domain.schedule.axis import WorkingDays
from app.domain.schedule.dated import schedule
from app.domain.schedule.inspections import TRADE, AskedFor, Standing, older_keys, standing_of
from app.domain.takeoff.measures import WHOLE_JOB
from app.domain.takeoff.recipe import assembly_toml, parse_assembly
from app.interchange.building_stages import building_stages
from tests.plans import yards

STAGES, BASIS = building_stages(), yards.basis()
MONDAY = date(2027, 5, 3)
GAS = f"{WHOLE_JOB}/lines"


@pytest.fixture(scope="module")
def yard():
    """A terrace under which a gas line runs to a grill beyond it."""
    job = yards.with_zone(yards.empty(), "A", rectangle(18, 16, at=(0, 20)), "unit-pavers")
    job = yards.with_phase(job, 1, start=MONDAY)
    job = replace(job, works=tuple(replace(one, phase_id=job.phases[0].id) for one in job.works))
    return yards.with_run(
        job, "gas", "gas-run", kind=RunKind.GAS, length=30.0, points=((5.0, 15.0), (5.0, 45.0)), rises=(0.0,)
    )


def laid(job, *, today=MONDAY, asked=(), costed=None):
    plan = planned(job, BASIS, costed or estimate(job, BASIS), STAGES, asked=asked)
    found = schedule(job, BASIS, with_typed_days(plan, job), STAGES, today=today, days=WorkingDays())
    return found, {one.planned.activity.key.split("/", 1)[1]: one for one in found.activities}


def seen(result: str, day: date, *, key: str = GAS, **more) -> LoggedVisit:
    return LoggedVisit(
        id=UUID(int=day.toordinal()), day=day, who="Inspector", inspection=True, result=result, inspects=key, **more
    )


def test_a_gas_line_is_seen_open_before_its_trench_is_closed_and_before_what_lies_over_it(yard):
    _, rows = laid(yard)
    trench, inspected, closed = (rows[f"{WHOLE_JOB}/{one}"] for one in ("lines/", f"lines/{TRADE}", "backfill/"))
    terrace = rows[f"{yard.zones[0].id}/base/"]
    assert inspected.planned.inspected.what == ("Gas line under test, trench open",)
    assert inspected.planned.inspected.standing is Standing.WAITED_FOR
    assert trench.moments.finish <= inspected.moments.start
    assert inspected.moments.finish - inspected.moments.start == pytest.approx(1.0)
    assert inspected.moments.finish <= closed.moments.start
    assert closed.moments.finish <= terrace.moments.start
    fitter = next(one for key, one in rows.items() if "fitter" in key)
    assert fitter.moments.finish <= inspected.moments.start, "there is no line to look at before the fitter laid it"


def test_steel_is_bonded_once_it_is_tied_and_seen_before_the_pour_covers_it():
    """That steel and tub are bonded: NFPA 70, 680.26, as remembered; that it is done before the pour: geometry."""
    job = yards.with_zone(yards.empty(), "A", rectangle(9, 9, at=(0, 20)), "hot-tub-pad")
    _, rows = laid(yards.with_phase(job, 1, start=MONDAY))
    at = {key.split("/", 1)[1]: one.moments for key, one in rows.items() if key.startswith(str(job.zones[0].id))}
    tied, bonded, seen_open, poured = (
        at[one] for one in ("form/", "form/licensed electrician", f"form/{TRADE}", "pour/")
    )
    assert tied.finish <= bonded.start
    assert bonded.finish <= seen_open.start
    assert seen_open.finish <= poured.start


def test_lines_are_dead_before_anything_comes_down():
    """29 CFR 1926.850(c): utilities are shut off, capped or otherwise controlled before demolition is started."""
    job = yards.with_existing(yards.empty(), "deck", "deck", "demolish-deck", outline=rectangle(12, 10, at=(0, 20)))
    _, rows = laid(yards.with_work(yards.with_phase(job, 1, start=MONDAY), PlaceKind.JOB, None, "disconnect-lines"))
    off = next(one for key, one in rows.items() if key.startswith(f"{WHOLE_JOB}/ready/licensed"))
    down = [one for one in rows.values() if one.planned.stage == "clear"]
    assert down
    assert all(off.moments.finish <= one.moments.start for one in down)


def test_nothing_is_dug_anywhere_before_the_hired_locator_has_marked_the_lines():
    job = yards.with_zone(yards.empty(), "A", rectangle(9, 9, at=(0, 20)), "unit-pavers")
    _, rows = laid(yards.with_work(yards.with_phase(job, 1, start=MONDAY), PlaceKind.JOB, None, "locate-lines"))
    marked = next(one for key, one in rows.items() if key.endswith("ready/utility locator"))
    assert marked.moments.finish <= rows[f"{job.zones[0].id}/dig/"].moments.start


def test_an_inspection_is_no_work_of_the_crew(yard):
    found, rows = laid(yard)
    own = sum(one.planned.activity.days for one in rows.values() if not one.planned.trade)
    assert found.crew_days == pytest.approx(own)


def test_one_that_failed_holds_up_what_covers_it_until_it_is_seen_again(yard):
    free, before = laid(yard)
    failed = replace(yard, logged_visits=(seen("not passed", date(2027, 5, 24), words="No tracer wire"),))
    found, rows = laid(failed, today=date(2027, 5, 25))
    again, closed = rows[f"{GAS}/{TRADE}"], rows[f"{WHOLE_JOB}/backfill/"]
    assert again.start == date(2027, 5, 26)  # not before the day after
    assert closed.start > again.finish >= date(2027, 5, 26)
    assert found.finish > free.finish
    said = next(one for one in found.findings if one.rule == "inspection-not-passed")
    assert "did not pass on May 24: No tracer wire" in said.what
    late, _ = laid(failed, today=date(2027, 6, 7))
    assert late.finish > found.finish, "nobody wrote a better one down: it waits on"
    passed = replace(failed, logged_visits=(*failed.logged_visits, seen("passed", date(2027, 5, 26))))
    done, rows = laid(passed, today=date(2027, 6, 7))
    assert rows[f"{GAS}/{TRADE}"].planned.activity.days == 0
    assert rows[f"{WHOLE_JOB}/backfill/"].start <= before[f"{WHOLE_JOB}/backfill/"].start
    assert not [one for one in done.findings if one.rule == "inspection-not-passed"]


def under_way(job):
    return replace(job, head=replace(job.head, stage=Stage.BUILDING))


def test_one_that_nobody_wrote_down_comes_the_next_working_day_with_all_on_it_unless_it_lies_behind(yard):
    free, before = laid(yard)
    planned_for = before[f"{GAS}/{TRADE}"].finish
    for today, next_day in ((date(2027, 6, 14), date(2027, 6, 15)), (date(2027, 6, 18), date(2027, 6, 21))):
        found, rows = laid(under_way(yard), today=today)  # a Friday's is the Monday's
        assert rows[f"{GAS}/{TRADE}"].start == next_day
        assert rows[f"{WHOLE_JOB}/backfill/"].start > next_day
        assert found.finish > free.finish
        (said,) = (one for one in found.findings if one.rule == "inspection-overdue")
        assert f"was planned for {planned_for:%B} {planned_for.day}, and nobody wrote down" in said.what
        assert found.overdue == {GAS: planned_for}
    on_the_day, rows = laid(under_way(yard), today=planned_for)
    assert (rows[f"{GAS}/{TRADE}"].finish, on_the_day.overdue) == (planned_for, {}), "it may still be today"
    draft, _ = laid(yard, today=date(2027, 6, 14))
    assert not [one for one in draft.findings if one.rule == "inspection-overdue"], "nobody writes down a draft's"
    none = TypedDays(id=UUID(int=8), stage="lines", trade=TRADE, phase_id=yard.phases[0].id, days=0.0)
    told, _ = laid(under_way(replace(yard, typed_days=(none,))), today=date(2027, 6, 14))
    assert told.overdue == {}, "0 days: none is asked for"
    ended = replace(yard, phases=tuple(replace(one, done=date(2027, 5, 28)) for one in yard.phases))
    told, _ = laid(under_way(ended), today=date(2027, 6, 14))
    assert told.overdue == {GAS: planned_for}, "a planned last day is no word that it was seen"
    went_on = yards.with_phase(ended, 2, start=date(2027, 6, 1))
    handed = HandedOver(id=UUID(int=7), day=date(2027, 6, 1))
    for over in (went_on, replace(ended, handed_over=(handed,))):
        told, rows = laid(under_way(over), today=date(2027, 6, 14))
        assert told.overdue == {}
        assert rows[f"{GAS}/{TRADE}"].start < date(2027, 5, 28)


def test_one_that_stands_on_an_overdue_one_is_not_overdue_itself(yard):
    phase = str(yard.phases[0].id)
    asked = (AskedFor(phase=phase, stage="base", what="Permit for the terrace"),)
    found, rows = laid(under_way(yard), today=date(2027, 6, 14), asked=asked)
    assert list(found.overdue) == [GAS]
    assert rows[f"{yard.zones[0].id}/base/{TRADE}"].start > rows[f"{GAS}/{TRADE}"].finish
    done = replace(under_way(yard), logged_visits=(seen("not done", date(2027, 6, 14)),))
    _, rows = laid(done, today=date(2027, 6, 14))
    assert rows[f"{GAS}/{TRADE}"].start == date(2027, 6, 15), "the inspector did not come: the next working day"


def test_an_approval_asks_for_its_own_and_the_owner_says_how_long_one_takes(yard):
    phase = str(yard.phases[0].id)
    asked = (AskedFor(phase=phase, stage="base", what="Permit for the terrace"),)
    _, rows = laid(yard, asked=asked)
    zone = str(yard.zones[0].id)
    one, surface = rows[f"{zone}/base/{TRADE}"], rows[f"{zone}/surface/"]
    assert one.planned.inspected.what == ("Permit for the terrace",)
    assert rows[f"{zone}/base/"].moments.finish <= one.moments.start
    assert one.moments.finish <= surface.moments.start
    typed = TypedDays(id=UUID(int=9), zone_id=yard.zones[0].id, stage="base", trade=TRADE, days=4.0)
    _, rows = laid(replace(yard, typed_days=(typed,)), asked=asked)
    assert rows[f"{zone}/base/{TRADE}"].planned.activity.days == 4.0


@pytest.mark.parametrize(
    ("results", "standing"),
    [
        ((), Standing.WAITED_FOR),
        (("not done",), Standing.WAITED_FOR),
        (("not passed", "passed with remarks"), Standing.PASSED),
        (("passed", "not passed"), Standing.NOT_PASSED),
    ],
)
def test_the_newest_word_counts(results, standing):
    visits = [
        seen(result, date(2027, 5, 3 + at), said_at=datetime(2027, 5, 3 + at, tzinfo=UTC))
        for at, result in enumerate(results)
    ]
    other = seen("not passed", date(2027, 5, 20), key="job/base")
    assert standing_of(GAS, ("Gas",), (*visits, other)).standing is standing


def test_what_was_written_under_an_older_name_of_its_stage_is_found():
    """Forms and steel stood in the stage of the pour until that was split."""
    spot, pour = ("1", "z", "form"), ("1", "z", "pour")
    visits = (seen("passed", date(2027, 5, 3), key="z/pour"),)
    older = older_keys(spot, {spot}, STAGES)
    assert standing_of("z/form", ("Steel",), visits, older=older).standing is Standing.PASSED
    assert older_keys(spot, {spot, pour}, STAGES) == (), "the pour itself is looked at: what was said is said of that"
    newer = (*visits, seen("not passed", date(2027, 5, 2), key="z/form"))
    assert standing_of("z/form", ("Steel",), newer, older=older).standing is Standing.NOT_PASSED
    assert all(old in STAGES.by_key for one in STAGES.by_key.values() for old in one.formerly)


def test_inspections_of_a_recipe_read_back_from_its_text_and_name_a_step():
    for recipe in BASIS.assemblies.values():
        for one in recipe.build.inspections:
            assert STAGES.of_step(one.after), (recipe.key, one.after)
        if recipe.build.inspections:
            assert parse_assembly(assembly_toml(recipe)) == recipe
    assert BASIS.assemblies["shade-structure"].build.inspections[0].after == "excavate"
