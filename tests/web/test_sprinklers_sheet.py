"""Sprinklers on plan and sheet: tapped and typed, decided by a tap, priced by their fate; what is wrong is refused."""

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from app.documents.plan_schedule import legend
from app.documents.tongues import tongue
from app.domain.crew import crew_sheets
from app.domain.job import Fate
from app.services.crew_pages import crew_page
from app.services.sheets import sheet
from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    one = Yard(tmp_path)
    yield one
    one.close()


def tapped(yard: Yard, x: float, y: float, valve: str = "Valve 1", **more: str):
    sent = {"valve": valve, "x": str(x), "y": str(y), "head": "spray", "throw": "10", "arc": "360", "flow": "3", **more}
    return yard.post("plan/draw/head", sent, headers={"hx-trigger": "canvas"})


def heads(yard: Yard):
    return [one for one in yard.job.existing if one.kind == "sprinklers"]


def valves(yard: Yard):
    return [one for one in yard.job.existing if one.kind == "valve"]


def needed(yard: Yard) -> dict[str, float]:
    """What the estimate needs of each task and material."""
    return {one.key: one.amount for one in sheet(yard.office, yard.id).estimate.requirements}


def lawn(yard: Yard) -> None:
    sent = {"title": "Lawn", "kind": "turf", "fate": "stays", "outline.shape": "points"}
    answer = yard.post("site/existing/new", {**sent, "outline.points": "-40,-40 / 80,-40 / 80,60 / -40,60"})
    assert answer.status_code == 200, answer.text


def test_heads_tapped_one_after_another_hang_on_one_valve_made_with_the_first(yard: Yard) -> None:
    for x in (0, 12, 24):
        assert tapped(yard, x, 30).status_code == 200
    (valve,) = valves(yard)
    assert valve.title == "Valve 1"
    assert [one.title for one in heads(yard)] == [f"Valve 1, head {n}" for n in (1, 2, 3)]
    assert {one.valve_id for one in heads(yard)} == {valve.id}
    one = heads(yard)[0]
    assert (one.x, one.y, one.throw, one.arc, one.flow, one.fate) == (0, 30, 10, 360, 3, Fate.STAYS)
    assert tapped(yard, 36, 30, valve=str(valve.id)).status_code == 200
    assert len(valves(yard)) == 1
    assert yard.works == ()  # what stays costs nothing
    yard.post("undo", {"sheet": "plan"})
    assert len(heads(yard)) == 3


def test_tap_sent_twice_sets_one_head_and_one_valve(yard: Yard) -> None:
    change = str(uuid4())
    for _ in range(2):
        assert tapped(yard, 4, 30, change_id=change).status_code == 200
    assert (len(heads(yard)), len(valves(yard))) == (1, 1)


def test_what_is_no_valve_no_arc_no_flow_is_refused_in_words(yard: Yard) -> None:
    assert "Choose one of the list" in text_of(tapped(yard, 4, 30, valve="Valve 7").text)
    for wrong in (
        {"arc": "400"},
        {"arc": "0"},
        {"arc": "-90"},
        {"flow": "-1"},
        {"flow": "much"},
        {"throw": "900"},
        {"head": "geyser"},
    ):
        assert tapped(yard, 4, 30, **wrong).status_code == 422, wrong
    assert tapped(yard, float("nan"), 30).status_code == 422
    assert heads(yard) == []


def test_heads_are_typed_by_their_places_and_what_was_typed_is_kept_where_one_is_wrong(yard: Yard) -> None:
    sent = {
        "valve": "Valve 1",
        "places": "0,30 / 12,30 / 24",
        "head": "rotor",
        "throw": "30",
        "arc": "90",
        "faces": "45",
    }
    answer = yard.post("sprinklers/heads/new", sent)
    assert answer.status_code == 422
    assert "0,30 / 12,30 / 24" in answer.text
    assert heads(yard) == []
    assert yard.post("sprinklers/heads/new", {**sent, "places": "0,30 / 12,30 / 24,31"}).status_code == 200
    assert [(one.x, one.y, one.faces) for one in heads(yard)] == [(0, 30, 45), (12, 30, 45), (24, 31, 45)]
    assert "flow of Valve 1, head 1" in text_of(yard.get("sprinklers").text)


