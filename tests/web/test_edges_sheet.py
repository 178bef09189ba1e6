"""Shared edges on the plan sheet: one stretch, all with a neighbor, all alike; steps where levels differ."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.domain.job import EdgeChoice, PlaceKind
from tests.web.yard import Yard, text_of

# a patio, a walk with a bay cut out of its side so that both meet along two stretches, a bed
PATIO = {"title": "Patio", "kind": "dining", "outline.shape": "points", "outline.points": "0,0 / 20,0 / 20,12 / 0,12"}
WALK = {
    "title": "Walk", "kind": "path", "outline.shape": "points",
    "outline.points": "20,0 / 24,0 / 24,12 / 20,12 / 20,8 / 22,8 / 22,6 / 20,6",
}  # fmt: skip
TERRACE = {"title": "Terrace", "kind": "lounging", "outline.shape": "points",
           "outline.points": "0,12 / 20,12 / 20,20 / 0,20"}  # fmt: skip


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    for zone in (PATIO, WALK, TERRACE):
        assert opened.post("plan/zone/new", zone).status_code == 200
    yield opened
    opened.close()


def zone(yard: Yard, title: str):
    return next(one for one in yard.job.zones if one.title == title)


def level(yard: Yard, title: str, feet: str) -> None:
    way = yard.job.chosen(zone(yard, title))
    answer = yard.post(
        f"plan/alternative/{way.id}", {"level": feet, "version": str(yard.version("alternative", way.id))}
    )
    assert answer.status_code == 200


def edge_post(yard: Yard, title: str, other: str, **fields: str):
    data = {"neighbor": str(zone(yard, other).id), "at_x": "20", "at_y": "3", "scope": "stretch", **fields}
    return yard.post(f"plan/zone/{zone(yard, title).id}/edge", data)


def test_every_stretch_of_a_zone_is_listed_with_its_length_and_what_is_built(yard: Yard) -> None:
    level(yard, "Patio", "18 in")
    level(yard, "Walk", "0")
    page = text_of(yard.get(f"plan?focus=zone:{zone(yard, 'Patio').id}").text)
    assert "to B Walk 1 6'-0\" 1'-6\" down to it choose an edge" in page
    assert "to B Walk 2 4'-0\" 1'-6\" down to it choose an edge" in page
    assert "3 to decide" in page
    assert "1'-6\" up to it" in text_of(yard.get(f"plan?focus=zone:{zone(yard, 'Walk').id}").text)


def test_one_stretch_is_decided_and_the_other_stays_open(yard: Yard) -> None:
    assert edge_post(yard, "Patio", "Walk", decision="flush-edge").status_code == 200
    (edge,) = yard.job.edges
    assert (edge.choice, edge.at) == (EdgeChoice.BUILT, (20.0, 3.0))
    assert "2 to decide" in text_of(yard.get(f"plan?focus=zone:{zone(yard, 'Patio').id}").text)
    edge_post(yard, "Patio", "Walk", decision="nothing")
    assert [(one.id, one.choice) for one in yard.job.edges] == [(edge.id, EdgeChoice.NOTHING)]
    assert [work for work in yard.works if work.place is PlaceKind.EDGE] == []


def test_all_stretches_with_a_neighbor_are_decided_at_once_and_single_ones_go(yard: Yard) -> None:
    edge_post(yard, "Patio", "Walk", decision="flush-edge")
    edge_post(yard, "Walk", "Patio", decision="nothing", scope="neighbor")
    (edge,) = yard.job.edges
    assert (edge.at, edge.choice) == (None, EdgeChoice.NOTHING)
    yard.post("undo", {"sheet": "plan"})
    assert [one.at for one in yard.job.edges] == [(20.0, 3.0)]


def test_all_that_are_alike_are_decided_in_one_change(yard: Yard) -> None:
    page = text_of(yard.get(f"plan?focus=edge:{zone(yard, 'Patio').id}:{zone(yard, 'Terrace').id}").text)
    assert "And all 2 undecided ones like it" in page
    where = {"at_x": "10", "at_y": "12", "scope": "alike"}
    assert edge_post(yard, "Patio", "Terrace", decision="flush-edge", **where).status_code == 200
    assert {one.choice for one in yard.job.edges} == {EdgeChoice.BUILT}
    assert len([work for work in yard.works if work.place is PlaceKind.EDGE]) == 2  # both stretches to the walk as one
    assert "all decided" in text_of(yard.get(f"plan?focus=zone:{zone(yard, 'Patio').id}").text)
    yard.post("undo", {"sheet": "plan"})
    assert yard.job.edges == ()


def test_edges_with_a_drop_are_not_like_level_ones(yard: Yard) -> None:
    for title, feet in (("Patio", "18 in"), ("Walk", "0"), ("Terrace", "18 in")):
        level(yard, title, feet)
    where = {"at_x": "10", "at_y": "12", "scope": "alike"}
    edge_post(yard, "Patio", "Terrace", decision="flush-edge", **where)
    assert [one.neighbor for one in yard.job.edges] == [str(zone(yard, "Terrace").id)]


def test_steps_are_put_where_the_levels_differ_with_the_sizes_that_were_offered(yard: Yard) -> None:
    level(yard, "Patio", "18 in")
    level(yard, "Walk", "0")
    patio, walk = zone(yard, "Patio"), zone(yard, "Walk")
    page = text_of(yard.get(f"plan?focus=edge:{patio.id}:{walk.id}:1").text)
    assert '3 risers of 6", treads of 1\'-2", reaching 2\'-4" out' in page
    answer = yard.post(f"plan/zone/{patio.id}/edge/steps", {"neighbor": str(walk.id), "at_x": "20", "at_y": "3"})
    assert answer.status_code == 200
    (work,) = [one for one in yard.works if one.place is PlaceKind.EDGE]
    assert (work.assembly, dict(work.parameters)) == (
        "steps-at-edge",
        {"riser": "6*inch", "tread": "14*inch", "width": "length"},
    )
    assert "Put steps here" not in yard.get(f"plan?focus=edge:{patio.id}:{walk.id}:1").text
    assert "Put steps here" in yard.get(f"plan?focus=edge:{patio.id}:{walk.id}:2").text


def test_steps_without_a_known_drop_are_refused_with_a_sentence(yard: Yard) -> None:
    patio, walk = zone(yard, "Patio"), zone(yard, "Walk")
    answer = yard.post(f"plan/zone/{patio.id}/edge/steps", {"neighbor": str(walk.id), "at_x": "20", "at_y": "3"})
    assert answer.status_code == 422
    assert yard.job.edges == ()


@pytest.mark.parametrize(
    "fields",
    [
        {"decision": "unit-pavers"},
        {"decision": "no-such-recipe"},
        {"decision": ""},
        {"decision": "nothing", "scope": "everywhere"},
        {"decision": "nothing", "at_x": "nowhere"},
        {"decision": "nothing", "at_x": "inf"},
        {"decision": "nothing", "neighbor": "<b>"},
    ],
)
def test_nonsense_is_refused_and_changes_nothing(yard: Yard, fields) -> None:
    assert edge_post(yard, "Patio", "Walk", **fields).status_code == 422
    assert yard.job.edges == ()


def test_edges_on_the_drawing_lead_to_their_notes(yard: Yard) -> None:
    patio, walk = zone(yard, "Patio"), zone(yard, "Walk")
    drawing = yard.get("plan").text
    for key in (f"edge:{patio.id}:{walk.id}:1", f"edge:{patio.id}:{walk.id}:2"):
        turned = f"edge:{walk.id}:{patio.id}:{key[-1]}"
        assert f"focus={key}#margin-part" in drawing or f"focus={turned}#margin-part" in drawing
    edge_post(yard, "Patio", "Walk", decision="flush-edge", scope="neighbor")
    edge = yard.job.edges[0]
    assert "Two surfaces meeting flush" in text_of(yard.get(f"plan?focus=edge:{edge.id}").text)


@pytest.mark.parametrize("focus", ["edge::", "edge:x:y:z", "edge:1", "edge:" + "9" * 80])
def test_edge_that_is_none_shows_the_plan(yard: Yard, focus: str) -> None:
    assert yard.get(f"plan?focus={focus}").status_code == 200


def test_line_below_a_zone_is_listed_on_both_margins_and_takes_a_sleeve_in_one_tap(yard: Yard) -> None:
    run = {"title": "Water to the bed", "kind": "pipe", "points": "-5, 3 / 30, 3"}
    assert yard.post("plan/run/new", run).status_code == 200
    (line,) = yard.job.runs
    page = text_of(yard.get(f"plan?focus=run:{line.id}").text)
    assert "Runs below Zone A, Patio 20'-0\" Zone B, Walk 4'-0\"" in page
    assert "Lines below it Water to the bed 20'-0\"" in text_of(
        yard.get(f"plan?focus=zone:{zone(yard, 'Patio').id}").text
    )
    answer = yard.post("plan/work/new", {"place": "run", "place_id": str(line.id), "assembly": "sleeve"})
    assert answer.status_code == 200
    assert "Put a sleeve on it" not in yard.get(f"plan?focus=run:{line.id}").text


def test_gap_within_which_edges_meet_is_set_on_the_plan(yard: Yard) -> None:
    site = yard.job.site
    answer = yard.post(f"plan/site/{site.id}", {"meeting_gap": "1 in", "version": str(yard.version("site", site.id))})
    assert answer.status_code == 200
    assert yard.job.site.meeting_gap == pytest.approx(1 / 12)
    refused = yard.post(f"plan/site/{site.id}", {"meeting_gap": "3", "version": str(yard.version("site", site.id))})
    assert refused.status_code == 422
    assert "3'-0\" is too much, 1'-0\" at most" in text_of(refused.text)
    assert yard.job.site.meeting_gap == pytest.approx(1 / 12)


def test_length_and_drop_of_each_stretch_open_to_where_they_come_from(yard: Yard) -> None:
    level(yard, "Patio", "18 in")
    level(yard, "Walk", "0")
    name = f"measure:edge:{zone(yard, 'Patio').id}:{zone(yard, 'Walk').id}"
    page = yard.get(f"plan?focus=zone:{zone(yard, 'Patio').id}").text
    for part in ("length:1", "length:2", "drop:1"):
        assert f"/why/{name}:{part}" in page
    assert "from 20, 0 to 20, 6" in text_of(yard.get(f"why/{name}:length:1").text)
    assert "from 20, 8 to 20, 12" in text_of(yard.get(f"why/{name}:length:2").text)
    assert "level here less level across" in text_of(yard.get(f"why/{name}:drop:1").text)
    for nonsense in ("length:9", "drop:x", "width", "length:-1"):
        assert yard.get(f"why/{name}:{nonsense}").status_code in {200, 404}


def house_and_door(yard: Yard, sill: str = "13 in") -> None:
    """The house along the patio's south edge, with a door whose threshold is known."""
    site = yard.job.site
    house = {"house.shape": "points", "house.points": "0,-10 / 20,-10 / 20,0 / 0,0"}
    assert (
        yard.post(f"site/site/{site.id}", {**house, "version": str(yard.version("site", site.id))}).status_code == 200
    )
    door = {"title": "Kitchen door", "x": "10", "y": "0", "width": "3", "level": sill}
    answer = yard.post("site/opening/new", {**door, "version": str(yard.version("site", site.id))})
    assert answer.status_code == 200


