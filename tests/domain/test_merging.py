"""Three states of a job held against each other: disjoint changes come together, and no value is lost unseen."""

from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.change import Fields
from app.domain.errors import BadValue
from app.domain.merging import AWAY, HERE, SIDES, Key, Question, Things, edits_to, merge, picked, things_of
from tests.strategies import jobs

NAMES = ("title", "letter", "area")
KINDS = ("zone", "run", "note")
VALUES = st.integers(0, 3)


@st.composite
def things(draw: st.DrawFn) -> dict[Key, Fields]:
    """A few things of plain fields that name nothing."""
    keys = draw(st.lists(st.tuples(st.sampled_from(KINDS), st.sampled_from("abcdef")), unique_by=lambda k: k[1]))
    return {key: {name: draw(VALUES) for name in NAMES} for key in keys}


@st.composite
def after_work(draw: st.DrawFn, base: Mapping[Key, Fields], new: str) -> dict[Key, Fields]:
    """The same after somebody changed fields, took things out and made new ones (with ids of their own)."""
    done = {}
    for key, held in base.items():
        what = draw(st.sampled_from(("left", "left", "changed", "gone")))
        if what != "gone":
            done[key] = {n: draw(VALUES) if what == "changed" else v for n, v in held.items()}
    for number in range(draw(st.integers(0, 2))):
        done["note", f"{new}{number}"] = {name: draw(VALUES) for name in NAMES}
    return done


@st.composite
def worked_apart(draw: st.DrawFn) -> tuple[Things, Things, Things]:
    base = draw(things())
    return base, draw(after_work(base, "h")), draw(after_work(base, "w"))


def values_asked(questions: tuple[Question, ...], side: str) -> set[tuple[Key, str]]:
    return {(key, one.name) for one in questions for key in (*one.keys, *one.with_it)}


@given(worked_apart(), st.sampled_from(SIDES))
def test_no_value_that_either_side_typed_is_lost_unseen(states: tuple[Things, Things, Things], pick: str) -> None:
    base, here, away = states
    found = merge(base, here, away)
    asked = values_asked(found.questions, pick)
    done = picked(found, {one.id: pick for one in found.questions})
    for side in (here, away):
        for key, held in side.items():
            for name, value in held.items():
                if value != base.get(key, {}).get(name) or key not in base:
                    assert done.get(key, {}).get(name) == value or {(key, name), (key, "")} & asked


@given(worked_apart())
def test_every_pick_of_one_side_gives_what_that_side_typed_wherever_both_did(states: Any) -> None:
    base, here, away = states
    found = merge(base, here, away)
    for side, own in ((HERE, here), (AWAY, away)):
        done = picked(found, {one.id: side for one in found.questions})
        for one in found.questions:
            for key in one.keys:
                assert (done.get(key) or {}).get(one.name) == (own.get(key) or {}).get(one.name)


@given(worked_apart())
def test_what_nobody_changed_stays_and_who_alone_worked_is_taken_over_whole(states: Any) -> None:
    base, here, _ = states
    assert picked(merge(base, base, base), {}) == base
    assert picked(merge(base, base, here), {}) == here
    assert picked(merge(base, here, base), {}) == here
    assert picked(merge(base, here, here), {}) == here  # the same done at both is not asked
    assert merge(base, here, base).changes_nothing


@given(things(), st.data())
def test_disjoint_changes_come_out_as_if_both_had_been_made(base: dict[Key, Fields], data: st.DataObject) -> None:
    here, away, both = dict(base), dict(base), dict(base)
    for key, held in base.items():
        mine = set(data.draw(st.lists(st.sampled_from(NAMES), unique=True)))
        new = {name: data.draw(VALUES) for name in held}
        here[key] = {**held, **{name: new[name] for name in mine}}
        away[key] = {**held, **{name: new[name] for name in held if name not in mine}}
        both[key] = {**held, **new}
    found = merge(base, here, away)
    assert found.questions == ()
    assert picked(found, {}) == both


@given(jobs(), st.data())
def test_edits_lead_from_one_state_of_a_real_job_to_the_other(job: Any, data: st.DataObject) -> None:
    now = things_of(job)
    left = {key: held for key, held in now.items() if key[0] in ("job", "client", "site") or data.draw(st.booleans())}
    done: dict[Key, Fields] = dict(now)
    for edit in edits_to(now, left, {}):
        key = (edit.kind, edit.thing_id)
        if edit.after is None:
            del done[key]
        else:
            done[key] = {**done.get(key, {}), **edit.after}
    assert done == left
    assert edits_to(now, now, {}) == ()


