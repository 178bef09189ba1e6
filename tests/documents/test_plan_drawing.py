"""The plan is drawn to scale, says what is open, covers no word with another, and fits the strict page policy."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
from plans import BASIS, polygon, uid, yard

from app.documents.plan_drawing import describe, plan_svg, plan_thumbnail
from app.documents.plan_features import feature_symbol, size_of
from app.documents.plan_parts import (
    extent,
    middle,
    near_extent,
    open_edges,
    outline_of,
    places_within,
    sheet_of,
    zone_box,
)
from app.documents.sheet_view import View
from app.domain.basis import Firm
from app.domain.job import Choice, Edge, EdgeChoice, Feature, Run, RunKind, Zone
from app.domain.palette.surfaces import surface_of
from app.domain.plan import bounds, moved, svg_path
from app.domain.plan.outline import Outline

SVG = "{http://www.w3.org/2000/svg}"


def _texts(svg):
    return [text.text for text in ET.fromstring(svg).iter(f"{SVG}text")]


def _boxes(svg):
    """The paper behind each label: left, top, right, bottom."""
    for rect in ET.fromstring(svg).iter(f"{SVG}rect"):
        if rect.get("fill-opacity") == ".9":
            x, y, w, h = (float(rect.get(n)) for n in ("x", "y", "width", "height"))
            yield x, y, x + w, y + h


def test_plan_is_to_scale_in_both_directions():
    view = sheet_of(yard(), BASIS, 790).view
    (left, top), (right, bottom) = view.at((12, 40)), view.at((40, 23))
    assert (right - left) / 28 == pytest.approx((bottom - top) / 17)


def test_graphic_scale_is_as_long_as_it_says():
    svg, view = plan_svg(yard(), BASIS), sheet_of(yard(), BASIS, 790).view
    said = next(float(t.removesuffix(" ft")) for t in _texts(svg) if re.fullmatch(r"[\d.]+ ft", t or ""))
    drawn = max(float(r.get("width")) for r in ET.fromstring(svg).iter(f"{SVG}rect") if r.get("height") == "7")
    assert drawn / view.scale == pytest.approx(said, abs=0.01)


def test_overall_dimensions_are_those_of_all_zones():
    texts = _texts(plan_svg(yard(), BASIS))
    assert "56'-0\"" in texts  # 2 to 58
    assert "38'-0\"" in texts  # 2 to 40


def test_dimensions_follow_the_firms_system():
    metric = replace(BASIS, firm=Firm(system="metric"))
    texts = _texts(plan_svg(yard(), metric))
    assert any(t.startswith("17.069") for t in texts)  # 56 ft × 0.3048
    assert not any("'-" in t for t in texts)


def test_north_needle_turns_as_the_site_says():
    assert "rotate(24)" in plan_svg(yard(), BASIS)


@pytest.mark.parametrize("width", [340, 790, 1200])
def test_no_label_covers_another(width):
    boxes = list(_boxes(plan_svg(yard(), BASIS, width_px=width)))
    assert boxes
    for place, (a, b, c, d) in enumerate(boxes):
        for left, top, right, bottom in boxes[place + 1 :]:
            assert right <= a + 0.2 or left >= c - 0.2 or bottom <= b + 0.2 or top >= d - 0.2


def test_arc_stays_an_arc():
    assert re.search(r"A[\d.]+ [\d.]+ 0 [01] [01] ", plan_svg(yard(), BASIS))


@pytest.mark.parametrize("through", ["8 5", "3 5"])  # bulging out, and bitten in
def test_arc_bends_to_the_side_it_bends_to_on_the_ground(through):
    outline = Outline(
        f"CURVEPOLYGON (COMPOUNDCURVE ((0 0, 5 0), CIRCULARSTRING (5 0, {through}, 5 10), (5 10, 0 10, 0 0)))"
    )
    view = View(scale=1.0, west=0.0, north=0.0, width=100.0, height=100.0)
    flags = re.compile(r"A\S+ \S+ 0 (\d) (\d) ")
    assert flags.findall(view.path(outline)) == flags.findall(svg_path(outline, flip=True))
    assert flags.findall(view.path(outline))[0][1] == ("0" if through == "8 5" else "1")


def test_bubble_stands_inside_an_outline_whose_center_lies_outside():
    hook = polygon((0, 0), (20, 0), (20, 2), (2, 2), (2, 20), (0, 20))
    x, y = middle(hook)
    assert 0 < x < 20
    assert 0 < y < 20
    assert x < 2 or y < 2


def test_bubble_gives_way_to_what_stands_in_the_middle():
    svg = plan_svg(yard(), BASIS)
    fire = sheet_of(yard(), BASIS, 790).view.at((29.5, 14.5))
    rings = [c for c in ET.fromstring(svg).iter(f"{SVG}circle") if c.get("class") == "bubble-ring"]
    apart = [((float(c.get("cx")) - fire[0]) ** 2 + (float(c.get("cy")) - fire[1]) ** 2) ** 0.5 for c in rings]
    assert min(apart) > 30


def test_places_within_keep_their_room():
    for (x, y), room in places_within(polygon((0, 0), (30, 0), (30, 10), (0, 10))):
        assert min(x, y, 30 - x, 10 - y) >= room - 0.3


def test_open_edges_are_those_nobody_decided():
    found = {frozenset((str(e.zone_id), e.neighbor)) for e in open_edges(yard())}
    assert frozenset((str(uid(1001)), str(uid(1004)))) in found
    assert frozenset((str(uid(1001)), str(uid(1003)))) not in found  # decided, told from the other side


def test_deciding_every_edge_takes_the_question_marks_away():
    decided = [
        Edge(id=uid(8000 + n), zone_id=e.zone_id, neighbor=e.neighbor, choice=EdgeChoice.NOTHING)
        for n, e in enumerate(open_edges(yard()))
    ]
    job = yard(edges=(*yard().edges, *decided))
    assert "?" in _texts(plan_svg(yard(), BASIS))
    assert "?" not in _texts(plan_svg(job, BASIS))


@pytest.mark.parametrize("face", ["client", "cover"])
def test_client_is_asked_about_no_edge(face: str):
    assert list(open_edges(yard()))
    assert "?" not in _texts(plan_svg(yard(), BASIS, face=face))


def test_plan_cropped_to_a_zone_is_larger_and_holds_all_of_it():
    whole, zone = sheet_of(yard(), BASIS, 600), yard().zones[0]
    box = zone_box(yard(), zone.id)
    near = sheet_of(yard(), BASIS, 600, crop=box)
    assert near.view.scale > 1.2 * whole.view.scale
    west, south, east, north = bounds(outline_of(yard(), zone))
    points = [near.view.at(point) for point in ((west, south), (east, north))]
    assert all(0 < x < near.view.width and 0 < y < near.view.height for x, y in points)
    assert zone_box(yard(), uid(1)) is None  # no such zone is drawn


def test_a_crews_drawing_shows_its_zone_and_all_that_belongs_to_it():
    job = yard()
    zone = job.zones[0]
    west, south, east, north = zone_box(job, zone.id)
    line = Run(id=uid(901), zone_id=zone.id, kind=RunKind.GAS, points=((east + 30, north), (east + 30, north + 20)))
    pump = Feature(id=uid(902), zone_id=zone.id, title="Pump", x=west - 25, y=south)
    other = Run(id=uid(903), zone_id=uid(1), kind=RunKind.DRAIN, points=((0, south - 90), (9, south - 90)))
    job = replace(job, runs=(line, other), features=(pump,))
    shown = zone_box(job, zone.id, whole=True)
    assert (shown[0] < west - 25, shown[2] > east + 30, shown[3] > north + 20) == (True, True, True)
    assert shown[1] > south - 90  # what is not its own pulls nothing in
    assert zone_box(job, zone.id) == (west, south, east, north)  # the proposal's keeps to the zone
    crews, whole = (
        plan_svg(job, BASIS, width_px=560, highlight=zone.id, face=face, height_px=560) for face in ("crew", "print")
    )
    assert "gas" in _texts(crews)
    assert _scale(crews) > _scale(whole)


def _scale(svg):
    """px of the graphic scale per foot it says."""
    far = next(float(word.removesuffix(" ft")) for word in _texts(svg) if re.fullmatch(r"[\d.]+ ft", word or ""))
    foot = next(g for g in ET.fromstring(svg).iter(f"{SVG}g") if g.get("data-foot"))
    bars = [float(r.get("width")) for r in foot.iter(f"{SVG}rect") if float(r.get("width")) < 300]
    return sum(bars) / far


def test_edge_set_back_to_open_is_drawn_open_again():
    job = yard(edges=(replace(yard().edges[0], choice=EdgeChoice.OPEN),))
    assert len(list(open_edges(job))) == len(list(open_edges(yard()))) + 1


def test_utility_lines_carry_their_word_beside_their_color():
    texts = _texts(plan_svg(yard(), BASIS))
    assert {"electric", "gas", "water", "drain"} <= set(texts)


def test_irrigation_line_is_told_from_drinking_water():
    job = yard(runs=(Run(id=uid(1), kind=RunKind.PIPE, title="Sprinkler main", points=((5, 5), (50, 12))),))
    assert "irrigation" in _texts(plan_svg(job, BASIS))


def test_what_goes_says_so():
    assert "Old slab, goes" in _texts(plan_svg(yard(), BASIS))


def test_zone_without_outline_is_named_as_not_drawn():
    assert "Not drawn yet: F" in _texts(plan_svg(yard(), BASIS))
    assert "Not drawn yet: F Lawn" in describe(yard())


def test_nothing_drawn_says_what_to_do_first():
    bare = yard(
        zones=(), alternatives=(), runs=(), features=(), existing=(), site=replace(yard().site, lot=None, house=None)
    )
    assert "Nothing is drawn yet" in plan_svg(bare, BASIS)
    assert "Nothing is drawn yet" not in plan_svg(bare, BASIS, face="client")


def test_moving_the_whole_plan_changes_only_where_numbers_come_from():
    one = yard(runs=(), features=(), existing=(), site=replace(yard().site, openings=()))
    far = replace(
        one,
        site=replace(one.site, lot=moved(one.site.lot, 512, -256), house=moved(one.site.house, 512, -256)),
        alternatives=tuple(
            replace(a, outline=moved(a.outline, 512, -256)) if a.outline else a for a in one.alternatives
        ),
    )
    grid = re.compile(r'<path d="M[^"]*" stroke="#e3dcc8"[^>]*>')
    assert grid.sub("", plan_svg(far, BASIS)) == grid.sub("", plan_svg(one, BASIS))


def test_links_are_on_our_face_only():
    for face, wanted in (("ours", True), ("client", False), ("print", False)):
        assert ("<a " in plan_svg(yard(), BASIS, face=face, zone_link="/p?zone=")) is wanted


def test_links_lead_to_a_part_of_the_page_where_one_is_named():
    linked = re.findall(r'<a href="([^"]+)"', plan_svg(yard(), BASIS, zone_link="/p?focus=zone:#margin"))
    assert {key for key in (str(zone.id) for zone in yard().zones) if f"/p?focus=zone:{key}#margin" in linked}
    assert all(one.startswith("/p?focus=") and one.endswith("#margin") for one in linked)


def test_names_are_escaped_and_nothing_is_inline():
    job = yard(
        zones=(replace(yard().zones[0], title='<script>alert("x")</script>', letter="<"), *yard().zones[1:]),
        features=(Feature(id=uid(9), title="<b onload=x>", x=20.0, y=30.0),),
        runs=(Run(id=uid(9), title="<i style=x>", points=((0, 0), (40, 3))),),
    )
    svg = plan_svg(job, BASIS, zone_link='/p?"zone=#"<b>')
    ET.fromstring(svg)
    assert not re.search(r"<script|<b |<i |\sstyle=|\son\w+=", svg)


def test_pattern_ids_are_unique_within_a_page_of_plan_and_thumbnail():
    page = plan_svg(yard(), BASIS) + plan_thumbnail(yard(), BASIS)
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", page)) <= set(ids)


def test_thumbnail_has_no_words():
    assert not _texts(plan_thumbnail(yard(), BASIS))


def test_surface_is_the_finish_chosen_for_the_zone_over_that_of_the_job():
    path = yard().zones[4]
    job = yard(works=tuple(replace(w, finishes={}) for w in yard().works))
    whole = Choice(id=uid(11), role="finish", material="stone-gray")
    own = Choice(id=uid(12), role="finish", material="paver-russet", zone_id=path.id)
    assert surface_of(job, BASIS, path).title == "Flagstone, tan"
    assert surface_of(replace(job, choices=(whole,)), BASIS, path).title == "Flagstone, gray"
    assert surface_of(replace(job, choices=(whole, own)), BASIS, path).title == "Clay paver, russet"


def test_surface_of_an_unknown_recipe_falls_back_to_the_purpose():
    zone = Zone(id=uid(1004), kind=yard().zones[3].kind)
    assert surface_of(yard(), BASIS, zone).hatch == "planting"


def test_large_lot_does_not_shrink_the_plan():
    small = sheet_of(yard(), BASIS, 790).view.scale
    estate = replace(yard().site, lot=Outline("POLYGON ((-300 -300, 900 -300, 900 900, -300 900, -300 -300))"))
    assert sheet_of(yard(site=estate), BASIS, 790).view.scale >= small


def test_no_lettering_is_smaller_than_a_label():
    for text in ET.fromstring(plan_svg(yard(), BASIS)).iter(f"{SVG}text"):
        size = text.get("font-size")
        assert size is None or float(size) >= 11  # a bubble's letter in the narrowest zone; all else 14 and more


@pytest.mark.parametrize("height", [300, 500, 668])
def test_plan_is_no_higher_than_asked_and_still_shows_everything(height):
    svg = plan_svg(yard(), BASIS, height_px=height)
    root = ET.fromstring(svg)
    assert float(root.get("height")) <= height
    view = sheet_of(yard(), BASIS, 790, tallest=height - 62).view
    for corner in ((0, 0), (60, 0), (60, 54), (0, 54)):
        x, y = view.at(corner)
        assert 0 <= x <= view.width
        assert 0 <= y <= view.height


def test_drawing_with_links_is_a_group_and_without_a_picture():
    assert 'role="group"' in plan_svg(yard(), BASIS, zone_link="/p?zone=")
    assert 'role="img"' in plan_svg(yard(), BASIS)


def test_clients_face_and_cover_name_every_drawn_zone_and_no_line_in_the_ground():
    drawn = [zone for zone in yard().zones if sheet_of(yard(), BASIS, 760).outline(zone)]
    for face in ("client", "cover"):
        texts = _texts(plan_svg(yard(), BASIS, width_px=760, height_px=600, face=face))
        said = " ".join(t for t in texts if t)
        assert not {"electric", "gas", "water", "drain"} & set(texts)
        for zone in drawn:
            assert zone.letter in texts
            assert all(word in said for word in zone.title.split()), zone.title


def test_cover_is_cropped_to_the_zones_and_the_near_strip_of_the_house():
    house = polygon((0, 40), (60, 40), (60, 100), (0, 100))
    job = yard(site=replace(yard().site, house=house, lot=None))
    near, whole = near_extent(job), extent(job)
    assert whole[3] == 100
    assert near[3] == pytest.approx(40 + 9)  # the northern zones end at 40 ft


def test_table_is_drawn_to_its_length_with_chairs():
    table = Feature(id=uid(9), title="Dining table", x=20, y=30, length=8)
    view = sheet_of(yard(features=(table,)), BASIS, 790).view
    svg = plan_svg(yard(features=(table,)), BASIS)
    boxes = [r for r in ET.fromstring(svg).iter(f"{SVG}rect") if r.get("rx") == "1.5"]
    assert float(boxes[0].get("width")) == pytest.approx(8 * view.scale, abs=0.2)
    assert len([r for r in ET.fromstring(svg).iter(f"{SVG}rect") if r.get("rx") == "2"]) == 8


@pytest.mark.parametrize(
    ("feature", "words", "size"),
    [
        (Feature(id=uid(1), length=6, thickness=2.5), "counter", (6, 2.5)),
        (Feature(id=uid(1), length=6, area=18), "", (6, 3)),
        (Feature(id=uid(1), area=9), "", (3, 3)),
        (Feature(id=uid(1)), "outlet", (0.5, 0.5)),
    ],
)
def test_feature_is_as_large_as_it_was_typed(feature, words, size):
    assert size_of(feature, words) == pytest.approx(size)


def test_grill_stands_along_the_nearest_side_of_its_zone():
    zone = yard().zones[0]
    job = yard(features=(Feature(id=uid(9), title="Grill", zone_id=zone.id, x=12.5, y=31, length=3, thickness=2),))
    sheet = sheet_of(job, BASIS, 790)
    symbol = feature_symbol(sheet, job.features[0], (100, 100))
    assert symbol.up / symbol.across == pytest.approx(1.5)


def test_line_with_an_arc_is_drawn_as_an_arc_and_shown_whole():
    bowed = Run(id=uid(1), kind=RunKind.FENCE, title="Bowed fence", points=((0, 0), (40, 0)), rises=(20.0,))
    job = yard(runs=(bowed,), site=replace(yard().site, lot=None))
    view = sheet_of(job, BASIS, 790).view
    assert f"A{20 * view.scale:.2f} {20 * view.scale:.2f} 0" in plan_svg(job, BASIS)
    assert extent(job)[1] == pytest.approx(-20, abs=0.1)


def test_on_a_phone_what_has_no_room_for_its_name_shows_its_number_in_the_list():
    job, link = yard(), "/jobs/x/plan?focus=zone:"
    crowd = tuple(Feature(id=uid(900 + n), title=f"Post with a long name {n}", x=2.0 + n, y=20.0) for n in range(6))
    job = replace(job, features=crowd)
    words = re.findall(r">([^<>]+)</text>", plan_svg(job, BASIS, width_px=350, zone_link=link))
    named = [n for n in range(6) if f"Post with a long name {n}" in words]
    assert len(named) < 6
    assert any(str(n + 1) in words for n in range(6) if n not in named)
    alone = re.findall(r">([^<>]+)</text>", plan_svg(job, BASIS, width_px=350))  # a drawing without a list beside it
    assert not {str(n + 1) for n in range(6)} & set(alone)


def test_bubbles_and_question_marks_are_smaller_on_a_phone_and_cover_nothing_more():
    rings = [
        max(float(r) for r in re.findall(r'class="bubble-ring"[^>]* r="([\d.]+)"', plan_svg(yard(), BASIS, width_px=w)))
        for w in (350, 790)
    ]
    assert rings[0] <= 13 < rings[1]
