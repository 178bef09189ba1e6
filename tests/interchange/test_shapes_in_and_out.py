"""Shapes out of and into drawing files: by hand, against shapely's ellipse, out and in again, and hostile ones refused.

Path data by the examples of W3C, Scalable Vector Graphics (SVG) 1.1, 8.3 (values worked out by hand).
"""

from contextlib import suppress
from dataclasses import replace
from itertools import pairwise
from math import pi

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Line
from app.domain.plan.curving import WITHIN, arcs_along
from app.domain.plan.measures import area, bounds, perimeter
from app.domain.plan.outline import Outline, chords, segments
from app.domain.plan.pieces import away
from app.domain.plan.wkt import read_line
from app.interchange.drawn_shapes_in import LARGEST, shapes_in
from app.interchange.plan_out import plan_as_svg, plan_as_wkt, shapes_of
from tests.plans.outlines import outlines
from tests.plans.yards import empty, with_existing, with_run, with_zone


def svg(inner: str, head: str = 'viewBox="0 0 100 100"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{inner}</svg>'.encode()


def only(content: bytes, **sizes) -> Outline:
    (shape,) = shapes_in(content, **sizes).shapes
    assert shape.closed
    return Outline(shape.wkt)


def path(data: str, **sizes) -> Outline:
    return only(svg(f'<path d="{data}"/>'), **(sizes or {"unit": 1.0}))


@pytest.mark.parametrize(
    ("data", "size"),
    [
        ("M0 0H20V12H0Z", 240),
        ("m0,0 20,0 0,12 -20,0z", 240),
        ("M 0 0 L 20 0 20 12 0 12 z", 240),
        ("M0 0h20v12h-20v-12", 240),
        ("M10-5a5 5 0 1 0 .001 0z", 25 * pi),
        ("M0 0H20a6 6 0 010 12H0z", 240 + 18 * pi),  # flags without a space between
        ("M20 0A6 6 0 0 1 20 12L0 12L0 0Z", 240 + 18 * pi),
        ("M20 0A6 6 0 0 0 20 12L0 12L0 0Z", 240 - 18 * pi),
    ],
)
def test_path_encloses_what_it_says(data, size):
    assert area(path(data)) == pytest.approx(size, abs=1e-2)


def test_circular_arc_keeps_its_radius_and_its_side():
    bowed = path("M0 0H20A6 6 0 0 1 20 12H0Z")
    (arc,) = (piece for piece in segments(bowed) if isinstance(piece, Arc))
    assert arc.radius == pytest.approx(6, abs=1e-9)
    assert bounds(bowed) == pytest.approx((0, -12, 26, 0))  # up is up: y runs down in the file


def test_arc_too_small_for_its_ends_is_grown_to_reach_them():
    """SVG 1.1, F.6.6: radii are scaled up until there is exactly one solution."""
    assert area(path("M0 0A1 1 0 0 1 20 0Z")) == pytest.approx(pi * 100 / 2)


@pytest.mark.parametrize(
    ("inner", "size"),
    [
        ('<rect x="2" y="3" width="20" height="12"/>', 240),
        ('<rect width="20" height="12" rx="2"/>', 240 - 4 * (4 - pi)),
        ('<circle cx="9" cy="9" r="9"/>', 81 * pi),
        ('<polygon points="0,0 20,0 20,12 0,12"/>', 240),
        ('<g transform="translate(3 4) rotate(30)"><circle r="9" transform="scale(2)"/></g>', 324 * pi),
        ('<g transform="matrix(0 2 -2 0 5 5)"><rect width="20" height="12"/></g>', 960),
        ('<rect width="20" height="12" transform="skewX(30)"/>', 240),
        ('<path d="M0 0H20V20H0ZM5 5H15V15H5Z"/>', 300),
    ],
)
def test_shapes_under_transforms_have_their_area(inner, size):
    assert area(only(svg(inner), unit=1.0)) == pytest.approx(size, rel=1e-9)


def test_stretched_circle_becomes_arcs_within_a_quarter_inch_and_says_so():
    found = shapes_in(svg('<circle r="5" transform="scale(2 1)"/>'), unit=1.0)
    outline = Outline(found.shapes[0].wkt)
    ellipse = shapely.affinity.scale(shapely.Point(0, 0).buffer(5, quad_segs=400), 2, 1)
    apart = shapely.hausdorff_distance(chords(outline, 1e-4).polygon.boundary, ellipse.boundary)
    assert apart < WITHIN
    assert area(outline) == pytest.approx(pi * 50, rel=2e-3)
    assert "curves without a radius became arcs, within 1/4 in" in found.notes[0]


@settings(max_examples=40)
@given(st.lists(st.tuples(st.floats(-40, 40), st.floats(-40, 40)), min_size=4, max_size=4, unique=True))
def test_any_cubic_curve_is_followed_within_a_quarter_inch(points):
    def curve(t):
        row = points
        while len(row) > 1:
            row = [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for a, b in pairwise(row)]
        return row[0]

    pieces = list(arcs_along(curve))
    if pieces:
        for step in range(101):
            assert min(away(piece, curve(step / 100)) for piece in pieces) < 2 * WITHIN
        assert len(pieces) < 400


@pytest.mark.parametrize(
    ("data", "ends"),
    [("M0 0C0 10 10 10 10 0S20-10 20 0", (20, 0)), ("M0 0Q5 10 10 0T20 0", (20, 0)), ("M1 1L4 5", (4, -5))],
)
def test_open_path_is_a_line_to_where_it_ends(data, ends):
    (shape,) = shapes_in(svg(f'<path d="{data}"/>'), unit=1.0).shapes
    assert not shape.closed
    assert read_line(shape.wkt)[-1].end == pytest.approx(ends)


def test_size_is_read_from_the_file_or_typed():
    box = '<rect width="20" height="12"/>'
    inches = svg(box, 'viewBox="0 0 20 12" width="240in" height="144in"')
    assert area(only(inches)) == pytest.approx(240)
    assert area(only(svg(box), unit=0.5)) == pytest.approx(60)
    assert area(only(svg(box), width=40.0)) == pytest.approx(960)
    millimeters = svg(box, 'viewBox="0 0 20 12" width="6096mm"')
    assert area(only(millimeters)) == pytest.approx(240)
    with pytest.raises(BadValue, match="does not say how large"):
        shapes_in(svg(box, 'width="200" height="120"'))


def test_what_is_not_drawn_is_left_out_and_named():
    found = shapes_in(
        svg(
            '<defs><rect width="9" height="9"/></defs><text>Hi</text><image href="http://x/y"/><rect width="2" height="3"/>'
        ),
        unit=1.0,
    )
    assert len(found.shapes) == 1
    assert "image, text" in found.notes[0]


def test_shape_that_crosses_itself_is_left_out_and_counted():
    found = shapes_in(svg('<path d="M0 0L9 9L9 0L0 9Z"/><rect width="2" height="3"/>'), unit=1.0)
    assert (len(found.shapes), found.notes) == (1, ("1 shapes cross themselves or enclose nothing: left out.",))


BOMB = '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>' + svg("<path d='M0 0&b;'/>").decode()
OUTSIDE = '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>' + svg("<text>&x;</text>").decode()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (BOMB.encode(), "document type"),
        (OUTSIDE.encode(), "document type"),
        (b'<!DOCTYPE svg SYSTEM "http://far.away/x.dtd"><svg/>', "document type"),
        (svg("<g>" * 200 + "</g>" * 200), "too many parts"),
        (b"<svg>" + b"<g/>" * 30_000 + b"</svg>", "too many parts"),
        (b"x" * (LARGEST + 1), "larger than"),
        (b"<svg", "broken in line"),
        (svg('<path d="M0 0 L nan 3"/>'), "cannot be read"),
        (svg('<path d="0 0 L 3 3"/>'), "cannot be read"),
        (svg('<path d="M0 0A5"/>'), "cannot be read"),
        (svg('<rect width="wide" height="3"/>'), "cannot be read"),
        (svg('<path d="M1e308 0L1e308 9"/><rect width="1e308" transform="scale(1e308)" height="2"/>'), "nowhere"),
        (svg(""), "no shape"),
        (b"", "empty"),
        (b"\xff\xfe<\x00s\x00v\x00g\x00", "plain text"),
        (b"hello", "no shape"),
        (b"MULTIPOLYGON (((0 0, 1 0, 0 1, 0 0)))", "Line 1"),
        (b"POLYGON ((0 0, 1 0))", "Line 1"),
    ],
)
def test_hostile_and_broken_files_are_refused_with_a_sentence(content, said):
    with pytest.raises(BadValue, match=said):
        shapes_in(content, unit=1.0)


