"""Tape and level: one test a thing a person does, with good input and bad."""

import re
from collections.abc import Iterator
from math import dist
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.domain.plan import from_points
from app.services.jobs import changed, save
from app.services.measured_ground import Measured, measured_ground
from app.services.sheets import sheet
from tests.web.test_site import save_site
from tests.web.yard import Yard, order, text_of

CORNERS = {"A": (0.0, 0.0), "B": (40.0, 0.0), "C": (42.0, 30.0), "D": (-3.0, 28.0)}
AT = (9.0, 12.0)


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def measured(yard: Yard) -> Measured:
    return measured_ground(sheet(yard.office, yard.id))


def mark(yard: Yard, title: str, **fields: str) -> UUID:
    answer = yard.post("tape/mark/new", {"title": title, "on_ground": "1", **fields})
    assert answer.status_code == 200, text_of(answer.text)
    return yard.job.marks[-1].id


def corners(yard: Yard) -> dict[str, str]:
    return {key: str(mark(yard, key, x=f"{x}", y=f"{y}")) for key, (x, y) in CORNERS.items()}


def taped(yard: Yard, known: dict[str, str], *, wrong: float = 0.0) -> UUID:
    """A mark with three tapes typed at once and a fourth added, that to B too long."""
    lengths = {key: dist(CORNERS[key], AT) + (wrong if key == "B" else 0.0) for key in CORNERS}
    fields = {f"from_{n}": known[key] for n, key in enumerate("ABC", 1)}
    fields |= {f"length_{n}": f"{lengths[key]:.4f}" for n, key in enumerate("ABC", 1)}
    made = mark(yard, "P1", **fields)
    answer = yard.post(
        f"tape/mark/{made}/tape/new", {"from_id": known["D"], "length": f"{lengths['D']:.4f}", "version": "1"}
    )
    assert answer.status_code == 200
    return made


def test_empty_page_says_what_to_do_first(yard: Yard) -> None:
    page = yard.get("tape")
    assert page.status_code == 200
    assert "Begin with two marks whose place is known" in text_of(page.text)
    assert "/tape" in yard.get("site").text
    assert "/tape" in yard.get("plan").text


def test_corners_of_the_house_become_marks_and_undo_takes_them_back(yard: Yard) -> None:
    assert yard.post("tape/house").status_code == 422
    save_site(yard, **{"house.shape": "rectangle", "house.width": "30", "house.depth": "20"})
    assert yard.post("tape/house").status_code == 200
    assert [(one.title, one.x, one.y) for one in yard.job.marks] == [
        ("H1", 0, 0), ("H2", 30, 0), ("H3", 30, 20), ("H4", 0, 20),
    ]  # fmt: skip
    assert "All corners of the house are marked already" in text_of(yard.post("tape/house").text)
    yard.post("undo", {"sheet": "tape"})
    assert yard.job.marks == ()


def test_mark_is_found_from_tapes_typed_as_they_are_read(yard: Yard) -> None:
    known = corners(yard)
    made = mark(yard, "P1", from_1=known["A"], length_1="15'", from_2=known["B"], length_2="33' 2 7/8\"", side="left")
    line = next(one for one in measured(yard).marks if one.mark.id == made)
    assert line.at == pytest.approx(AT, abs=0.02)
    page = text_of(yard.get("tape").text)
    assert "2 tapes, the side as said" in page
    assert "nothing checks them" in page


def test_two_answers_are_shown_until_a_side_is_said(yard: Yard) -> None:
    known = corners(yard)
    made = mark(yard, "P1", from_1=known["A"], length_1="15", from_2=known["B"], length_2="33.2415")
    page = yard.get(f"tape?focus=mark:{made}")
    assert "Two places fit P1" in text_of(page.text)
    assert "P1?" in page.text  # both on the drawing
    answer = yard.post(f"tape/mark/{made}", {"side": "right", "version": "1"})
    assert answer.status_code == 200
    assert next(one for one in measured(yard).marks if one.mark.id == made).at[1] < 0


def test_tapes_that_cannot_meet_are_kept_and_said(yard: Yard) -> None:
    known = corners(yard)
    mark(yard, "P1", from_1=known["A"], length_1="12", from_2=known["B"], length_2="5")
    assert "12'-0\" and 5'-0\" cannot reach across the 40'-0\" between A and B" in text_of(yard.get("tape").text)


