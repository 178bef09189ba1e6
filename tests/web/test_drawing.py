"""What is drawn by hand on the plan: taken exactly, checked again, refused with a sentence, replayed without harm."""

import json
import re
from collections.abc import Iterator
from html import unescape
from math import pi
from pathlib import Path
from uuid import uuid4

import pytest

from app.domain.job import Measured
from app.domain.plan.measures import area
from tests.web.yard import Yard, text_of

# a terrace 20 by 12 whose upper edge is half a circle of 10 ft: 240 + 100 π / 2 sq ft
ROUNDED = (
    "CURVEPOLYGON (COMPOUNDCURVE ((0 0, 20 0, 20 12), CIRCULARSTRING (20 12, 10 22, 0 12), (0 12, 0.1234567890123 0)))"
)
ROUNDED = ROUNDED.replace("0.1234567890123 0", "0 0")
CROSSING = "POLYGON ((0 0, 20 0, 0 12, 20 12, 0 0))"


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def canvas_of(html: str) -> dict:
    """What the canvas is told, from a page or a part of one."""
    return json.loads(unescape(re.search(r'data-plan="(\{.*?\})"', html)[1]))


def drawn(yard: Yard, wkt: str, **fields: str):
    way = yard.job.alternatives[-1]
    sent = {"outline.wkt": wkt, "version": str(yard.version("alternative", way.id)), **fields}
    return yard.post(f"plan/drawn/alternative/{way.id}", sent, headers={"hx-trigger": "canvas"})


def test_drawn_arc_is_kept_exactly_and_comes_back_with_margin_bar_and_drawing(yard: Yard) -> None:
    zone_id = yard.zone()
    answer = drawn(yard, ROUNDED, focus=f"zone:{zone_id}", measured="sketch")
    assert answer.status_code == 200, answer.text
    way = yard.job.alternatives[0]
    assert way.outline.wkt == ROUNDED
    assert area(way.outline) == pytest.approx(240 + 50 * pi)
    assert way.measured is Measured.SKETCH
    for part in ('id="bar"', 'id="open-count"', 'id="margin-part"', 'id="undo"', 'id="drawing"'):
        assert part in answer.text
    assert "397 sq ft" in text_of(answer.text)


def test_what_was_not_touched_comes_back_to_the_last_digit(yard: Yard) -> None:
    yard.zone(**{"outline.shape": "points", "outline.points": "0,0 / 7.123456789,0 / arc 7,9 out 1.1 / 0,9"})
    before = yard.job.alternatives[0].outline
    ring = canvas_of(yard.get("plan").text)["things"][0]["rings"][0]
    assert [tuple(point) for point in ring["points"]] == [(0, 0), (7.123456789, 0), (7, 9), (0, 9)]
    x, y = ring["through"][1]
    assert f"{x!r} {y!r}" in before.wkt


def test_crossing_outline_is_refused_with_a_sentence_and_nothing_is_changed(yard: Yard) -> None:
    yard.zone()
    before = yard.job
    answer = drawn(yard, CROSSING)
    assert answer.status_code == 422
    said = re.search(r'id="canvas-said"[^>]*>([^<]*)<', answer.text)
    assert "crosses or touches itself" in unescape(said[1])
    assert yard.job == before


@pytest.mark.parametrize(
    "wkt", ["", "POLYGON", "POLYGON ((0 0, 1 1, 0 0))", "<script>", "POLYGON ((0 0, 9e99 0, 1 1, 0 0))"]
)
def test_nonsense_is_refused_and_never_breaks(yard: Yard, wkt: str) -> None:
    yard.zone()
    before = yard.job
    assert drawn(yard, wkt).status_code == 422
    assert yard.job == before


def test_drawn_on_an_older_outline_shows_both_and_mine_can_be_used(yard: Yard) -> None:
    yard.zone()
    way = yard.job.alternatives[0]
    old = str(yard.version("alternative", way.id))
    assert drawn(yard, ROUNDED).status_code == 200
    mine = "POLYGON ((0 0, 18 0, 18 12, 0 12, 0 0))"
    answer = yard.post(f"plan/drawn/alternative/{way.id}", {"outline.wkt": mine, "version": old})
    assert answer.status_code == 409
    assert "Somebody was ahead of you" in answer.text
    again = re.search(r'action="(/jobs/[^"]*/drawn/alternative/[^"]*)"', answer.text)[1]
    version = re.search(r'name="version" value="(\d+)"', answer.text[answer.text.index(again) :])[1]
    assert f'name="outline.wkt" value="{mine}"' in answer.text
    assert yard.job.alternatives[0].outline.wkt == ROUNDED
    answer = yard.post(again.split(f"{yard.id}/")[1], {"outline.wkt": mine, "version": version})
    assert answer.status_code == 200
    assert yard.job.alternatives[0].outline.wkt == mine