def test_patio_over_a_head_asks_and_one_tap_decides_and_prices_it(yard: Yard) -> None:
    lawn(yard)
    tapped(yard, 5, 5)
    tapped(yard, 60, 50)
    assert "To decide" not in text_of(yard.get("sprinklers").text)
    zone = yard.zone(**{"outline.shape": "points", "outline.points": "0,0 / 20,0 / 20,12 / 0,12"})
    way = yard.job.chosen(next(one for one in yard.job.zones if one.id == zone))
    sent = {"place": "alternative", "place_id": str(way.id), "assembly": "unit-pavers"}
    assert yard.post("plan/work/new", sent).status_code == 200
    said = text_of(yard.get("sprinklers").text)
    assert "Valve 1, head 1 comes to stand below or against Zone A, Dining terrace" in said
    assert "Keep, set it anew" not in said
    assert "Sprinkler heads below what is built" in text_of(yard.get("checks").text)
    one = heads(yard)[0]
    sent = {"fate": "goes", "version": str(yard.version("existing", one.id))}
    assert yard.post(f"sprinklers/existing/{one.id}", sent).status_code == 200
    assert heads(yard)[0].fate is Fate.GOES
    assert [work.assembly for work in yard.works if work.place == "existing"] == ["cap-sprinklers"]
    assert "To decide" not in text_of(yard.get("sprinklers").text)
    assert needed(yard)["cap-head"] == 1
    sent = {"fate": "moves", "version": str(yard.version("existing", one.id))}
    assert yard.post(f"sprinklers/existing/{one.id}", sent).status_code == 200
    assert [work.assembly for work in yard.works if work.place == "existing"] == ["move-sprinklers"]
    assert needed(yard)["move-head"] == 1
    assert "cap-head" not in needed(yard)
    assert "where Valve 1, head 1 moves to" in text_of(yard.get("sprinklers").text)
    sent = {"moves_to": "40, 30", "version": str(yard.version("existing", one.id))}
    assert yard.post(f"sprinklers/existing/{one.id}", sent).status_code == 200
    assert heads(yard)[0].moves_to == (40.0, 30.0)
    assert "where Valve 1, head 1 moves to" not in text_of(yard.get("sprinklers").text)


def test_rate_and_minutes_stand_beside_today(yard: Yard) -> None:
    # Source: 96.25 × gpm ÷ sq ft; a circle of 10 ft has 314.2 sq ft: 3 gpm water 0.92 in/h
    lawn(yard)
    tapped(yard, 20, 20)
    said = text_of(yard.get("sprinklers").text)
    assert "Waters 0.92 in/h 0.92 in/h" in said
    assert "Lawn it wets 314 sq ft 314 sq ft" in said
    # 7 × 0.18 × 0.8 in ÷ 0.919 in/h ÷ 0.65 × 60
    assert "lawn 1.01 in 101 min" in said
    assert "Its pressure was not measured" in said
    # half an inch: 0.5 ÷ 0.919 ÷ 0.65 × 60
    assert "For 0.5 in a week: 50 min" in text_of(yard.get("sprinklers?depth=0.5").text)
    assert "For 0.5 in a week: 50 min" in text_of(yard.get("sprinklers?depth=12.7+mm").text)
    wrong = yard.get("sprinklers?depth=much")
    assert wrong.status_code == 200
    assert "“much” is not understood as a small length" in text_of(wrong.text)


def test_what_keeps_today_from_being_worked_out_is_said(yard: Yard) -> None:
    yard.zone(kind="lawn")
    tapped(yard, 5, 5)
    said = text_of(yard.get("sprinklers").text)
    assert "Flow 3 gpm 3 gpm" in said
    assert "Waters not checked" in said
    assert "Today not checked: the outline of lawn or beds not known." in said


def test_new_heads_carry_their_recipe_and_stand_in_their_zone(yard: Yard) -> None:
    zone = yard.zone()
    at = {"new": "1"}
    assert tapped(yard, 4, 3, **at).status_code == 200
    (feature,) = yard.job.features
    assert (feature.title, feature.zone_id, feature.throw) == ("Valve 1, head 1", zone, 10.0)
    assert [one.assembly for one in yard.works] == ["sprinkler-head"]
    version = str(yard.version("feature", feature.id))
    answer = yard.post(f"sprinklers/feature/{feature.id}", {"throw": "12 ft", "version": version})
    assert answer.status_code == 200
    assert yard.job.features[0].throw == 12.0


def test_plan_that_is_turned_turns_heads_with_it_and_one_moved_alone_leaves_where_it_goes(yard: Yard) -> None:
    tapped(yard, 10, 0, arc="90", faces="0")
    one = heads(yard)[0]
    sent = {"fate": "moves", "moves_to": "0, 20", "version": str(yard.version("existing", one.id))}
    assert yard.post(f"sprinklers/existing/{one.id}", sent).status_code == 200
    shift = {"east": "5", "north": "0", "version": str(yard.version("existing", one.id))}
    assert yard.post(f"plan/drawn/existing/{one.id}/move", shift).status_code == 200
    moved = heads(yard)[0]
    assert (moved.x, moved.y, moved.moves_to, moved.faces) == (15, 0, (0, 20), 0)
    sent = {"how": "move", "turn": "90"}
    assert yard.post("plan/shape/all/place", sent).status_code == 200
    turned = heads(yard)[0]
    assert turned.faces == pytest.approx(270)  # a quarter to the left: from up to left
    assert (turned.x, turned.y) == pytest.approx((0, 15), abs=1e-6)
    assert turned.moves_to == pytest.approx((-20, 0), abs=1e-6)


def test_valve_taken_off_leaves_its_heads_without_one(yard: Yard) -> None:
    tapped(yard, 4, 30)
    (valve,) = valves(yard)
    sent = {"version": str(yard.version("existing", valve.id))}
    assert yard.post(f"sprinklers/existing/{valve.id}/remove", sent).status_code == 200
    assert heads(yard)[0].valve_id is None
    assert "Heads whose valve nobody said" in text_of(yard.get("sprinklers").text)


