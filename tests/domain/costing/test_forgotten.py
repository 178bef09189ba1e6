"""What is easily forgotten is asked where it can apply, and is priced, not needed, left to the client, or an open point."""

from dataclasses import replace
from uuid import UUID

import pytest

from app.domain.basis import Basis
from app.domain.costing.estimate import estimate
from app.domain.costing.explain_forgotten import explain_reminder
from app.domain.costing.forgotten import UNANSWERED, Standing, asked, left_to_client
from app.domain.findings import Severity, Stop
from app.domain.job import Existing, Fate, Job, PlaceKind, ReminderAnswer, Reply, Work
from app.domain.reminder import Reminder, Signs
from app.domain.takeoff.requirements import requirements
from tests.domain.takeoff.yards import JOB
from tests.stocked import stocked_basis


def asks(key: str, asked_by: Signs, priced_by: Signs, exclusion: str = "It is yours.") -> Reminder:
    return Reminder(
        key=key, title=key.capitalize(), question="?", asked_by=asked_by, priced_by=priced_by, exclusion=exclusion
    )


SLURRY = asks("slurry", Signs(roles=("wet saw",)), Signs(roles=("slurry vacuum",)))
TOILET = asks("toilet", Signs(), Signs(roles=("toilet",)))
TREES = asks("trees", Signs(existing=("tree",)), Signs(recipes=("protect-tree",)))
REVIEW = asks("review", Signs(facts=("association",)), Signs())


def basis_of(*reminders: Reminder) -> Basis:
    return replace(stocked_basis(), reminders={one.key: one for one in reminders})


def standings(job: Job, basis: Basis) -> dict[str, str]:
    return {one.reminder.key: one.standing.value for one in asked(job, basis, requirements(job, basis)[0])}


def with_work(job: Job, recipe: str) -> Job:
    work = Work(id=UUID(int=77_001), place=PlaceKind.JOB, place_id=None, assembly=recipe)
    return replace(job, works=(*job.works, work))


def answered(job: Job, key: str, reply: Reply, **more: str) -> Job:
    return replace(job, reminder_answers=(ReminderAnswer(id=UUID(int=77_002), reminder=key, reply=reply, **more),))


@pytest.fixture
def cutting() -> Job:
    """A job in which stone is cut: its requirements name a wet saw."""
    needed, _ = requirements(JOB, stocked_basis())
    assert "wet saw" in {one.role for one in needed}
    return JOB


def test_slurry_is_asked_where_something_is_cut_and_nowhere_else(cutting: Job) -> None:
    basis = basis_of(SLURRY)
    assert standings(cutting, basis) == {"slurry": "open"}
    sawing = {key for key, one in basis.assemblies.items() if any(part.role == "wet saw" for part in one.parts)}
    dry = replace(cutting, works=tuple(one for one in cutting.works if one.assembly not in sawing))
    assert standings(dry, basis) == {}


def test_nothing_is_asked_before_something_stands_on_the_plan(cutting: Job) -> None:
    bare = replace(cutting, works=tuple(one for one in cutting.works if one.place is PlaceKind.JOB))
    assert standings(with_work(bare, "cleanup"), basis_of(TOILET)) == {}


def test_recipe_that_prices_it_answers_by_itself_whatever_was_said(cutting: Job) -> None:
    basis = basis_of(SLURRY, TOILET)
    job = with_work(answered(cutting, "toilet", Reply.BY_CLIENT, words="Yours."), "portable-toilet")
    assert standings(job, basis) == {"slurry": "open", "toilet": "priced"}
    assert left_to_client(job, basis, requirements(job, basis)[0]) == ()


def test_things_in_the_yard_and_facts_of_the_job_ask_only_while_they_are_so(cutting: Job) -> None:
    basis = basis_of(TREES, REVIEW)
    quiet = replace(cutting, existing=(), head=replace(cutting.head, association=""))
    assert standings(quiet, basis) == {}
    tree = Existing(id=UUID(int=5), kind="tree", fate=Fate.STAYS)
    loud = replace(quiet, existing=(tree,), head=replace(quiet.head, association="Quarry Bend Neighbors"))
    assert standings(loud, basis) == {"trees": "open", "review": "open"}
    felled = replace(loud, existing=(replace(tree, fate=Fate.GOES),))
    assert "trees" not in standings(felled, basis)


def test_open_reminders_are_one_stop_of_money_that_keeps_the_price_a_range(cutting: Job) -> None:
    worked = estimate(cutting, basis_of(SLURRY, TOILET))
    (point,) = [one for one in worked.findings if one.rule == UNANSWERED]
    assert (point.severity, point.stop, point.measured) == (Severity.STOP, Stop.MONEY, "slurry, toilet")
    assert point.what == "2 things are easily forgotten and not answered yet: Slurry, Toilet."
    assert point.what in worked.reasons
    assert worked.firm_price_cents is None


def test_order_of_the_list_never_changes_what_a_settlement_rests_on(cutting: Job) -> None:
    one, other = (estimate(cutting, basis_of(*order)) for order in ((SLURRY, TOILET), (TOILET, SLURRY)))
    keys = [{it.key for it in worked.findings if it.rule == UNANSWERED} for worked in (one, other)]
    assert keys[0] == keys[1]


@pytest.mark.parametrize("reply", list(Reply))
def test_answer_takes_the_point_away_and_only_the_clients_part_is_printed(cutting: Job, reply: Reply) -> None:
    basis = basis_of(TOILET)
    job = answered(cutting, "toilet", reply, words="The crew may use the pool house.")
    needed, _ = requirements(job, basis)
    assert [one.standing for one in asked(job, basis, needed)] == [Standing(reply.value)]
    assert not [one for one in estimate(job, basis).findings if one.rule == UNANSWERED]
    printed = ("The crew may use the pool house.",) if reply is Reply.BY_CLIENT else ()
    assert left_to_client(job, basis, needed) == printed


def test_price_of_an_answer_is_the_sum_of_the_lines_that_give_it(cutting: Job) -> None:
    basis = basis_of(TOILET)
    worked = estimate(with_work(cutting, "portable-toilet"), basis)
    told = explain_reminder(basis, worked, "toilet")
    own = [cents for line, cents in zip(worked.lines, worked.selling, strict=True) if line.key == "toilet-week"]
    assert told is not None
    assert round(told.result * 100) == sum(own) > 0
    assert explain_reminder(basis, worked, "slurry") is None
