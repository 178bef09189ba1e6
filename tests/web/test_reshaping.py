"""Shapes on the plan reshaped by typing: each one a person's step, with good input and bad; undo takes all of it back."""

import re
from collections.abc import Iterator
from html import unescape
from math import pi
from pathlib import Path
from uuid import uuid4

import pytest

from app.domain.job import EdgeChoice, PlaceKind
from app.domain.plan.measures import area, bounds
from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def outline(yard: Yard, place: int = 0):
    return yard.job.chosen(yard.job.zones[place]).outline


def table(yard: Yard, focus: str) -> dict[str, str]:
    """What the form of points sends as it is shown."""
    page = yard.get(f"plan?focus={focus}").text
    section = page[page.index('id="points"') : page.index("</section>", page.index('id="points"'))]
    found = re.findall(r'<input[^>]*name="(was\.\d+|p\.\d+\.\w+|outward|version)"[^>]*value="([^"]*)"', section)
    sides = re.findall(r'<select name="(p\.\d+\.side)".*?<option value="(\w+)" selected', section, re.DOTALL)
    return {name: unescape(value) for name, value in (*found, *sides)}


def test_zone_is_split_and_the_other_part_is_built_the_same_way(yard: Yard) -> None:
    zone = yard.zone(assembly="unit-pavers")
    yard.post(f"plan/work/{yard.works[0].id}/parameter", {"name": "base", "formula": "10", "version": "1000000"})
    yard.post("client/need/new", {"words": "Room for twelve", "must": "1", "zone_ids": str(zone)})
    before, price = yard.job, yard.price
    answer = yard.post(f"plan/shape/zone/{zone}/split", {"cut": "8,-1 / 8,13", "version": "1"})
    assert answer.status_code == 200
    assert "A was split. B is built as A is" in text_of(answer.text)
    one, two = yard.job.zones
    assert (one.id, two.letter, two.title) == (zone, "B", "Dining terrace, part 2")
    assert sorted(area(outline(yard, n)) for n in (0, 1)) == [96, 144]
    works = [work for work in yard.works if work.place is PlaceKind.ALTERNATIVE]
    assert [(work.assembly, work.parameters) for work in works] == [("unit-pavers", {"base": "10*inch"})] * 2
    assert yard.job.needs[0].zone_ids == (one.id, two.id)
    assert yard.price > price  # the same ground, and an edge more that base and digging reach beyond
    yard.post("undo", {"sheet": "plan"})
    assert yard.job == before


def test_what_lies_in_the_other_part_goes_with_it(yard: Yard) -> None:
    zone = yard.zone()
    yard.post("plan/feature/new", {"title": "Grill", "count": "1", "zone_id": str(zone), "x": "2", "y": "3"})
    yard.post("plan/run/new", {"title": "Edging", "kind": "edging", "zone_id": str(zone), "points": "12,2 / 18,2"})
    yard.post(f"plan/shape/zone/{zone}/split", {"cut": "8,-1 / 8,13", "version": "1"})
    assert yard.job.features[0].zone_id == yard.job.zones[1].id
    assert yard.job.runs[0].zone_id == zone


def test_decided_edges_go_with_the_ground_they_lie_on(yard: Yard) -> None:
    zone = yard.zone(assembly="unit-pavers")
    beside = yard.zone(title="Fire court", kind="fire", against=str(zone), side="left", **{"outline.width": "6"})
    below = yard.zone(title="Lawn", kind="lawn", against=str(zone), side="below", **{"outline.width": "20"})
    for other in (beside, below):
        yard.post(f"plan/zone/{zone}/edge", {"neighbor": str(other), "decision": "flush-edge"})
    yard.post(f"plan/shape/zone/{zone}/split", {"cut": "8,-1 / 8,13", "version": "1"})
    part = next(one.id for one in yard.job.zones if "part 2" in one.title)
    held = {(edge.zone_id, edge.neighbor) for edge in yard.job.edges}
    assert held == {(part, str(beside)), (zone, str(below)), (part, str(below))}
    assert all(edge.choice is EdgeChoice.BUILT for edge in yard.job.edges)
    on_edges = [work.place_id for work in yard.works if work.place is PlaceKind.EDGE]
    assert sorted(map(str, on_edges)) == sorted(str(edge.id) for edge in yard.job.edges)


