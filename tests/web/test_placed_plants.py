"""Plants set on the plan by a tap: into their row, dragged, typed, taken out, undone; the canvas is told of each."""

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from tests.web.test_beds_sheet import BED, added
from tests.web.test_drawing import canvas_of
from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    one = Yard(tmp_path)
    one.zone(**BED)
    yield one
    one.close()


def tapped(yard: Yard, row: str, x: float, y: float, **more: str):
    sent = {"row": row, "x": str(x), "y": str(y), **more}
    return yard.post("plan/draw/plant", sent, headers={"hx-trigger": "canvas"})


def test_taps_place_plants_beside_the_row_that_fills_and_each_is_undone_by_itself(yard: Yard) -> None:
    filling = added(yard)
    assert tapped(yard, filling, 4, 5).status_code == 200
    assert tapped(yard, filling, 8.5, 5.25).status_code == 200
    first, placed = yard.job.plantings
    assert (str(first.id), first.pattern) == (filling, "triangular")
    assert (placed.pattern, placed.species, placed.size) == ("placed", first.species, first.size)
    assert placed.points == ((4.0, 5.0), (8.5, 5.25))
    told = [one for one in canvas_of(yard.get("plan").text)["things"] if one["kind"] == "plant"]
    assert [(one["key"], one["at"]) for one in told] == [
        (f"plant:{placed.id}:0", [4.0, 5.0]),
        (f"plant:{placed.id}:1", [8.5, 5.25]),
    ]
    assert all(one["version"] == yard.version("planting", placed.id) for one in told)
    yard.post("undo", {"sheet": "plan"})
    assert yard.job.plantings[1].points == ((4.0, 5.0),)
    yard.post("undo", {"sheet": "plan"})
    assert [str(one.id) for one in yard.job.plantings] == [filling]


def test_tap_sent_twice_places_one_plant(yard: Yard) -> None:
    row, change = added(yard), str(uuid4())
    tapped(yard, row, 2, 2)
    for _ in range(2):
        assert tapped(yard, row, 4, 5, change_id=change).status_code == 200
    assert yard.job.plantings[1].points == ((2.0, 2.0), (4.0, 5.0))


def test_plant_is_dragged_typed_and_taken_out(yard: Yard) -> None:
    tapped(yard, added(yard), 4, 5)
    tapped(yard, str(yard.job.plantings[1].id), 8, 5)
    row = yard.job.plantings[1].id

    def version() -> dict[str, str]:
        return {"version": str(yard.version("planting", row))}

    assert yard.post(f"plan/drawn/plant/{row}/1", {"x": "9.5", "y": "6", **version()}).status_code == 200
    assert yard.job.plantings[1].points == ((4.0, 5.0), (9.5, 6.0))
    note = yard.get(f"plan?focus=plant:{row}:1").text
    assert "9'-6&#34; right" in note or "9'-6\" right" in text_of(note)
    typed = yard.post(f"plan/plant/{row}/0", {"x": "3' 6\"", "y": "4", **version()})
    assert typed.status_code == 200
    assert yard.job.plantings[1].points[0] == (3.5, 4.0)
    wrong = yard.post(f"plan/plant/{row}/0", {"x": "there", "y": "4", **version()})
    assert wrong.status_code == 422
    assert "there" in wrong.text
    late = yard.post(f"plan/drawn/plant/{row}/1", {"x": "1", "y": "1", "version": "1"})
    assert late.status_code == 409
    assert yard.post(f"plan/plant/{row}/7/remove", version()).status_code == 404
    assert yard.post(f"plan/plant/{row}/1/remove", version()).status_code == 200
    assert yard.job.plantings[1].points == ((3.5, 4.0),)
    assert yard.post(f"plan/plant/{row}/0/remove", version()).status_code == 200
    assert len(yard.job.plantings) == 1
    yard.post("undo", {"sheet": "plan"})
    assert yard.job.plantings[1].points == ((3.5, 4.0),)


def test_plants_go_with_their_bed_when_it_is_dragged(yard: Yard) -> None:
    tapped(yard, added(yard), 4, 5)
    way = yard.job.alternatives[0]
    version = str(yard.version("alternative", way.id))
    moved = yard.post(f"plan/drawn/alternative/{way.id}/move", {"east": "10", "north": "-2", "version": version})
    assert moved.status_code == 200
    assert yard.job.plantings[1].points == ((14.0, 3.0),)
    yard.post("undo", {"sheet": "plan"})
    assert yard.job.plantings[1].points == ((4.0, 5.0),)
    assert yard.job.alternatives[0].outline == way.outline


def test_what_is_no_plant_or_no_place_is_refused(yard: Yard) -> None:
    row = added(yard)
    assert tapped(yard, row, float("nan"), 5).status_code == 422
    assert "list it on the Beds sheet first" in text_of(tapped(yard, "", 4, 5).text)
    assert tapped(yard, str(uuid4()), 4, 5).status_code == 404
    assert len(yard.job.plantings) == 1