def test_same_change_sent_twice_changes_once_and_is_undone_once(yard: Yard) -> None:
    yard.zone()
    before = yard.job.alternatives[0].outline
    change = str(uuid4())
    assert drawn(yard, ROUNDED, change_id=change).status_code == 200
    count = yard.version("alternative", yard.job.alternatives[0].id)
    assert drawn(yard, ROUNDED, change_id=change).status_code == 200
    assert yard.version("alternative", yard.job.alternatives[0].id) == count
    assert yard.post("undo", {"sheet": "plan"}).status_code == 200
    assert yard.job.alternatives[0].outline == before


def test_moved_rectangle_stays_a_rectangle_of_its_sizes(yard: Yard) -> None:
    yard.zone()
    way = yard.job.alternatives[0]
    answer = yard.post(
        f"plan/drawn/alternative/{way.id}/move",
        {"east": "3.25", "north": "-1", "version": str(yard.version("alternative", way.id))},
    )
    assert answer.status_code == 200
    moved = yard.job.alternatives[0]
    assert (moved.outline.shape, moved.outline.sizes) == ("rectangle", (20, 12))
    assert moved.outline.wkt == "POLYGON ((3.25 -1, 23.25 -1, 23.25 11, 3.25 11, 3.25 -1))"
    assert moved.measured is Measured.TAPED


def test_line_and_thing_and_house_are_drawn_and_moved(yard: Yard) -> None:
    yard.post("plan/run/new", {"title": "Low wall", "kind": "wall", "points": "0,0 / 12,0"})
    yard.post("plan/feature/new", {"title": "Grill", "x": "3", "y": "4"})
    run, feature, site = yard.job.runs[0], yard.job.features[0], yard.job.site
    assert (
        yard.post(f"plan/drawn/run/{run.id}", {"points.xy": "0 0, 12.5 0, 12.5 8", "version": "1"}).status_code == 200
    )
    assert yard.job.runs[0].points == ((0, 0), (12.5, 0), (12.5, 8))
    assert yard.post(f"plan/drawn/run/{run.id}/move", {"east": "1", "north": "2", "version": "2"}).status_code == 200
    assert yard.job.runs[0].points == ((1, 2), (13.5, 2), (13.5, 10))
    assert yard.post(f"plan/drawn/feature/{feature.id}", {"x": "5.5", "y": "6", "version": "1"}).status_code == 200
    assert (yard.job.features[0].x, yard.job.features[0].y) == (5.5, 6)
    house = "POLYGON ((0 30, 40 30, 40 60, 0 60, 0 30))"
    assert yard.post(f"plan/drawn/site/{site.id}", {"house.wkt": house, "version": "1"}).status_code == 200
    assert yard.job.site.house.wkt == house
    moved = {"part": "house", "east": "1", "north": "0", "version": "2"}
    assert yard.post(f"plan/drawn/site/{site.id}/move", moved).status_code == 200
    assert yard.job.site.house.wkt == "POLYGON ((1 30, 41 30, 41 60, 1 60, 1 30))"


@pytest.mark.parametrize(
    ("path", "fields", "status"),
    [
        ("drawn/client/{id}", {"outline.wkt": ROUNDED}, 404),
        ("drawn/alternative/00000000-0000-4000-8000-000000000000", {"outline.wkt": ROUNDED}, 404),
        ("drawn/alternative/{id}/move", {"east": "nan", "north": "1"}, 422),
        ("drawn/alternative/{id}/move", {"east": "1e9", "north": "1"}, 422),
        ("drawn/alternative/{id}", {}, 422),
        ("drawn/run/{id}", {"points.xy": "1 2"}, 422),
    ],
)
def test_what_cannot_be_drawn_is_said(yard: Yard, path: str, fields: dict, status: int) -> None:
    yard.zone()
    before = yard.job
    answer = yard.post("plan/" + path.format(id=yard.job.alternatives[0].id), fields)
    assert answer.status_code == status
    assert yard.job == before