def test_split_sent_twice_splits_once(yard: Yard) -> None:
    zone = yard.zone()
    sent = {"cut": "8,-1 / 8,13", "version": "1", "change_id": str(uuid4())}
    assert yard.post(f"plan/shape/zone/{zone}/split", sent).status_code == 200
    assert yard.post(f"plan/shape/zone/{zone}/split", sent).status_code == 200
    assert len(yard.job.zones) == 2


@pytest.mark.parametrize(
    ("cut", "said"),
    [
        ("", "empty"),
        ("8", "2 to 200 points"),
        ("30,0 / 30,12", "does not cut"),
        ("0,0 / 20,0", "does not cut"),
        ("x,y / 3,4", "is not understood"),
        ("1,1 / 1,1", "twice in a row"),
    ],
)
def test_line_that_does_not_cut_is_said_beside_its_field(yard: Yard, cut: str, said: str) -> None:
    zone = yard.zone()
    answer = yard.post(f"plan/shape/zone/{zone}/split", {"cut": cut, "version": "1"})
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert len(yard.job.zones) == 1


def test_zones_are_joined_and_what_hung_on_the_other_comes_along(yard: Yard) -> None:
    one = yard.zone(assembly="unit-pavers")
    two = yard.zone(title="Fire court", kind="fire", against=str(one), side="right", assembly="gravel-surface")
    three = yard.zone(title="Lawn", kind="lawn", against=str(two), side="right")
    yard.post(f"plan/zone/{two}/edge", {"neighbor": str(three), "decision": "flush-edge"})
    yard.post(f"plan/zone/{one}/edge", {"neighbor": str(two), "decision": "nothing"})
    yard.post("client/need/new", {"words": "A fire", "must": "1", "zone_ids": str(two)})
    yard.post("plan/feature/new", {"title": "Fire bowl", "count": "1", "zone_id": str(two), "x": "30", "y": "6"})
    before = yard.job
    answer = yard.post(f"plan/shape/zone/{one}/join", {"other": str(two)})
    assert answer.status_code == 200
    assert "B is part of A now" in text_of(answer.text)
    assert [zone.id for zone in yard.job.zones] == [one, three]
    assert area(outline(yard)) == 480
    assert [(edge.zone_id, edge.neighbor) for edge in yard.job.edges] == [(one, str(three))]
    assert yard.job.needs[0].zone_ids == (one,)
    assert yard.job.features[0].zone_id == one
    assert [w.assembly for w in yard.works if w.place is PlaceKind.ALTERNATIVE] == ["unit-pavers"]
    yard.post("undo", {"sheet": "plan"})
    assert yard.job == before


def test_zones_apart_are_not_joined(yard: Yard) -> None:
    one = yard.zone()
    two = yard.zone(title="Far", **{"outline.left": "40"})
    answer = yard.post(f"plan/shape/zone/{one}/join", {"other": str(two)})
    assert answer.status_code == 422
    assert "20'-0\" apart" in text_of(answer.text)
    assert yard.post(f"plan/shape/zone/{one}/join", {"other": str(one)}).status_code == 422
    assert yard.post(f"plan/shape/zone/{one}/join", {"other": str(uuid4())}).status_code == 404
    assert yard.post(f"plan/shape/zone/{one}/join", {"other": "x"}).status_code == 422