def test_prices_and_number_of_a_place_are_not_merged() -> None:
    from uuid import UUID

    from app.domain.job import Client, Head, Job, Site

    head = Head(id=UUID(int=1), client_id=UUID(int=2), basis_file="f" * 64)
    found = things_of(Job(head=head, client=Client(id=UUID(int=2)), site=Site(id=UUID(int=3))))
    assert not {"basis_file", "number"} & found["job", str(UUID(int=1))].keys()


ZONE, WAY, WORK, NEED = ("zone", "z"), ("alternative", "a"), ("work", "w"), ("need", "n")
YARD: Things = {
    ZONE: {"title": "Terrace"},
    WAY: {"zone_id": "z", "title": "Pavers"},
    WORK: {"place_id": "a", "note": ""},
    NEED: {"zone_ids": ["z"], "words": "Eat outside"},
}
WITHOUT_ZONE: Things = {NEED: {"zone_ids": [], "words": "Eat outside"}}


def test_zone_taken_out_here_goes_when_nobody_went_on_with_it_away() -> None:
    found = merge(YARD, WITHOUT_ZONE, {**YARD, NEED: {**YARD[NEED], "words": "Eat outside for ten"}})
    assert found.questions == ()
    assert picked(found, {}) == {NEED: {"zone_ids": [], "words": "Eat outside for ten"}}


@pytest.mark.parametrize(
    ("pick", "stays"), [(HERE, False), (AWAY, True)], ids=["stays taken out", "comes back with all of it"]
)
def test_zone_taken_out_here_and_worked_on_away_is_asked_with_all_that_hangs_on_it(pick: str, stays: bool) -> None:
    away = {**YARD, WORK: {**YARD[WORK], "note": "Sailor course"}, ("work", "new"): {"place_id": "a", "note": "Edge"}}
    found = merge(YARD, WITHOUT_ZONE, away)
    (asked,) = found.questions
    assert (set(asked.keys), asked.with_it, asked.gone_on) == ({ZONE, WAY, WORK}, (("work", "new"),), HERE)
    assert asked.keys[0] == ZONE
    done = picked(found, {asked.id: pick})
    assert all((key in done) is stays for key in (ZONE, WAY, WORK, ("work", "new")))
    if stays:
        assert done[WORK]["note"] == "Sailor course"


def test_zone_taken_out_away_while_something_new_here_stands_on_it_is_asked() -> None:
    here = {**YARD, ("work", "mine"): {"place_id": "a", "note": "Lights"}}
    (asked,) = merge(YARD, here, WITHOUT_ZONE).questions
    assert (asked.gone_on, asked.with_it) == (AWAY, (("work", "mine"),))
    kept = picked(merge(YARD, here, WITHOUT_ZONE), {asked.id: HERE})
    assert ("work", "mine") in kept
    assert ZONE in kept


def test_way_moved_to_another_zone_stays_when_its_old_zone_is_asked() -> None:
    here = {
        WAY: {**YARD[WAY], "zone_id": "y"},
        WORK: YARD[WORK],
        NEED: WITHOUT_ZONE[NEED],
        ("zone", "y"): {"title": ""},
    }
    away = {**YARD, ZONE: {"title": "Upper terrace"}}
    found = merge(YARD, here, away)
    (asked,) = found.questions
    assert asked.keys == (ZONE,)
    for pick in SIDES:
        assert picked(found, {asked.id: pick})[WAY]["zone_id"] == "y"


def test_name_of_what_was_taken_out_is_cleared_and_names_that_never_led_anywhere_are_left() -> None:
    base = {("phase", "p"): {"number": 1}, ("run", "r"): {"phase_id": None, "title": "", "old_id": "elsewhere"}}
    away = {("phase", "p"): {"number": 1}, ("run", "r"): {**base["run", "r"], "phase_id": "p"}}
    here = {("run", "r"): base["run", "r"]}
    found = merge(base, here, away)
    (asked,) = found.questions  # the phase: gone here, newly named away
    assert asked.keys == (("phase", "p"),)
    assert picked(found, {asked.id: HERE}) == {("run", "r"): {"phase_id": None, "title": "", "old_id": "elsewhere"}}
    assert picked(found, {asked.id: AWAY})["run", "r"]["phase_id"] == "p"


def test_question_without_a_pick_is_refused() -> None:
    found = merge({ZONE: {"title": "A"}}, {ZONE: {"title": "B"}}, {ZONE: {"title": "C"}})
    with pytest.raises(BadValue, match="Choose one"):
        picked(found, {})
    with pytest.raises(BadValue, match="Choose one"):
        picked(found, {found.questions[0].id: "neither"})
