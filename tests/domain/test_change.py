"""A change fitted onto a thing as it is now, and the change that takes one back: every case of who touched which field."""

from datetime import UTC, datetime

import pytest

from app.domain.change import Change, Edit, Past, inverse, settle
from app.domain.errors import Stale
from tests.domain.costing.three_zones import key

WHEN = datetime(2027, 3, 9, 15, 0, tzinfo=UTC)
READ = {"title": "Terrace", "width": 18, "depth": 16, "words": ""}


def edit(after, before=None, version: int = 3) -> Edit:
    return Edit(kind="zone", thing_id="z", version=version, before=before or {}, after=after)


def past(version: int, **before) -> Past:
    return Past(version=version, change_id=f"c{version}", before=before)


def test_fields_nobody_else_touched_are_applied_with_what_stood_there():
    settled = settle(edit({"width": 20}), READ, [])
    assert settled == edit({"width": 20}, {"width": 18})


def test_field_of_another_person_stands_beside_ours():
    now = {**READ, "depth": 12}
    settled = settle(edit({"width": 20}), now, [past(4, depth=16)])
    assert settled == edit({"width": 20}, {"width": 18})


def test_field_left_as_it_was_read_is_dropped_though_somebody_changed_it():
    now = {**READ, "depth": 12}
    settled = settle(edit({"width": 20, "depth": 16}), now, [past(4, depth=16)])
    assert settled == edit({"width": 20}, {"width": 18})
    assert settle(edit({"depth": 16}), now, [past(4, depth=16)]) is None


def test_same_new_value_from_both_is_no_conflict_and_nothing_to_do():
    assert settle(edit({"depth": 12}), {**READ, "depth": 12}, [past(4, depth=16)]) is None


def test_nothing_new_is_nothing_to_do():
    assert settle(edit({"width": 18}), READ, []) is None
    assert settle(edit({}), READ, []) is None
    assert settle(edit(None), READ, []) is None


def test_sizes_of_an_outline_typed_as_they_were_are_nothing_to_do_though_a_row_holds_them_as_a_list():
    now = {**READ, "outline": {"shape": "rectangle", "sizes": [12, 8]}}
    same = {"outline": {"shape": "rectangle", "sizes": (12.0, 8.0)}}
    assert settle(edit(same), now, []) is None
    wider = {**now, "outline": {"shape": "rectangle", "sizes": [20, 8]}}
    assert settle(edit(same), wider, [past(4, outline=now["outline"])]) is None


def test_field_changed_by_both_is_refused_with_both_values_in_the_order_of_their_names():
    now = {**READ, "depth": 12, "width": 19, "title": "Patio", "words": "Seats ten."}
    since = [past(4, depth=16, width=18), past(5, title="Terrace", words="")]
    with pytest.raises(Stale) as torn:
        settle(edit({"width": 21, "words": "Seats six.", "title": "Court", "depth": 14}), now, since)
    assert list(torn.value.theirs.items()) == [
        ("depth", 12), ("title", "Patio"), ("width", 19), ("words", "Seats ten."),
    ]  # fmt: skip
    assert list(torn.value.yours.items()) == [
        ("depth", 14), ("title", "Court"), ("width", 21), ("words", "Seats six."),
    ]  # fmt: skip


def test_oldest_of_several_later_edits_tells_what_was_read():
    # read 16; somebody made it 14, then 12: to leave it at 16 is to leave it as it was read
    now = {**READ, "depth": 12}
    assert settle(edit({"depth": 16}), now, [past(4, depth=16), past(5, depth=14)]) is None
    with pytest.raises(Stale):
        settle(edit({"depth": 14}), now, [past(4, depth=16), past(5, depth=14)])


def test_thing_that_was_made_again_since_tells_nothing_of_its_fields():
    made_again = Past(version=4, change_id="c4", before=None)
    assert settle(edit({"width": 20}), READ, [made_again]) == edit({"width": 20}, {"width": 18})


def test_change_taken_back_is_its_edits_backward_at_the_versions_of_now():
    change = Change(
        id=key(1),
        job_id=key(2),
        edits=(
            Edit(kind="zone", thing_id="z", version=0, before=None, after={"title": "Terrace"}),
            Edit(kind="work", thing_id="w", version=3, before={"title": "a"}, after={"title": "b"}),
            Edit(kind="note", thing_id="n", version=2, before={"words": "x"}, after=None),
        ),
        who="Ilse",
        when=WHEN,
        what="Terrace",
        follows=key(9),
    )
    back = inverse(change, id=key(3), who="Maren", when=WHEN, versions={"z": 1, "w": 4})
    assert back == Change(
        id=key(3),
        job_id=key(2),
        edits=(
            Edit(kind="note", thing_id="n", version=0, before=None, after={"words": "x"}),
            Edit(kind="work", thing_id="w", version=4, before={"title": "b"}, after={"title": "a"}),
            Edit(kind="zone", thing_id="z", version=1, before={"title": "Terrace"}, after=None),
        ),
        who="Maren",
        when=WHEN,
        what="Terrace",
        undoes=key(1),
    )