def test_bad_tape_is_named_and_left_out_by_its_button(yard: Yard) -> None:
    made = taped(yard, corners(yard), wrong=2 / 3)
    page = text_of(yard.get("tape").text)
    assert 'The tape from B to P1 is 8" too long; without it the others agree within' in page
    assert "Tapes that do not fit" in text_of(yard.get("checks").text)
    (bad,) = measured(yard).bad
    answer = yard.post(f"tape/mark/{bad.mark_id}/tape/{bad.place}", {"does": "leave-out", "version": "2"})
    assert answer.status_code == 200
    assert measured(yard).bad == ()
    assert yard.job.marks[-1].tapes[1].left_out
    assert next(one for one in measured(yard).marks if one.mark.id == made).at == pytest.approx(AT, abs=0.01)
    yard.post(f"tape/mark/{made}/tape/1", {"does": "use", "version": "3"})
    assert not yard.job.marks[-1].tapes[1].left_out


def test_tape_is_corrected_and_taken_off(yard: Yard) -> None:
    made = taped(yard, corners(yard), wrong=2 / 3)
    right = dist(CORNERS["B"], AT)
    yard.post(f"tape/mark/{made}/tape/1", {"length": f"{right:.5f}", "version": "2"})
    assert yard.job.marks[-1].tapes[1].length == pytest.approx(right, abs=1e-4)
    yard.post(f"tape/mark/{made}/tape/1", {"does": "take-off", "version": "3"})
    assert len(yard.job.marks[-1].tapes) == 3
    assert yard.post(f"tape/mark/{made}/tape/7", {"does": "take-off", "version": "4"}).status_code == 404


def test_mark_taken_out_takes_its_tapes_along_and_undo_brings_all_back(yard: Yard) -> None:
    known = corners(yard)
    taped(yard, known)
    before = yard.job.marks
    assert yard.post(f"tape/mark/{known['A']}/remove").status_code == 200
    assert len(yard.job.marks[-1].tapes) == 3
    yard.post("undo", {"sheet": "tape"})
    assert yard.job.marks == before


REFUSED = [
    ({"title": ""}, "Name is empty"),
    ({"title": "12, 3"}, "cannot be typed in an outline"),
    ({"title": "arc one"}, "cannot be typed in an outline"),
    ({"title": "a"}, "There is a mark a already"),
    ({"title": "Q" * 31}, "1 to 30 letters"),
    ({"x": "5"}, "A typed place needs both lengths"),
    ({"length_1": "12"}, "From which mark was this taped?"),
    ({"from_1": "A", "length_1": "0"}, "A tape of no length"),
    ({"from_1": "A", "length_1": "-3"}, "negative"),
    ({"from_1": "A", "length_1": "9 miles"}, "not understood as a length"),
    ({"from_1": "6f9619ff-8b86-d011-b42d-00c04fc964ff", "length_1": "3"}, "That mark is not there"),
    ({"reading": "4.2"}, "The rod needs a setup of the instrument"),
    ({"side": "up"}, "choose one of the list"),
]


def test_mark_that_cannot_be_is_refused_with_its_sentence(yard: Yard) -> None:
    known = corners(yard)
    for fields, sentence in REFUSED:
        sent = {name: known.get(value, value) if name.startswith("from") else value for name, value in fields.items()}
        answer = yard.post("tape/mark/new", {"title": "P9", **sent})
        assert answer.status_code == 422, fields
        assert sentence in text_of(answer.text), fields
    assert len(yard.job.marks) == 4


def test_mark_to_tape_from_that_was_only_proposed_is_no_tape(yard: Yard) -> None:
    known = corners(yard)
    made = mark(yard, "P1", x="3", y="4", from_1=known["A"], from_2=known["B"])
    assert next(one for one in yard.job.marks if one.id == made).tapes == ()


def test_mark_cannot_be_taped_from_itself(yard: Yard) -> None:
    made = taped(yard, corners(yard))
    answer = yard.post(f"tape/mark/{made}/tape/new", {"from_id": str(made), "length": "3", "version": "2"})
    assert answer.status_code == 422
    assert "cannot be taped from itself" in text_of(answer.text)