def test_drawing_comes_at_the_width_it_is_seen(yard: Yard) -> None:
    yard.zone()
    wide = yard.browser.get(f"/jobs/{yard.id}/plan/drawing", headers={"x-outlay-width": "1200"})
    assert 'width="1200"' in wide.text
    assert 'data-scale="' in wide.text
    odd = yard.browser.get(f"/jobs/{yard.id}/plan/drawing", headers={"x-outlay-width": "-7; x"})
    assert 'width="790"' in odd.text
    assert canvas_of(odd.text)["things"][0]["name"] == "A Dining terrace"


SLAB = "POLYGON ((0 0, 10 0, 10 8, 0 8, 0 0))"


def test_drawn_zone_is_a_sketch_until_it_is_taped_and_says_so(yard: Yard) -> None:
    answer = yard.post("plan/draw/zone", {"outline.wkt": ROUNDED, "measured": "sketch", "kind": "dining"})
    assert answer.status_code == 200, answer.text
    assert yard.job.alternatives[0].outline.wkt == ROUNDED
    assert yard.job.alternatives[0].measured is Measured.SKETCH
    assert "New dining zone" in answer.text
    assert "a sketch" in text_of(answer.text)
    yard.post("plan/draw/zone", {"outline.wkt": SLAB, "measured": "taped"})
    assert {one.measured for one in yard.job.alternatives} == {Measured.SKETCH, Measured.TAPED}


def test_drawn_line_keeps_its_bends_and_the_canvas_gets_them_back(yard: Yard) -> None:
    sent = {"points.xy": "0 0, 8 0, 8 6", "points.rises": "2 0", "kind": "wall", "measured": "taped"}
    assert yard.post("plan/draw/run", sent).status_code == 200
    run = yard.job.runs[0]
    assert (run.points, run.rises, run.title) == (((0, 0), (8, 0), (8, 6)), (2, 0), "Wall")
    ring = canvas_of(yard.get("plan").text)["things"][0]["rings"][0]
    assert ring == {"points": [[0, 0], [8, 0], [8, 6]], "through": [[4, -2], None, None], "closed": False}


def test_what_is_there_is_drawn_as_area_line_and_point_with_its_fate(yard: Yard) -> None:
    yard.post("plan/draw/existing", {"outline.wkt": SLAB, "what": "concrete", "fate": "goes"})
    yard.post("plan/draw/existing", {"points.xy": "0 0, 8 0", "what": "fence", "fate": "stays"})
    yard.post("plan/draw/existing", {"x": "20", "y": "5", "what": "tree", "fate": "protected"})
    yard.post("plan/draw/existing", {"points.xy": "0 12, 30 12", "what": "utility:gas", "fate": "stays"})
    by_kind = {one.utility or one.kind: one for one in yard.job.existing}
    assert set(by_kind) == {"concrete", "fence", "tree", "gas"}
    assert by_kind["concrete"].outline.wkt == SLAB
    assert by_kind["fence"].points == ((0, 0), (8, 0))
    assert (by_kind["tree"].x, by_kind["tree"].fate) == (20, "protected")
    assert any(work.place_id == by_kind["concrete"].id for work in yard.job.works), "what goes prices itself"
    page = yard.get("plan").text
    drawing = page[page.index("<svg xmlns") :]
    for words in ("Tree, keep safe", "Fence, stays", ">gas<"):
        assert words in drawing
    assert 'data-layer="utilities"' in drawing


def test_thing_door_dimension_and_note_are_placed_and_named(yard: Yard) -> None:
    yard.zone()
    assert yard.post("plan/draw/feature", {"x": "3", "y": "4"}).status_code == 200
    assert yard.post("plan/draw/opening", {"x": "5", "y": "12"}).status_code == 200
    answer = yard.post("plan/draw/dimension", {"points.xy": "0 0, 20 0", "offset": "-2"})
    assert "A dimension" in answer.text
    note = {"x": "10", "y": "16", "to.x": "10", "to.y": "12", "words": "Keep the old <elm>"}
    answer = yard.post("plan/draw/note", note)
    assert "Keep the old &lt;elm&gt;" in answer.text
    job = yard.job
    assert (job.features[0].x, job.site.openings[0].y) == (3, 12)
    assert (job.dimensions[0].start, job.dimensions[0].end, job.dimensions[0].offset) == ((0, 0), (20, 0), -2)
    assert (job.notes[0].words, job.notes[0].to) == ("Keep the old <elm>", (10, 12))
    drawing = yard.get("plan/drawing").text
    assert drawing.count("20&#x27;-0&quot;") >= 1
    moved = f"plan/drawn/dimension/{job.dimensions[0].id}/move"
    assert yard.post(moved, {"east": "1", "north": "1", "version": "1"}).status_code == 200
    assert yard.job.dimensions[0].end == (21, 1)
    assert yard.post(f"plan/note/{job.notes[0].id}", {"words": "", "version": "1"}).status_code == 422
    assert yard.post(f"plan/note/{job.notes[0].id}/remove", {"version": "1"}).status_code == 200
    assert yard.job.notes == ()