@pytest.mark.parametrize(
    ("makes", "size", "own"),
    [("around", 24 * 16 - 240, 240), ("inside", 240 - 16 * 8, 128), ("same", None, 24 * 16), ("shrink", None, 128)],
)
def test_border_is_made_around_or_inside_a_zone(yard: Yard, makes: str, size: float | None, own: float) -> None:
    zone = yard.zone()
    fields = {"makes": makes, "width": "2", "corners": "miter", "title": "Soldier border", "assembly": "gravel-surface"}
    assert yard.post(f"plan/shape/zone/{zone}/set-off", {**fields, "version": "1"}).status_code == 200
    assert area(outline(yard)) == pytest.approx(own)
    if size is not None:
        assert area(outline(yard, 1)) == pytest.approx(size)
        assert [w.assembly for w in yard.works] == ["gravel-surface"]
    yard.post("undo", {"sheet": "plan"})
    assert len(yard.job.zones) == 1
    assert area(outline(yard)) == 240


def test_bed_of_four_feet_lies_along_one_edge_of_the_lot(yard: Yard) -> None:
    site = yard.job.site.id
    lot = {"lot.shape": "rectangle", "lot.width": "60", "lot.depth": "40"}
    yard.post(f"site/site/{site}", {**lot, "version": "1"})
    fields = {"makes": "inside", "width": "4", "edge": "1", "title": "Bed along the fence"}
    assert yard.post(f"plan/shape/lot/{site}/set-off", fields).status_code == 200
    assert bounds(outline(yard)) == (0, 0, 60, 4)
    assert yard.job.zones[0].kind == "planting"


def test_line_runs_around_a_zone_and_a_bed_along_a_line(yard: Yard) -> None:
    zone = yard.zone(**{"outline.shape": "circle", "outline.radius": "9"})
    yard.post(f"plan/shape/zone/{zone}/set-off", {"makes": "line", "width": "0", "title": "Steel edging"})
    run = yard.job.runs[0]
    assert (run.title, run.ends) == ("Steel edging", 0)
    page = text_of(yard.get("plan").text)
    assert "Steel edging 56'-6 5/8\"" in page  # 2 π 9
    yard.post(f"plan/shape/run/{run.id}/set-off", {"makes": "around", "width": "2", "title": "Bed"})
    assert "bed" in yard.job.zones[-1].title.lower() or len(yard.job.zones) == 1


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"makes": "around", "width": ""}, "empty"),
        ({"makes": "shrink", "width": "7"}, "Nothing is left"),
        ({"makes": "around", "width": "0"}, "cannot be set off"),
        ({"makes": "around", "width": "2", "edge": "9"}, "There is no edge 9"),
        ({"makes": "moat", "width": "2"}, "choose one of the list"),
        ({"makes": "around", "width": "2", "assembly": "no-such"}, "no recipe"),
        ({"makes": "inside", "width": "2", "edge": "1"}, "split the zone"),
    ],
)
def test_border_that_cannot_be_is_refused(yard: Yard, fields: dict, said: str) -> None:
    zone = yard.zone()
    answer = yard.post(f"plan/shape/zone/{zone}/set-off", fields)
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert len(yard.job.zones) == 1


def test_zone_is_squared_up_and_says_how_far(yard: Yard) -> None:
    zone = yard.zone(**{"outline.shape": "points", "outline.points": "0,0 / 20,0.2 / 20,12 / 0,12"})
    answer = yard.post(f"plan/shape/zone/{zone}/square", {"within": "5", "version": "1"})
    assert 'no point was moved by more than 1 3/16"' in text_of(answer.text)
    assert outline(yard).wkt == "POLYGON ((0 0.1, 20 0.1, 20 12, 0 12, 0 0.1))"
    again = yard.post(f"plan/shape/zone/{zone}/square", {"within": "5", "version": str(2)})
    assert again.status_code == 422
    assert "Nothing was moved" in text_of(again.text)