def test_rod_readings_over_two_setups_give_levels_and_say_how_well_they_close(yard: Yard) -> None:
    known = corners(yard)
    yard.post(f"tape/mark/{known['A']}", {"level": "0", "version": "1"})
    assert yard.post("tape/level_setup/new", {"benchmark_id": known["A"], "backsight": "4.0"}).status_code == 200
    first = yard.job.level_setups[0]
    assert first.title == "Setup 1"
    yard.post(f"tape/level_setup/{first.id}/rod", {"mark_id": known["B"], "reading": "6.0"})
    yard.post("tape/level_setup/new", {"benchmark_id": known["B"], "backsight": "5.0", "title": "By the oak"})
    second = yard.job.level_setups[1]
    yard.post(f"tape/level_setup/{second.id}/rod", {"mark_id": known["C"], "reading": "2.5"})
    levels = {line.name: line.level for line in measured(yard).marks}
    assert levels == {"A": 0, "B": pytest.approx(-2), "C": pytest.approx(0.5), "D": None}
    assert "Nothing was read twice" in text_of(yard.get("tape").text)
    yard.post(f"tape/level_setup/{second.id}/rod", {"mark_id": known["A"], "reading": "3.5"})
    page = text_of(yard.get("tape").text)
    assert 'The levels of A lie 6" apart, more than the 5/16" allowed. Nothing is shared out.' in page
    yard.post(f"tape/level_setup/{second.id}/rod", {"mark_id": known["A"], "reading": "3.02"})
    page = text_of(yard.get("tape").text)
    assert 'What was read twice agrees within 1/4"; 5/16" is allowed. What is left is shared' in page
    yard.post(f"tape/level_setup/{second.id}/rod", {"mark_id": known["A"], "reading": ""})
    assert yard.job.marks[0].rods == ()


def test_setup_is_changed_and_taken_out_with_its_readings(yard: Yard) -> None:
    known = corners(yard)
    yard.post("tape/level_setup/new", {})
    setup = yard.job.level_setups[0]
    yard.post(f"tape/level_setup/{setup.id}/rod", {"mark_id": known["B"], "reading": "6.0"})
    assert "Setup 1 saw no mark of known level" in text_of(yard.get("tape").text)
    answer = yard.post(
        f"tape/level_setup/{setup.id}", {"benchmark_id": known["A"], "backsight": "4' 3\"", "version": "1"}
    )
    assert answer.status_code == 200
    assert yard.job.level_setups[0].backsight == 4.25
    gone = yard.post(f"tape/level_setup/{setup.id}", {"benchmark_id": str(uuid4()), "version": "2"})
    assert gone.status_code == 422
    before = yard.job
    yard.post(f"tape/level_setup/{setup.id}/remove")
    assert (yard.job.level_setups, yard.job.marks[1].rods) == ((), ())
    yard.post("undo", {"sheet": "tape"})
    assert (yard.job.level_setups, yard.job.marks) == (before.level_setups, before.marks)


def test_mark_taken_out_leaves_its_setup_without_benchmark(yard: Yard) -> None:
    known = corners(yard)
    yard.post("tape/level_setup/new", {"benchmark_id": known["A"], "backsight": "4"})
    yard.post(f"tape/mark/{known['A']}/remove")
    assert yard.job.level_setups[0].benchmark_id is None


def test_mark_that_is_no_ground_carries_a_level_and_changes_no_ground(yard: Yard) -> None:
    for key, (x, y) in CORNERS.items():
        mark(yard, key, x=f"{x}", y=f"{y}", level="0")
    sill = mark(yard, "Sill", x="20", y="15", level="2", on_ground="")
    assert "4 spot levels. The ground between them is level." in text_of(yard.get("tape").text)
    yard.post(f"tape/mark/{sill}", {"on_ground": "1", "version": "1"})
    assert "5 spot levels" in text_of(yard.get("tape").text)


def test_ground_under_a_zone_is_told_with_the_earth_to_its_finish(yard: Yard) -> None:
    for key, (x, y) in CORNERS.items():
        mark(yard, key, x=f"{x}", y=f"{y}", level=f"{1 - 0.02 * y:.4f}")
    zone = yard.zone()
    way = yard.job.alternatives[0]
    save(yard.office, yard.id, (changed("alternative", way.id, 1, {"level": 0.5}),), order())
    page = text_of(yard.get("tape").text)
    assert "4 spot levels. The ground between them falls 1/4 in per ft (2%) to the north" in page
    # 20 x 12 ft, ground from 1 ft down to 9 in, finish 6 in: 0.38 ft on the mean
    assert "cut 3.38 cu yd" in page
    for figure in ("ground", "cut", "fill", "level"):
        told = yard.get(f"why/measure:zone:{zone}:{figure}")
        assert told.status_code == 200
        assert "spot levels" in told.text or figure == "level"