def test_source_and_valve_are_typed_and_held_to_each_other(yard: Yard) -> None:
    lawn(yard)
    assert yard.post("sprinklers/valve/new", {"title": "Valve 1", "flow": "9", "pressure": "31"}).status_code == 200
    assert (valves(yard)[0].flow, valves(yard)[0].pressure) == (9.0, 31.0)
    tapped(yard, 20, 20, flow="9")
    site = yard.job.site
    sent = {"source_flow": "8", "version": str(yard.version("site", site.id))}
    assert yard.post(f"sprinklers/site/{site.id}", sent).status_code == 200
    assert "Valve 1 takes 9 gpm; its source gives 8" in text_of(yard.get("sprinklers").text)


def test_other_things_are_not_changed_as_heads(yard: Yard) -> None:
    lawn(yard)
    (turf,) = yard.job.existing
    sent = {"fate": "goes", "version": str(yard.version("existing", turf.id))}
    assert yard.post(f"sprinklers/existing/{turf.id}", sent).status_code == 404
    assert yard.job.existing == (turf,)


def test_heads_are_drawn_with_their_throw_and_stand_on_no_crown(yard: Yard) -> None:
    tapped(yard, 20, 20)
    drawn = yard.get("plan").text
    assert 'data-layer="watering"' in drawn
    assert ">1.1</text>" in drawn
    assert 'fill-opacity=".3"' not in drawn  # as crowns of trees are
    assert "Valve 1, head 1, stays" not in drawn
    assert "what a sprinkler head throws over" in [word for word, _ in legend(yard.job)]
    (valve,) = valves(yard)
    sent = {"x": "4", "y": "4", "flow": "8", "pressure": "35", "version": str(yard.version("existing", valve.id))}
    assert yard.post(f"sprinklers/existing/{valve.id}", sent).status_code == 200
    assert ">Valve 1, 8 gpm, 35 psi</text>" in yard.get("plan").text
    site = yard.get("site").text
    assert "One sprinkler head stands on the plan" in text_of(site)
    assert all(f"existing-{one.id}" not in site for one in yard.job.existing)


def test_crew_sheet_tells_valves_and_what_is_done_to_each_head_in_both_languages(yard: Yard) -> None:
    lawn(yard)
    for x, fate, more in (
        (5, "goes", {}),
        (9, "goes", {}),
        (30, "moves", {"moves_to": "40, -2"}),
        (50, "protected", {}),
    ):
        tapped(yard, x, 30)
        one = heads(yard)[-1]
        sent = {"fate": fate, **more, "version": str(yard.version("existing", one.id))}
        assert yard.post(f"sprinklers/existing/{one.id}", sent).status_code == 200
    view = sheet(yard.office, yard.id)
    (general,) = [one for one in crew_sheets(view.job, view.basis) if one.zone_id is None]
    capped = [one for one in general.works if one.title == "Cap sprinkler heads"]
    assert [one.where for one in capped] == ["Valve 1, head 1; Valve 1, head 2"]
    assert general.keep_safe.count("Sprinklers") == 1
    assert not [one for one in general.keep_safe if "head" in one]
    library = yard.office.settings.library
    told = dict(crew_page(general, view.job, view.basis, library).valves)
    # 6 gpm land on the two circles of 314.2 sq ft that are left: 0.92 in/h (96.25 × gpm ÷ sq ft)
    assert told["Valve 1"].startswith(
        "2 heads; 6 gpm; waters 0.92 in/h; lawn in a hot week: 101 min; pressure: measure"
    )
    assert told["Valve 1, head 1"] == "cap it at its pipe, at 5'-0\" right, 30'-0\" up"
    assert told["Valve 1, head 3"] == "move it from 30'-0\" right, 30'-0\" up to 40'-0\" right, 2'-0\" down"
    assert told["Valve 1, head 4"].startswith("keep it and set it anew, at 50'-0\" right")
    said = dict(crew_page(general, view.job, view.basis, library, tongue("es")).valves)
    assert said["Valve 1"].startswith("2 aspersores; 6 gpm; riega 0.92 in/h")
    assert said["Valve 1, head 1"].startswith("tápelo en su tubo")
    yard.zone()
    (own,) = [one for one in crew_sheets(yard.job, view.basis) if one.zone_id]
    assert own.valves == ()  # nothing is done to sprinklers there


def test_crew_page_says_what_is_not_checked(yard: Yard) -> None:
    tapped(yard, 5, 30, flow="")
    (one,) = heads(yard)
    sent = {"fate": "moves", "version": str(yard.version("existing", one.id))}
    assert yard.post(f"sprinklers/existing/{one.id}", sent).status_code == 200
    view = sheet(yard.office, yard.id)
    (general,) = [one for one in crew_sheets(view.job, view.basis) if one.zone_id is None]
    told = dict(crew_page(general, view.job, view.basis, yard.office.settings.library).valves)
    assert told["Valve 1"] == "one head; flow: not checked; rate: not checked; pressure: measure it at the last head"
    assert told["Valve 1, head 1"].endswith("ask the office where to")