def steps_of(yard: Yard):
    (work,) = [one for one in yard.works if one.assembly == "steps-at-edge"]
    return dict(work.parameters)


def test_step_at_a_door_is_offered_with_count_riser_and_tread_and_stands_beside_the_joint(yard: Yard) -> None:
    house_and_door(yard)
    level(yard, "Patio", "0")
    patio = zone(yard, "Patio")
    yard.post(f"plan/zone/{patio.id}/edge", {"neighbor": "house", "decision": "joint-to-house", "scope": "neighbor"})
    page = text_of(yard.get(f"plan?focus=edge:{patio.id}:house").text)
    assert "Kitchen door, threshold 1'-1\"" in page
    assert "Drop at the door 1'-1\" up to it" in page
    assert 'Kitchen door lies above. Wanted: 2 risers of 6 1/2", treads of 1\'-1"' in page
    assert "empty: 4'-0\", the door and 6 in on either side" in page
    where = {"neighbor": "house", "at_x": "10", "at_y": "0"}
    assert yard.post(f"plan/zone/{patio.id}/edge/steps", where).status_code == 200
    assert steps_of(yard) == {"riser": "6.5*inch", "tread": "13*inch", "width": "48*inch", "on_top": "1"}
    assert {one.assembly for one in yard.works if one.place is PlaceKind.EDGE} == {"joint-to-house", "steps-at-edge"}