def test_zone_is_moved_turned_and_copied_with_its_works(yard: Yard) -> None:
    zone = yard.zone(assembly="unit-pavers")
    yard.post("plan/feature/new", {"title": "Grill", "count": "1", "zone_id": str(zone), "x": "2", "y": "3"})
    way = yard.version("alternative", yard.job.alternatives[0].id)
    place = f"plan/shape/zone/{zone}/place"
    answer = yard.post(place, {"how": "move", "east": "5", "north": "-3", "turn": "90", "version": str(way)})
    assert answer.status_code == 200
    assert bounds(outline(yard)) == (-7, -3, 5, 17)
    assert (yard.job.features[0].x, yard.job.features[0].y) == (2, -1)
    assert yard.post(place, {"how": "copy"}).status_code == 422
    yard.post(place, {"how": "copy", "east": "30"})
    assert len(yard.job.zones) == 2
    assert bounds(outline(yard, 1)) == (23, -3, 35, 17)
    assert [w.assembly for w in yard.works if w.place is PlaceKind.ALTERNATIVE] == ["unit-pavers"] * 2


def test_line_is_mirrored_to_its_other_hand(yard: Yard) -> None:
    yard.post("plan/run/new", {"title": "Edging", "kind": "edging", "points": "0,0 / arc 8,0 right 2"})
    run = yard.job.runs[0]
    fields = {"how": "mirror", "mirror": "upright", "about_x": "10", "version": "1"}
    assert yard.post(f"plan/shape/run/{run.id}/place", fields).status_code == 200
    assert (yard.job.runs[0].points, yard.job.runs[0].rises) == (((20, 0), (12, 0)), (-2,))


def test_house_is_moved_and_cannot_be_copied(yard: Yard) -> None:
    site = yard.job.site.id
    yard.post(
        f"site/site/{site}", {"house.shape": "rectangle", "house.width": "40", "house.depth": "20", "version": "1"}
    )
    assert yard.post(f"plan/shape/house/{site}/place", {"how": "move", "east": "4", "version": "2"}).status_code == 200
    assert bounds(yard.job.site.house) == (4, 0, 44, 20)
    answer = yard.post(f"plan/shape/house/{site}/place", {"how": "copy", "east": "4"})
    assert answer.status_code == 422
    assert "moved, not copied" in text_of(answer.text)


def test_whole_plan_is_turned_and_no_measure_changes(yard: Yard) -> None:
    one = yard.zone(assembly="unit-pavers")
    yard.zone(title="Fire court", kind="fire", against=str(one), side="right")
    site = yard.job.site.id
    yard.post(
        f"site/site/{site}", {"house.shape": "rectangle", "house.width": "40", "house.depth": "20", "version": "1"}
    )
    yard.post("plan/run/new", {"title": "Edging", "kind": "edging", "points": "0,0 / arc 8,0 right 2"})
    before, price, edges = yard.job, yard.price, text_of(yard.get(f"plan?focus=zone:{one}").text)
    assert yard.post("plan/shape/all/place", {"turn": "30", "east": "100"}).status_code == 200
    assert yard.price == price
    assert yard.job.site.north == 330
    assert yard.job.runs[0].rises == before.runs[0].rises
    again = text_of(yard.get(f"plan?focus=zone:{one}").text)
    assert re.findall(r"to [A-Z] [\w ]+ \d+'-\d+\"", again) == re.findall(r"to [A-Z] [\w ]+ \d+'-\d+\"", edges)
    yard.post("undo", {"sheet": "plan"})
    assert yard.job == before


def test_whole_plan_with_nothing_on_it_is_refused(yard: Yard) -> None:
    answer = yard.post("plan/shape/all/place", {"east": "4"})
    assert answer.status_code == 422


def test_points_that_are_not_typed_over_do_not_move(yard: Yard) -> None:
    zone = yard.zone(**{"outline.shape": "points", "outline.points": "0.013,0 / 20.017,0 / arc 20,12 out 3 / 0,12"})
    before = outline(yard)
    sent = table(yard, f"zone:{zone}")
    answer = yard.post(f"plan/shape/zone/{zone}/points/0", sent)
    assert answer.status_code == 422
    assert "Nothing was changed" in text_of(answer.text)
    assert outline(yard) == before
    assert yard.post(f"plan/shape/zone/{zone}/points/0", {**sent, "p.3.y": "14"}).status_code == 200
    changed = outline(yard).wkt
    assert "0.013 0, 20.017 0" in changed
    assert "0 14" in changed