@settings(max_examples=150)
@given(st.text(max_size=120) | st.text("MLHVCSQTAZz0123456789.-, ", max_size=120))
def test_any_path_text_is_read_or_refused(text):
    with suppress(BadValue):
        shapes_in(svg(f'<path d="{text.translate({34: None, 38: None, 60: None})}"/>'), unit=1.0)


@settings(max_examples=25)
@given(outlines())
def test_plan_goes_out_and_comes_in_again_the_same(outline):
    job = with_run(with_zone(empty(), "A", outline), "Edging", points=((0.0, 0.0), (8.0, 0.0)), rises=(2.0,))
    for content in (plan_as_svg(job), plan_as_wkt(job)):
        found = shapes_in(content).shapes
        assert [shape.closed for shape in found] == [True, True, False]
        again = Outline(found[1].wkt)
        assert area(again) == pytest.approx(area(outline), rel=1e-7)
        assert perimeter(again) == pytest.approx(perimeter(outline), rel=1e-7)
        assert read_line(found[2].wkt)[0].length == pytest.approx(9.2730, abs=1e-3)  # 2 · 5 · asin 4/5


def test_wkt_of_the_plan_is_what_is_kept_with_kind_and_name():
    job = with_existing(
        with_zone(empty(), "A", Outline("POLYGON ((0 0, 9 0, 9 9, 0 0))"), title="=1+1"), "Fence", "fence"
    )
    job = replace(job, existing=(replace(job.existing[0], points=((0.0, 0.0), (9.0, 0.0))),))
    lines = plan_as_wkt(job).decode().splitlines()
    assert lines[0] == "kind,name,wkt"
    assert 'existing,Fence,"LINESTRING (0 0, 9 0)"' in lines
    assert 'zone,A =1+1,"POLYGON ((0 0, 9 0, 9 9, 0 0))"' in lines
    assert len(list(shapes_of(job))) == 3


def test_wkt_with_names_and_another_unit_is_read():
    text = 'Terrace,"POLYGON ((0 0, 6 0, 6 3, 0 3, 0 0))"\nCIRCULARSTRING (0 0, 1 1, 2 0)\n\n# a comment\n'
    found = shapes_in(text.encode(), unit=1 / 0.3048)
    assert [shape.name for shape in found.shapes] == ["Terrace", ""]
    assert area(Outline(found.shapes[0].wkt)) == pytest.approx(18 / 0.3048**2)
    assert read_line(found.shapes[1].wkt)[0].radius == pytest.approx(1 / 0.3048)


def test_straight_curve_is_one_edge():
    assert list(arcs_along(lambda t: (9 * t, 0.0))) == [Line((0.0, 0.0), (9.0, 0.0))]