def test_door_without_a_threshold_leads_to_where_it_is_typed(yard: Yard) -> None:
    house_and_door(yard, sill="")
    page = yard.get(f"plan?focus=edge:{zone(yard, 'Patio').id}:house").text
    assert f'href="/jobs/{yard.job.head.id}/site#openings">type its level' in page
    assert "Put steps here" not in page


@pytest.mark.parametrize(("typed", "width"), [("", "length"), ("5", "60*inch"), ("6 ft", "72*inch")])
def test_steps_are_as_wide_as_the_stretch_or_as_typed(yard: Yard, typed: str, width: str) -> None:
    level(yard, "Patio", "18 in")
    level(yard, "Walk", "0")
    where = {"neighbor": str(zone(yard, "Walk").id), "at_x": "20", "at_y": "3", "width": typed}
    assert yard.post(f"plan/zone/{zone(yard, 'Patio').id}/edge/steps", where).status_code == 200
    assert steps_of(yard)["width"] == width


@pytest.mark.parametrize("typed", ["6'-1\"", "0", "wide", "-3"])
def test_steps_wider_than_their_stretch_are_refused_beside_the_field(yard: Yard, typed: str) -> None:
    level(yard, "Patio", "18 in")
    level(yard, "Walk", "0")
    patio, walk = zone(yard, "Patio"), zone(yard, "Walk")
    where = {
        "neighbor": str(walk.id),
        "at_x": "20",
        "at_y": "3",
        "width": typed,
        "focus": f"edge:{patio.id}:{walk.id}:1",
    }
    answer = yard.post(f"plan/zone/{patio.id}/edge/steps", where)
    assert answer.status_code == 422
    assert 'id="f-stepswidth-said"' in answer.text
    assert yard.job.edges == ()