def test_every_measured_figure_opens_to_where_it_comes_from(yard: Yard) -> None:
    known = corners(yard)
    made = taped(yard, known, wrong=2 / 3)
    yard.post(f"tape/mark/{known['A']}", {"level": "0", "version": "1"})
    yard.post("tape/level_setup/new", {"benchmark_id": known["A"], "backsight": "4"})
    yard.post(f"tape/level_setup/{yard.job.level_setups[0].id}/rod", {"mark_id": str(made), "reading": "6"})
    page = yard.get("tape").text
    addresses = [f"why/measure:mark:{made}:{figure}" for figure in ("right", "up", "known", "level")]
    for address in (*addresses, f"why/measure:setup:{yard.job.level_setups[0].id}:height"):
        assert address in page
        assert yard.get(address).status_code == 200
    assert "level of A + rod there" in text_of(yard.get(address).text)
    assert "Tape between B and P1" in text_of(yard.get(f"why/measure:mark:{made}:right").text)
    assert "height of the instrument" in text_of(yard.get(f"why/measure:mark:{made}:level").text)
    assert yard.get(f"why/measure:mark:{uuid4()}:level").status_code == 404


def test_two_who_change_the_same_tapes_see_both(yard: Yard) -> None:
    made = taped(yard, corners(yard))
    yard.post(f"tape/mark/{made}/tape/0", {"length": "15.5", "version": "2"})
    answer = yard.post(f"tape/mark/{made}/tape/0", {"length": "15.25", "version": "2"})
    assert answer.status_code == 409
    assert f"/mark/{made}/tape/0" in answer.text
    assert 'name="version" value="3"' in answer.text


def test_zone_is_outlined_by_the_names_of_marks(yard: Yard) -> None:
    corners(yard)
    zone = yard.zone(**{"outline.shape": "points", "outline.points": "A B / arc C out 2 / D"})
    page = yard.get(f"plan?focus=zone:{zone}")
    assert "A / B / arc C through" in page.text
    assert "/ D<" in page.text
    way = yard.job.alternatives[0]
    answer = yard.post(
        f"plan/alternative/{way.id}",
        {"outline.shape": "points", "outline.points": "A B Q9", "version": "1", "focus": f"zone:{zone}"},
    )
    assert answer.status_code == 422
    assert "“A B Q9” is not a point" in text_of(answer.text)
    answer = yard.post(
        f"plan/alternative/{way.id}",
        {"outline.shape": "points", "outline.points": "A B C", "version": "1", "focus": f"zone:{zone}"},
    )
    assert answer.status_code == 200
    assert yard.job.alternatives[0].outline.wkt == "POLYGON ((0 0, 40 0, 42 30, 0 0))"


def test_corner_of_a_zone_follows_its_mark_when_a_bad_tape_is_left_out(yard: Yard) -> None:
    made = taped(yard, corners(yard), wrong=2 / 3)
    yard.zone(**{"outline.shape": "points", "outline.points": "A B P1"})
    drawn = yard.job.alternatives[0].outline
    yard.post(f"tape/mark/{made}/tape/1", {"does": "leave-out", "version": "2"})
    place = next(line.at for line in measured(yard).marks if line.mark.id == made)
    assert yard.job.alternatives[0].outline == from_points([(0, 0), (40, 0), place])
    assert dist(place, AT) < 0.01
    yard.post("undo", {"sheet": "tape"})
    assert yard.job.alternatives[0].outline == drawn
    assert not yard.job.marks[-1].tapes[1].left_out


def test_what_stands_there_and_the_house_are_outlined_by_marks(yard: Yard) -> None:
    corners(yard)
    save_site(yard, **{"house.shape": "points", "house.points": "A B C D"})
    assert yard.job.site.house == from_points(list(CORNERS.values()))
    assert ">A / B / C / D<" in yard.get("site").text
    thing = {"title": "Bed", "kind": "bed", "fate": "stays", "outline.shape": "points", "outline.points": "A / B / D"}
    assert yard.post("site/existing/new", thing).status_code == 200
    assert yard.job.existing[0].outline == from_points([CORNERS[key] for key in "ABD"])