def test_easement_is_drawn_by_its_outline_or_by_the_middle_of_its_strip(yard: Yard) -> None:
    answer = yard.post(
        "plan/draw/easement", {"points.xy": "0 30, 40 30, 40 50", "width": "10 ft", "measured": "sketch"}
    )
    assert "600 sq ft" in text_of(answer.text), "10 ft along 60 ft"
    yard.post("plan/draw/easement", {"outline.wkt": SLAB})
    strip, ground = yard.job.easements
    assert (strip.points, strip.width, ground.outline.wkt) == (((0, 30), (40, 30), (40, 50)), 10.0, SLAB)
    told = {one["id"]: one for one in canvas_of(answer.text)["things"]}[str(strip.id)]
    assert (told["layer"], told["rings"][0]["points"]) == ("limits", [[0, 30], [40, 30], [40, 50]])
    shorter = {"points.xy": "0 30, 25 30", "version": "1"}
    answer = yard.post(f"plan/drawn/easement/{strip.id}", {**shorter, "focus": f"easement:{strip.id}"})
    assert "250 sq ft" in text_of(answer.text)
    assert (
        yard.post(f"plan/drawn/easement/{strip.id}/move", {"east": "1", "north": "2", "version": "2"}).status_code
        == 200
    )
    told = {"title": "Sewer", "width": "8 ft", "allows.sent": "1", "allows": "fence", "version": "3"}
    assert yard.post(f"plan/easement/{strip.id}", told).status_code == 200
    strip = yard.job.easements[0]
    assert (strip.title, strip.points[0], strip.width, strip.allows) == ("Sewer", (1, 32), 8.0, ("fence",))
    assert "Points of Sewer" in text_of(yard.get(f"plan?focus=easement:{strip.id}").text)
    yard.post("undo", {"sheet": "plan"})
    assert yard.job.easements[0].width == 10.0


def test_same_drawn_thing_sent_twice_is_made_once(yard: Yard) -> None:
    change = str(uuid4())
    for _ in range(2):
        answer = yard.post("plan/draw/feature", {"x": "3", "y": "4", "change_id": change})
        assert f"feature:{yard.job.features[0].id}" in answer.text
    assert len(yard.job.features) == 1


@pytest.mark.parametrize(
    ("kind", "fields", "status"),
    [
        ("zone", {"outline.wkt": CROSSING}, 422),
        ("zone", {}, 422),
        ("run", {"points.xy": "1 1"}, 422),
        ("run", {"points.xy": "0 0, 4 0", "points.rises": "1 1 1"}, 422),
        ("run", {"points.xy": "0 0, 4 0", "kind": "moat"}, 422),
        ("feature", {}, 422),
        ("feature", {"x": "inf", "y": "2"}, 422),
        ("existing", {"what": "tree"}, 422),
        ("existing", {"what": "utility:steam", "x": "1", "y": "1"}, 422),
        ("dimension", {"points.xy": ""}, 422),
        ("easement", {}, 422),
        ("easement", {"points.xy": "0 0, 40 0"}, 422),
        ("easement", {"points.xy": "0 0, 40 0", "width": "0"}, 422),
        ("easement", {"points.xy": "0 0, 40 0", "width": "wide"}, 422),
        ("easement", {"outline.wkt": CROSSING}, 422),
        ("note", {"words": "a"}, 422),
        ("opening", {"y": "1"}, 422),
        ("castle", {"x": "1", "y": "1"}, 404),
    ],
)
def test_new_thing_that_cannot_be_is_refused(yard: Yard, kind: str, fields: dict, status: int) -> None:
    before = yard.job
    assert yard.post(f"plan/draw/{kind}", fields).status_code == status
    assert yard.job == before