def test_typed_length_widens_a_rectangle_and_it_stays_one(yard: Yard) -> None:
    zone = yard.zone()
    sent = table(yard, f"zone:{zone}")
    assert sent["was.0"] == '0"|0"|20\'-0"|0|straight||'
    assert yard.post(f"plan/shape/zone/{zone}/points/0", {**sent, "p.0.length": "24 ft"}).status_code == 200
    assert (outline(yard).shape, outline(yard).sizes) == ("rectangle", (24, 12))


def test_edge_is_bent_by_rise_by_radius_and_straightened(yard: Yard) -> None:
    zone = yard.zone()
    at = f"plan/shape/zone/{zone}/points/0"
    yard.post(at, {**table(yard, f"zone:{zone}"), "p.1.side": "out", "p.1.rise": "6"})
    assert area(outline(yard)) == pytest.approx(240 + 18 * pi)
    yard.post(at, {**table(yard, f"zone:{zone}"), "p.1.side": "in"})
    assert area(outline(yard)) == pytest.approx(240 - 18 * pi)
    yard.post(at, {**table(yard, f"zone:{zone}"), "p.1.side": "straight"})
    assert area(outline(yard)) == 240
    yard.post(at, {**table(yard, f"zone:{zone}"), "p.1.radius": "6"})
    assert area(outline(yard)) == pytest.approx(240 + 18 * pi)


def test_outline_walked_the_other_way_bends_out_where_out_is_said(yard: Yard) -> None:
    zone = yard.zone(**{"outline.shape": "points", "outline.points": "0,12 / 20,12 / 20,0 / 0,0"})
    sent = table(yard, f"zone:{zone}")
    assert sent["outward"] == "-1"
    yard.post(f"plan/shape/zone/{zone}/points/0", {**sent, "p.1.side": "out", "p.1.rise": "6"})
    assert area(outline(yard)) == pytest.approx(240 + 18 * pi)


def test_point_is_put_in_and_taken_out_by_row(yard: Yard) -> None:
    zone = yard.zone()
    at = f"plan/shape/zone/{zone}/points/0"
    yard.post(at, {**table(yard, f"zone:{zone}"), "do": "insert:1"})
    assert outline(yard).wkt == "POLYGON ((0 0, 20 0, 20 6, 20 12, 0 12, 0 0))"
    yard.post(at, {**table(yard, f"zone:{zone}"), "do": "remove:2"})
    assert area(outline(yard)) == 240


def test_corner_is_rounded_and_line_runs_on(yard: Yard) -> None:
    zone = yard.zone()
    fields = {"place": "2", "what": "round", "amount": "3", "version": "1"}
    assert yard.post(f"plan/shape/zone/{zone}/corner", fields).status_code == 200
    assert area(outline(yard)) == pytest.approx(240 - 9 * (1 - pi / 4))
    refused = yard.post(f"plan/shape/zone/{zone}/corner", {"place": "1", "what": "round", "amount": "40"})
    assert refused.status_code == 422
    assert "Take a smaller radius" in text_of(refused.text)


def test_line_has_its_own_table(yard: Yard) -> None:
    yard.post("plan/run/new", {"title": "Edging", "kind": "edging", "points": "0,0 / 8,0 / 8,5"})
    run = yard.job.runs[0]
    sent = table(yard, f"run:{run.id}")
    yard.post(f"plan/shape/run/{run.id}/points/0", {**sent, "p.0.length": "10", "p.1.side": "right", "p.1.rise": "1"})
    assert yard.job.runs[0].points == ((0, 0), (10, 0), (10, 5))
    assert yard.job.runs[0].rises == pytest.approx((0, 1))