def test_level_and_fall_of_a_zone_are_typed_with_their_direction_and_shown_at_its_corners(yard: Yard) -> None:
    save_site(yard, **{"house.shape": "rectangle", "house.width": "30", "house.depth": "20", "house.front": "12"})
    mark(yard, "Sill", x="10", y="12")
    zone = yard.zone()
    way = yard.job.alternatives[0]
    page = yard.get(f"plan?focus=zone:{zone}").text
    assert "away from the house, south" in page
    answer = yard.post(
        f"plan/alternative/{way.id}",
        {"level": "-2 in", "level_at": "Sill", "fall": "2%", "fall_bearing": "180.0", "version": "1",
         "focus": f"zone:{zone}"},
    )  # fmt: skip
    assert answer.status_code == 200
    words = text_of(answer.text)
    assert "Fall, to the south 1/4 in per ft (2%)" in words
    assert "at Sill" in words
    # 12 ft below the sill at 2%: 2 7/8 in lower than 2 in
    assert 'At its corners, from and to -4 7/8" -2"' in words
    for figure in ("lowest", "highest", "level", "fall"):
        assert yard.get(f"why/measure:zone:{zone}:{figure}").status_code == 200
    again = yard.post(
        f"plan/alternative/{way.id}",
        {"level_at": "nowhere", "fall_bearing": "south", "version": "2", "focus": f"zone:{zone}"},
    )
    assert again.status_code == 422
    assert "“nowhere” is not a point" in text_of(again.text)
    stops = [one for one in sheet(yard.office, yard.id).findings if one.rule == "fall-away-from-house"]
    assert stops == []


def test_a_baseline_is_chosen_kept_from_half_a_choice_and_goes_with_its_mark(yard: Yard) -> None:
    known = corners(yard)
    answer = yard.post("tape/baseline", {"version": "1000000", "start_id": known["A"], "end_id": known["B"]})
    assert answer.status_code == 200
    assert [str(one) for one in yard.job.site.baseline_ids] == [known["A"], known["B"]]
    for wrong in ({"start_id": known["A"], "end_id": ""}, {"start_id": known["A"], "end_id": known["A"]}):
        answer = yard.post("tape/baseline", wrong)
        assert answer.status_code == 422
        assert "between two marks" in text_of(answer.text)
    answer = yard.post("tape/baseline", {"version": "1000000", "start_id": str(uuid4()), "end_id": known["B"]})
    assert answer.status_code == 422
    assert [str(one) for one in yard.job.site.baseline_ids] == [known["A"], known["B"]]
    assert yard.post(f"tape/mark/{known['B']}/remove").status_code == 200
    assert yard.job.site.baseline_ids == ()


def test_what_was_taped_with_is_not_typed_over_unread_and_mine_can_be_sent_again(yard: Yard) -> None:
    corners(yard)
    read = str(yard.version("site", yard.job.site.id))
    assert yard.post("tape/tapes", {"version": read, "tape_kind": "fiber", "tape_within": ""}).status_code == 200
    mine = {"tape_kind": "laser", "tape_within": ""}
    stale = yard.post("tape/tapes", {**mine, "version": read})
    assert stale.status_code == 409
    assert "theirs fiber , yours laser" in text_of(stale.text)
    assert yard.job.site.tape_kind == "fiber"
    again = re.search(r'name="version" value="(\d+)"', stale.text.partition("data-stale")[2])
    assert again
    assert yard.post("tape/tapes", {**mine, "version": again[1]}).status_code == 200
    assert yard.job.site.tape_kind == "laser"


def test_what_was_taped_with_is_chosen_and_may_be_overruled(yard: Yard) -> None:
    corners(yard)
    assert '1/4" up to 30 ft, 3/8" at 60 ft' in text_of(yard.get("tape").text)
    assert yard.post("tape/tapes", {"version": "1000000", "tape_kind": "laser", "tape_within": ""}).status_code == 200
    assert (yard.job.site.tape_kind, yard.job.site.tape_within) == ("laser", None)
    assert '1/8" up to 30 ft' in text_of(yard.get("tape").text)
    yard.post("tape/tapes", {"version": "1000000", "tape_kind": "fiber", "tape_within": "1/2 in"})
    assert yard.job.site.tape_within == pytest.approx(1 / 24)
    for wrong in ({"tape_kind": "rope"}, {"tape_kind": "steel", "tape_within": "4"}, {"tape_within": "-1 in"}):
        assert yard.post("tape/tapes", wrong).status_code == 422
    assert yard.job.site.tape_kind == "fiber"


def test_line_is_typed_by_the_names_of_marks(yard: Yard) -> None:
    corners(yard)
    fields = {"title": "Wall", "kind": "wall", "points": "A / B / 30, 30"}
    assert yard.post("plan/run/new", fields).status_code == 200
    (run,) = yard.job.runs
    places = {mark.title: (mark.x, mark.y) for mark in yard.job.marks}
    assert run.points == (places["A"], places["B"], (30.0, 30.0))
    assert "A / B / 30" in yard.get(f"plan?focus=run:{run.id}").text
    assert yard.post("plan/run/new", {**fields, "points": "A / Z"}).status_code == 422
