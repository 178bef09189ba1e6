"""The plan sheet: one test a thing a person does, with good input and bad."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from uuid import uuid4

import pytest

from app.domain.job import EdgeChoice, PlaceKind
from app.domain.plan.measures import area, bounds
from app.domain.takeoff.measures import run_corners
from app.services import jobs
from app.services.jobs import changed
from app.services.sheets import sheet
from app.web.forms.outlines import texts
from tests.web.yard import SHIPPED, TERRACE, Yard, order, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def test_empty_plan_says_what_to_do_first(yard: Yard) -> None:
    page = yard.get("plan")
    assert page.status_code == 200
    assert "The first zone" in page.text
    assert "Add the zone" in page.text


def test_new_zone_comes_back_with_drawing_margin_bar_and_open_points_together(yard: Yard) -> None:
    answer = yard.post(
        "plan/zone/new",
        {
            "title": "Dining terrace",
            "kind": "dining",
            "assembly": "unit-pavers",
            "outline.shape": "rectangle",
            "outline.width": "28",
            "outline.depth": "20",
        },
    )
    assert answer.status_code == 200
    for part in ('id="bar"', 'id="open-count"', 'id="margin-part"', "<svg"):
        assert part in answer.text
    words = text_of(answer.text)
    assert "560 sq ft" in words
    assert "96'-0\"" in words
    assert "Unit pavers, small, on compacted base" in words
    assert f'href="/jobs/{yard.id}/plan?focus=zone:{yard.job.zones[0].id}' in answer.text  # the bubble


@pytest.mark.parametrize(
    ("fields", "size"),
    [
        ({"outline.shape": "circle", "outline.radius": "9"}, 254.469),
        (
            {
                "outline.shape": "L",
                "outline.width": "20",
                "outline.depth": "12",
                "outline.cut_width": "5",
                "outline.cut_depth": "4",
            },
            220,
        ),
        ({"outline.shape": "points", "outline.points": "0,0 / 20,0 / 20,12 / 0,12"}, 240),
    ],
)
def test_each_shape_is_typed_and_typed_again_unchanged(yard: Yard, fields: dict, size: float) -> None:
    zone_id = yard.zone(**fields)
    way = yard.job.alternatives[0]
    assert area(way.outline) == pytest.approx(size, abs=1e-2)
    page = unescape(yard.get(f"plan?focus=zone:{zone_id}").text)
    again = texts(way.outline, "outline", yard.office.firm())
    assert all(value in page for value in again.values())
    answer = yard.post(f"plan/alternative/{way.id}", {**again, "version": str(yard.version("alternative", way.id))})
    assert answer.status_code == 200
    assert yard.job.alternatives[0].outline == way.outline


def test_wrong_length_is_said_beside_the_field_with_the_typed_text_kept(yard: Yard) -> None:
    answer = yard.post(
        "plan/zone/new",
        {
            "title": "Terrace",
            "kind": "dining",
            "outline.shape": "rectangle",
            "outline.width": "12 q",
            "outline.depth": "8",
        },
    )
    assert answer.status_code == 422
    assert 'value="12 q"' in answer.text
    assert "“12 q” is not understood as a length" in text_of(answer.text)
    assert 'value="Terrace"' in answer.text
    assert yard.job.zones == ()


@pytest.mark.parametrize("shape", ["octagon", "<script>"])
def test_unknown_shape_is_refused(yard: Yard, shape: str) -> None:
    answer = yard.post("plan/zone/new", {"title": "T", "kind": "dining", "outline.shape": shape})
    assert answer.status_code == 422


def test_unknown_recipe_is_refused_beside_its_field(yard: Yard) -> None:
    answer = yard.post(
        "plan/zone/new", {"title": "T", "kind": "dining", "assembly": "no-such", "outline.shape": "none"}
    )
    assert answer.status_code == 422
    assert "The library has no recipe" in text_of(answer.text)


def test_zone_put_against_another_shares_an_edge_with_it(yard: Yard) -> None:
    first = yard.zone()
    yard.zone(
        title="Fire court",
        kind="fire",
        against=str(first),
        side="right",
        **{"outline.width": "10", "outline.depth": "8"},
    )
    one, other = (bounds(yard.job.chosen(zone).outline) for zone in yard.job.zones)
    assert other[0] == one[2]
    page = text_of(yard.get(f"plan?focus=zone:{first}").text)
    assert "to B Fire court 8'-0\" choose an edge" in page
    assert "one to decide" in page


def test_zone_against_a_house_that_is_not_typed_is_refused(yard: Yard) -> None:
    answer = yard.post(
        "plan/zone/new",
        {
            "title": "T",
            "kind": "dining",
            "outline.shape": "rectangle",
            "outline.width": "9",
            "outline.depth": "9",
            "against": "house",
            "side": "below",
        },
    )
    assert answer.status_code == 422
    assert "has no outline yet" in answer.text


def two_zones(yard: Yard):
    first = yard.zone(assembly="unit-pavers")
    second = yard.zone(title="Fire court", kind="fire", against=str(first), side="right", assembly="gravel-surface")
    return first, second


def test_edge_is_decided_priced_and_taken_back(yard: Yard) -> None:
    first, second = two_zones(yard)
    before = yard.price
    answer = yard.post(f"plan/zone/{first}/edge", {"neighbor": str(second), "decision": "flush-edge"})
    assert answer.status_code == 200
    edge = yard.job.edges[0]
    assert edge.choice is EdgeChoice.BUILT
    assert [w.assembly for w in yard.works if w.place is PlaceKind.EDGE] == ["flush-edge"]
    assert yard.price > before
    assert "all decided" in text_of(yard.get(f"plan?focus=zone:{second}").text)  # the neighbor sees the same edge
    yard.post(f"plan/zone/{second}/edge", {"neighbor": str(first), "decision": "nothing"})
    assert len(yard.job.edges) == 1
    assert [w for w in yard.works if w.place is PlaceKind.EDGE] == []
    assert yard.price == before
    yard.post("undo", {"sheet": "plan"})
    assert yard.job.edges[0].choice is EdgeChoice.BUILT
    assert [w.assembly for w in yard.works if w.place is PlaceKind.EDGE] == ["flush-edge"]


@pytest.mark.parametrize("decision", ["no-such", "unit-pavers", ""])
def test_edge_with_a_recipe_that_is_none_is_refused(yard: Yard, decision: str) -> None:
    first, second = two_zones(yard)
    answer = yard.post(f"plan/zone/{first}/edge", {"neighbor": str(second), "decision": decision})
    assert answer.status_code == 422
    assert yard.job.edges == ()


def test_edge_to_a_neighbor_that_is_none_is_refused(yard: Yard) -> None:
    zone = yard.zone()
    assert yard.post(f"plan/zone/{zone}/edge", {"neighbor": str(uuid4()), "decision": "nothing"}).status_code == 422
    assert yard.post(f"plan/zone/{uuid4()}/edge", {"neighbor": "house", "decision": "nothing"}).status_code == 404


def test_edge_page_takes_drop_and_gap(yard: Yard) -> None:
    first, second = two_zones(yard)
    yard.post(f"plan/zone/{first}/edge", {"neighbor": str(second), "decision": "steps-at-edge"})
    edge = yard.job.edges[0]
    page = yard.get(f"plan?focus=edge:{first}:{second}")
    assert "Drop, if not as the levels say" in page.text
    answer = yard.post(f"plan/edge/{edge.id}", {"drop": "14 in", "version": "1", "focus": f"edge:{first}:{second}"})
    assert answer.status_code == 200
    assert yard.job.edges[0].drop == pytest.approx(14 / 12)
    assert 'value="1&#39;-2&#34;"' in answer.text


def test_depth_is_set_in_inches_and_moves_the_price(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    work, before = yard.works[0], yard.price
    answer = yard.post(
        f"plan/work/{work.id}/parameter", {"name": "base", "formula": "10", "version": "1000000", "work": str(work.id)}
    )
    assert answer.status_code == 200
    assert yard.works[0].parameters == {"base": "10*inch"}
    assert yard.price > before
    yard.post(
        f"plan/work/{work.id}/parameter", {"name": "base", "formula": "", "version": "1000000", "work": str(work.id)}
    )
    assert yard.works[0].parameters == {}
    assert yard.price == before


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("2 in", 'this recipe takes at least 4"'),
        ("30 in", "this recipe takes at most 1'-6\""),
        ("__import__('os')", "Base, compacted:"),
        ("area", "Base, compacted:"),
        ("1/0", "Base, compacted:"),
        ("-3", 'Base, compacted: “-3” is -3"; this recipe takes at least 4"'),
        ("hour", "Base, compacted: hour gives"),
    ],
)
def test_depth_that_cannot_be_is_said_beside_its_field(yard: Yard, typed: str, said: str) -> None:
    zone = yard.zone(assembly="unit-pavers")
    work = yard.works[0]
    answer = yard.post(
        f"plan/work/{work.id}/parameter",
        {"name": "base", "formula": typed, "version": "1000000", "work": str(work.id), "focus": f"zone:{zone}"},
    )
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert "compacted: Base" not in text_of(answer.text)
    assert yard.works[0].parameters == {}


def test_a_number_may_be_typed_as_the_page_writes_it(yard: Yard) -> None:
    yard.post("plan/run/new", {"title": "Gas", "kind": "gas", "length": "30", "ends": "2", "measured": "taped"})
    run = yard.job.runs[0]
    yard.post("plan/work/new", {"place": "run", "place_id": str(run.id), "assembly": "gas-run"})
    work = yard.works[0]
    for typed, kept in (("150,000", "150000"), ("150,00", None), ("95000.5", "95000.5"), ("1,000,000.0", "1000000.0")):
        fields = {"name": "heat", "formula": typed, "version": "1000000", "work": str(work.id)}
        answer = yard.post(f"plan/work/{work.id}/parameter", fields)
        assert (answer.status_code, yard.works[0].parameters.get("heat")) == ((200, kept) if kept else (422, "150000"))


def test_the_note_of_a_gas_line_tells_what_it_carries_and_what_the_plan_says_beside_what_was_typed(yard: Yard) -> None:
    line = {"title": "Gas", "kind": "gas", "points": "0, 0\n20, 0", "ends": "2", "measured": "taped"}
    assert yard.post("plan/run/new", line).status_code == 200
    place = {"title": "Grill", "x": "20", "y": "0", "count": "1", "measured": "taped"}
    assert yard.post("plan/feature/new", place).status_code == 200
    run, grill = yard.job.runs[0], yard.job.features[0]
    yard.post("plan/work/new", {"place": "run", "place_id": str(run.id), "assembly": "gas-run"})
    yard.post("plan/work/new", {"place": "feature", "place_id": str(grill.id), "assembly": "grill"})
    gas, burner = sorted(yard.works, key=lambda one: one.assembly)

    def note(work, typed: str) -> str:
        fields = {"name": "heat", "formula": typed, "version": "1000000", "work": str(work.id)}
        assert yard.post(f"plan/work/{work.id}/parameter", fields).status_code == 200
        return text_of(yard.get(f"plan?focus=run:{run.id}").text)

    said = note(burner, "60,000")
    assert "Carries : 60,000 Btu/h, natural gas: Grill 60,000" in said
    assert "At its place: 60,000 (Grill 60,000 Btu/h from the plan)" in said
    said = note(gas, "80,000")
    assert "Carries : 80,000 Btu/h, natural gas: set in the office; by the plan Grill 60,000" in said
    assert "At its place: 60,000 (Grill 60,000 Btu/h from the plan)" in said


def test_finish_is_chosen_for_a_work(yard: Yard) -> None:
    zone = yard.zone(assembly="unit-pavers")
    work = yard.works[0]
    other = next(
        m.key for m in yard.office.basis().materials.values() if m.role == "finish" and m.key != "paver-cobble-harvest"
    )
    answer = yard.post(
        f"plan/work/{work.id}/finish",
        {"role": "finish", "version": "1000000", "material": other, "focus": f"zone:{zone}"},
    )
    assert answer.status_code == 200
    assert yard.works[0].finishes == {"finish": other}
    refused = yard.post(
        f"plan/work/{work.id}/finish",
        {"role": "finish", "version": "1000000", "material": "topsoil", "focus": f"zone:{zone}"},
    )
    assert refused.status_code == 422


def test_another_way_is_compared_chosen_and_dropped(yard: Yard) -> None:
    zone = yard.zone(assembly="unit-pavers")
    before = yard.price
    yard.post(f"plan/zone/{zone}/another-way", {"way": "In gravel"})
    first, second = yard.job.alternatives
    assert yard.price == before
    yard.post(f"plan/zone/{zone}", {"chosen_id": str(second.id), "version": str(yard.version("zone", zone))})
    work = next(w for w in yard.works if w.place_id == second.id)
    yard.post(f"plan/work/{work.id}/remove", {"version": "1", "focus": f"zone:{zone}"})
    yard.post(
        "plan/work/new",
        {"place": "alternative", "place_id": str(second.id), "assembly": "gravel-surface", "focus": f"zone:{zone}"},
    )
    now = yard.price
    assert now < before
    page = text_of(yard.get(f"plan?focus=zone:{zone}").text)
    assert f"+${round((before - now) / 100):,}" in page
    yard.post(f"plan/alternative/{first.id}/remove", {"version": "1", "focus": f"zone:{zone}"})
    assert [one.title for one in yard.job.alternatives] == ["In gravel"]


def test_zone_taken_out_comes_back_whole_by_undo(yard: Yard) -> None:
    begun = yard.works
    zone = yard.zone(assembly="unit-pavers")
    before = yard.job
    yard.post(f"plan/zone/{zone}/remove", {"version": "1"})
    assert (yard.job.zones, yard.job.alternatives, yard.works) == ((), (), begun)
    yard.post("undo", {"sheet": "plan"})
    assert yard.job == before


def test_line_and_thing_are_added_built_listed_and_taken_out(yard: Yard) -> None:
    zone = yard.zone()
    answer = yard.post(
        "plan/run/new",
        {
            "title": "Seat wall",
            "kind": "wall",
            "length": "18",
            "height": "18 in",
            "zone_id": str(zone),
            "corners": "1",
            "ends": "2",
        },
    )
    assert answer.status_code == 200
    run = yard.job.runs[0]
    yard.post("plan/work/new", {"place": "run", "place_id": str(run.id), "assembly": "seat-wall"})
    yard.post("plan/feature/new", {"title": "Grill", "count": "1", "zone_id": str(zone), "x": "4", "y": "3"})
    feature = yard.job.features[0]
    yard.post("plan/work/new", {"place": "feature", "place_id": str(feature.id), "assembly": "grill"})
    page = text_of(yard.get("plan").text)
    assert "Seat wall 18'-0\"" in page
    assert "Grill 1" in page
    assert yard.get(f"plan?focus=run:{run.id}").status_code == 200
    assert yard.get(f"plan?focus=feature:{feature.id}").status_code == 200
    yard.post(f"plan/run/{run.id}/remove", {"version": "1"})
    assert yard.job.runs == ()
    assert [w.place for w in yard.works if w.place is not PlaceKind.JOB] == [PlaceKind.FEATURE]


@pytest.mark.parametrize(
    "fields",
    [
        {"title": "", "kind": "wall"},
        {"title": "W", "kind": "moat"},
        {"title": "W", "kind": "wall", "length": "-3"},
        {"title": "W", "kind": "wall", "points": "5"},
        {"title": "W", "kind": "wall", "under.zone": "x"},
    ],
)
def test_line_that_cannot_be_is_refused_with_its_form_open(yard: Yard, fields: dict) -> None:
    answer = yard.post("plan/run/new", fields)
    assert answer.status_code == 422
    assert "A new line" in answer.text
    assert 'class="wrong"' in answer.text


@pytest.mark.parametrize("focus", ["zone:none", "edge:x:y", "run:", "feature:1", "<script>", "edge:", "x" * 500])
def test_any_focus_shows_the_plan(yard: Yard, focus: str) -> None:
    yard.zone()
    page = yard.get(f"plan?focus={focus}")
    assert page.status_code == 200
    assert "<script>" not in page.text


def test_stale_save_shows_both_values_and_mine_can_be_sent_again(yard: Yard) -> None:
    zone = yard.zone()
    yard.post(f"plan/zone/{zone}", {"title": "Supper court", "version": "1"})
    answer = yard.post(f"plan/zone/{zone}", {"title": "Breakfast nook", "version": "1", "focus": f"zone:{zone}"})
    assert answer.status_code == 409
    words = text_of(answer.text)
    assert "theirs Supper court" in words
    assert "yours Breakfast nook" in words
    assert 'value="Breakfast nook"' in answer.text
    assert "Use mine" in words
    sent = yard.post(f"plan/zone/{zone}", {"title": "Breakfast nook", "version": str(yard.version("zone", zone))})
    assert sent.status_code == 200
    assert yard.job.zones[0].title == "Breakfast nook"


def test_figures_of_a_zone_lead_to_where_they_come_from(yard: Yard) -> None:
    yard.post("plan/zone/new", {**TERRACE, "assembly": "unit-pavers"})
    page = yard.get(f"plan?focus=zone:{yard.job.zones[0].id}").text
    doors = set(re.findall(r'class="door" href="([^"]+)"', page))
    kinds = {door.split("/why/")[1].split(":")[0] for door in doors}
    assert {"measure", "zone", "hours"} <= kinds
    assert {yard.browser.get(door).status_code for door in doors} == {200}


def test_line_is_typed_with_an_arc_and_typed_again_unchanged(yard: Yard) -> None:
    fields = {"title": "Edging", "kind": "edging", "points": "0,0 / 8,0 / arc 8,8 right 4"}
    assert yard.post("plan/run/new", fields).status_code == 200
    run = yard.job.runs[0]
    assert (run.points, run.rises) == (((0, 0), (8, 0), (8, 8)), (0, 4))
    page = unescape(yard.get(f"plan?focus=run:{run.id}").text)
    shown = re.search(r'name="points"[^>]* value="([^"]*(?:"[^"]*)*?)" autocomplete', page)[1]  # type: ignore[index]
    yard.post(f"plan/run/{run.id}", {"points": shown, "version": "1"})
    assert (yard.job.runs[0].points, yard.job.runs[0].rises) == (run.points, run.rises)
    yard.post(f"plan/run/{run.id}", {"points": "0,0 / 9,0", "version": str(yard.version("run", run.id))})
    assert (yard.job.runs[0].points, yard.job.runs[0].rises) == (((0, 0), (9, 0)), ())


def test_arc_of_a_line_that_is_none_is_said_beside_its_field(yard: Yard) -> None:
    answer = yard.post("plan/run/new", {"title": "E", "kind": "edging", "points": "0,0 / arc 8,0 through 4,0"})
    assert answer.status_code == 422
    assert "lie on a line" in text_of(answer.text)


def test_no_corners_typed_are_none_and_an_empty_field_is_what_is_drawn(yard: Yard) -> None:
    fields = {"title": "Wall", "kind": "wall", "points": "0,0 / 12,0 / 12,8", "measured": "sketch"}
    yard.post("plan/run/new", {**fields, "corners": ""})
    assert (yard.job.runs[0].corners_typed, run_corners(yard.job.runs[0])) == (False, 1)
    run = yard.job.runs[0].id
    for typed, corners in (("0", 0), ("3", 3), ("", 1)):
        version = str(yard.version("run", run))
        assert yard.post(f"plan/run/{run}", {**fields, "corners": typed, "version": version}).status_code == 200
        assert run_corners(yard.job.runs[0]) == corners
        page = yard.get(f"plan?focus=run:{run}").text
        assert re.search(rf'name="corners"[^>]* value="{typed}"', page)
    version = str(yard.version("run", run))
    refused = yard.post(f"plan/run/{run}", {**fields, "corners": "many", "version": version})
    assert refused.status_code == 422
    assert 'value="many"' in refused.text


def test_zone_says_how_far_a_sketch_may_be_off_and_that_tape_narrows_the_band(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    zone, way = yard.job.zones[0], yard.job.alternatives[0]

    def measured(how: str) -> tuple[int, str]:
        version = yard.version("alternative", way.id)
        jobs.save(yard.office, yard.id, (changed("alternative", way.id, version, {"measured": how}),), order())
        band = sheet(yard.office, yard.id).estimate.range
        return band.high - band.low, text_of(yard.get(f"plan?focus=zone:{zone.id}").text)

    (wide, sketch), (narrow, taped) = measured("sketch"), measured("taped")
    assert "A sketch: its amounts may be off by 12%. By tape it is 2%, and the band of the price is narrower." in sketch
    assert "By tape: its amounts are within 2%." in taped
    assert narrow < wide


def test_a_new_thing_is_asked_first_what_it_is_and_comes_built_and_named_as_that(yard: Yard) -> None:
    page = yard.get("plan?focus=feature:new").text
    assert page.index('name="assembly"') < page.index('name="title"') < page.index('name="thickness"')
    recipe = next(one for one in SHIPPED.assemblies.values() if one.measures == "feature")
    answer = yard.post("plan/feature/new", {"assembly": recipe.key, "title": "", "count": "1"})
    assert answer.status_code == 200
    (thing,) = yard.job.features
    assert thing.title == recipe.title
    assert [(work.place_id, work.assembly) for work in yard.works] == [(thing.id, recipe.key)]
    yard.post("undo", {"sheet": "plan"})
    assert (yard.job.features, yard.works) == ((), ())
    bad = yard.post("plan/feature/new", {"assembly": "no-such", "title": "Bench", "count": "1"})
    assert bad.status_code == 422
    assert "There is no such recipe" in bad.text
    assert 'value="Bench"' in bad.text
    assert yard.job.features == ()