def test_one_riser_at_a_door_is_its_threshold_and_nothing_is_built(yard: Yard) -> None:
    house_and_door(yard, sill="6 in")
    level(yard, "Patio", "0")
    page = text_of(yard.get(f"plan?focus=edge:{zone(yard, 'Patio').id}:house").text)
    assert 'Drop at the door 6" up to it' in page
    assert "Put steps here" not in page


def test_other_stretch_with_the_same_neighbor_is_alike_too(yard: Yard) -> None:
    walk = zone(yard, "Walk")
    assert edge_post(yard, "Patio", "Walk", decision="flush-edge", scope="alike").status_code == 200
    assert len([work for work in yard.works if work.place is PlaceKind.EDGE]) == len(yard.job.edges) == 2
    assert {one.neighbor for one in yard.job.edges} | {str(one.zone_id) for one in yard.job.edges} >= {str(walk.id)}
    assert "all decided" in text_of(yard.get(f"plan?focus=zone:{walk.id}").text)


def test_decided_ones_that_are_alike_are_decided_again_only_where_that_is_asked_for(yard: Yard) -> None:
    edge_post(yard, "Patio", "Walk", decision="flush-edge", at_y="10")
    page = text_of(yard.get(f"plan?focus=edge:{zone(yard, 'Patio').id}:{zone(yard, 'Terrace').id}").text)
    assert "And the undecided one like it" in page
    assert "All 3 like it, 1 decided already" in page
    where = {"at_x": "10", "at_y": "12"}
    edge_post(yard, "Patio", "Terrace", decision="nothing", scope="alike", **where)
    assert sorted(one.choice for one in yard.job.edges) == [EdgeChoice.BUILT, EdgeChoice.NOTHING, EdgeChoice.NOTHING]
    edge_post(yard, "Patio", "Terrace", decision="edge-steel", scope="all alike", **where)
    assert {one.choice for one in yard.job.edges} == {EdgeChoice.BUILT}
    assert {one.assembly for one in yard.works if one.place is PlaceKind.EDGE} == {"edge-steel"}
    assert len(yard.job.edges) == 2  # the walk's two stretches have become one decision
    yard.post("undo", {"sheet": "plan"})
    assert sorted(one.choice for one in yard.job.edges) == [EdgeChoice.BUILT, EdgeChoice.NOTHING, EdgeChoice.NOTHING]


def test_edge_of_all_stretches_goes_once_each_has_one_of_its_own(yard: Yard) -> None:
    edge_post(yard, "Patio", "Walk", decision="flush-edge", scope="neighbor")
    edge_post(yard, "Patio", "Walk", decision="edge-steel", at_y="3")
    assert len(yard.job.edges) == 2
    edge_post(yard, "Walk", "Patio", decision="nothing", at_y="10")
    assert sorted((one.at, one.choice) for one in yard.job.edges) == [
        ((20.0, 3.0), EdgeChoice.BUILT),
        ((20.0, 10.0), EdgeChoice.NOTHING),
    ]


def test_length_below_a_zone_opens_to_where_the_line_enters_and_leaves(yard: Yard) -> None:
    yard.post("plan/run/new", {"title": "Water to the bed", "kind": "pipe", "points": "-5, 3 / 30, 3"})
    (line,) = yard.job.runs
    patio = zone(yard, "Patio")
    name = f"measure:run:{line.id}:below:{patio.id}"
    assert f"/why/{name}" in yard.get(f"plan?focus=run:{line.id}").text
    assert f"/why/{name}" in yard.get(f"plan?focus=zone:{patio.id}").text
    told = text_of(yard.get(f"why/{name}").text)
    assert "5 to 25 ft along the line, from 0, 3 to 20, 3" in told
    assert yard.get(f"why/measure:run:{line.id}:below:house").status_code in {200, 404}