@pytest.mark.parametrize(
    ("cell", "typed", "said"),
    [
        ("p.0.x", "abc", "is not understood as a length"),
        ("p.0.length", "0", "above zero"),
        ("p.1.direction", "north", "cannot be read"),
        ("p.1.side", "out", "how far the arc rises"),
        ("p.1.radius", "2", "does not reach"),
        ("p.2.x", "20", "twice in a row"),
    ],
)
def test_cell_that_cannot_be_is_said_with_the_typed_text_kept(yard: Yard, cell: str, typed: str, said: str) -> None:
    zone = yard.zone()
    sent = table(yard, f"zone:{zone}")
    if cell == "p.2.x":
        sent["p.2.y"] = "0"
    answer = yard.post(f"plan/shape/zone/{zone}/points/0", {**sent, cell: typed})
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert f'value="{typed}"' in answer.text or cell == "p.1.side"
    assert area(outline(yard)) == 240


def test_points_changed_by_somebody_else_show_both(yard: Yard) -> None:
    zone = yard.zone()
    sent = table(yard, f"zone:{zone}")
    yard.post(f"plan/shape/zone/{zone}/points/0", {**sent, "p.0.length": "24"})
    answer = yard.post(f"plan/shape/zone/{zone}/points/0", {**sent, "p.1.length": "16"})
    assert answer.status_code == 409


@pytest.mark.parametrize("kind", ["zone", "run", "existing", "lot", "house", "moat"])
@pytest.mark.parametrize("action", ["split", "join", "set-off", "square", "place", "points/0", "points/9", "corner"])
def test_nonsense_is_never_a_fault(yard: Yard, kind: str, action: str) -> None:
    for fields in ({}, {"cut": "0,0 / 1,1", "other": str(uuid4()), "width": "1", "makes": "around", "how": "copy"}):
        answer = yard.post(f"plan/shape/{kind}/{uuid4()}/{action}", fields)
        assert answer.status_code in {404, 405, 422}
    yard.zone()
    zone = yard.job.zones[0].id
    sent = {"do": "remove:9999", "was.0": "x", "p.0.x": "9" * 70, "place": "900", "what": "round", "within": "nan"}
    assert yard.post(f"plan/shape/zone/{zone}/{action}", sent).status_code in {404, 422}


WAIST = "0,0 / 10,0 / 10,4 / 20,4 / 20,0 / 30,0 / 30,10 / 20,10 / 20,6 / 10,6 / 10,10 / 0,10"


@pytest.mark.parametrize(("makes", "zones"), [("shrink", [49, 49]), ("inside", [49, 49, 220 - 98])])
def test_width_that_parts_a_zone_makes_zones_of_the_parts(yard: Yard, makes: str, zones: list[float]) -> None:
    zone = yard.zone(**{"outline.shape": "points", "outline.points": WAIST, "assembly": "unit-pavers"})
    sent = {"makes": makes, "width": "1.5", "change_id": str(uuid4())}
    for _ in range(2):  # the same change twice is one change
        answer = yard.post(f"plan/shape/zone/{zone}/set-off", sent)
        assert answer.status_code == 200, text_of(answer.text)
    job = yard.job
    assert sorted(area(job.chosen(one).outline) for one in job.zones) == pytest.approx(zones)
    assert len({one.letter for one in job.zones}) == len(zones)
    works = [work for work in job.works if work.place_id in {job.chosen(one).id for one in job.zones}]
    assert len(works) == 2  # the part of its own is built as the zone is; a border is decided later
    assert yard.post("undo", {"sheet": "plan"}).status_code == 200
    assert len(yard.job.zones) == 1


def test_width_that_parts_the_house_is_refused(yard: Yard) -> None:
    wkt = "POLYGON ((0 0, 10 0, 10 4, 20 4, 20 0, 30 0, 30 10, 20 10, 20 6, 10 6, 10 10, 0 10, 0 0))"
    site = yard.job.site.id
    yard.post(f"plan/drawn/site/{site}", {"house.wkt": wkt, "version": "1"})
    answer = yard.post(f"plan/shape/house/{site}/set-off", {"makes": "shrink", "width": "1.5"})
    assert answer.status_code == 422
    assert "fall into 2 parts" in text_of(answer.text)