def test_stretch_is_read_as_lengths_are_everywhere(yard: Yard) -> None:
    def read(length: str, direction: str):
        return yard.browser.get(f"/jobs/{yard.id}/plan/stretch", params={"length": length, "direction": direction})

    assert read("12-6", "").json() == {"length": 12.5, "bearing": 0}
    assert read("12' 6 1/2\"", "up").json() == {"length": pytest.approx(12 + 6.5 / 12), "bearing": 90}
    assert read("3.81 m", "-90°").json() == {"length": 12.5, "bearing": 270}
    for length, direction in (("12 q", ""), ("", "90"), ("12", "north-ish"), ("12", "nan")):
        refused = read(length, direction)
        assert refused.status_code == 422
        assert refused.json()["sentence"]


def test_door_goes_into_the_nearest_wall_or_fence_and_is_dragged_along_it(yard: Yard) -> None:
    yard.post(
        f"plan/drawn/site/{yard.job.site.id}", {"house.wkt": "POLYGON ((0 0, 30 0, 30 20, 0 20, 0 0))", "version": "1"}
    )
    yard.post("plan/draw/existing", {"points.xy": "0 60, 40 60", "what": "fence", "fate": "stays"})
    change = str(uuid4())
    for _ in range(2):  # sent twice, there is one door, and it is the one in focus
        answer = yard.post("plan/draw/opening", {"x": "9", "y": "-2", "change_id": change})
        assert canvas_of(answer.text)["focus"] == "opening:0"
    (door,) = yard.job.site.openings
    assert (door.title, door.x, door.y) == ("Door", 9, 0)
    told = next(one for one in canvas_of(answer.text)["things"] if one["key"] == "opening:0")
    assert (told["at"], told["version"]) == ([9, 0], yard.version("site", yard.job.site.id))

    def dragged(x: str, y: str):
        version = str(yard.version("site", yard.job.site.id))
        return yard.post("plan/drawn/opening/0", {"x": x, "y": y, "version": version})

    assert dragged("29.5", "3").status_code == 200
    assert (yard.job.site.openings[0].x, yard.job.site.openings[0].y) == (30, 3)
    assert dragged("12", "55").status_code == 200
    assert (yard.job.site.openings[0].x, yard.job.site.openings[0].y) == (12, 60)
    assert yard.post("plan/drawn/opening/3", {"x": "1", "y": "1", "version": "9"}).status_code == 404
    assert dragged("x", "1").status_code == 422
    assert "Gate" in yard.post("plan/draw/opening", {"x": "20", "y": "58"}).text
    assert (yard.job.site.openings[1].title, yard.job.site.openings[1].y) == ("Gate", 60)


def test_door_is_named_and_taken_out_on_the_plan(yard: Yard) -> None:
    yard.post("plan/draw/opening", {"x": "5", "y": "12"})
    page = yard.get("plan?focus=opening:0").text
    assert "All doors and gates" in page
    assert f'action="/jobs/{yard.id}/plan/opening/0"' in page
    version = str(yard.version("site", yard.job.site.id))
    answer = yard.post("plan/opening/0", {"title": "Side gate", "width": "42 in", "version": version})
    assert answer.status_code == 200
    assert (yard.job.site.openings[0].title, yard.job.site.openings[0].width) == ("Side gate", 3.5)
    assert yard.post("plan/opening/0", {"title": "", "version": "9"}).status_code == 422
    version = str(yard.version("site", yard.job.site.id))
    assert yard.post("plan/opening/0/remove", {"version": version}).status_code == 200
    assert yard.job.site.openings == ()
    assert yard.get("plan?focus=opening:0").status_code == 200


def test_canvas_is_told_of_the_survey_marks(yard: Yard) -> None:
    assert yard.post("tape/mark/new", {"title": "H1", "x": "3.25", "y": "7", "on_ground": "1"}).status_code == 200
    assert canvas_of(yard.get("plan").text)["marks"] == [{"name": "H1", "at": [3.25, 7]}]


@pytest.mark.parametrize("kind", ["zone", "existing"])
def test_drawn_zone_and_what_is_there_sent_twice_are_one_and_in_focus(yard: Yard, kind: str) -> None:
    change = str(uuid4())
    sent = {"outline.wkt": SLAB, "what": "concrete", "fate": "stays", "change_id": change}
    if kind == "zone":
        sent.pop("what")
    answers = [canvas_of(yard.post(f"plan/draw/{kind}", sent).text)["focus"] for _ in range(2)]
    assert answers[0] == answers[1]
    made = yard.job.zones if kind == "zone" else yard.job.existing
    assert [f"{kind}:{one.id}" for one in made] == answers[:1]
