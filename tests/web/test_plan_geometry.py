"""The arcs, shapes and lengths of the canvas are those of the server: its modules run in Node beside ours."""

import json
import os
import shutil
import subprocess
from math import pi
from pathlib import Path
from random import Random

import pytest

from app.domain.plan.arcs import Line, arc_through, through_of_rise
from app.domain.plan.lines import parse_line
from app.domain.plan.measures import area, perimeter
from app.domain.plan.outline import Outline, segments
from app.domain.plan.walls import slid
from app.domain.units import format_length

ROOT = Path(__file__).parents[2]
NODE = shutil.which("node", path=f"{ROOT / '.venv' / 'bin'}:{os.environ['PATH']}")
MODULES = "file://" + str(ROOT / "static" / "js" / "plan")


def told(code: str, given: object = None) -> object:
    """What a piece of the canvas's code says of a given value."""
    assert NODE, "Node.js is missing; scripts/build-static brings it"
    names = ("arcs", "shape", "snapping", "view", "lengths", "steps", "openings", "reworking", "ground")
    imports = "".join(f"import * as {name} from '{MODULES}/{name}.js';" for name in names)
    script = f"{imports} const given = JSON.parse(process.argv[1]); console.log(JSON.stringify({code}));"
    words = [NODE, "--input-type=module", "--eval", script, json.dumps(given)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_arcs_are_those_of_the_server() -> None:
    chance = Random(4)
    triples = [[[chance.uniform(-50, 50) for _ in "xy"] for _ in range(3)] for _ in range(60)]
    found = told("given.map((three) => arcs.arcThrough(...three))", triples)
    for (start, through, end), arc in zip(triples, found, strict=True):
        ours = arc_through(tuple(start), tuple(through), tuple(end))
        assert arc["radius"] == pytest.approx(ours.radius, rel=1e-9)
        assert arc["sweep"] == pytest.approx(ours.sweep, rel=1e-9)
        assert arc["center"] == pytest.approx(ours.center, rel=1e-9)


def test_rise_lies_on_the_servers_side() -> None:
    assert told("arcs.throughOfRise([0, 0], [10, 0], 2)") == list(through_of_rise((0, 0), (10, 0), 2))
    assert told("arcs.throughOfRise([0, 0], [10, 0], 0)") is None


def test_shape_goes_to_text_and_is_read_by_the_server_unchanged() -> None:
    wkt = "CURVEPOLYGON (COMPOUNDCURVE ((0 0, 20.12345678901 0, 20 12), CIRCULARSTRING (20 12, 10 22, 0 12), (0 12, 0 0)))"
    ring = "shape.ringOf([[0,0],[20.12345678901,0],[20,12],[0,12]], { through: [null, null, [10,22], null] })"
    assert told(f"shape.wktOf([{ring}])") == wkt
    circle = "shape.ringOf([[10,0],[-10,0]], { through: [[0,10],[0,-10]] })"
    text = told(f"shape.wktOf([{circle}])")
    assert text == "CURVEPOLYGON (CIRCULARSTRING (10 0, 0 10, -10 0, 0 -10, 10 0))"
    assert area(Outline(text)) == pytest.approx(100 * pi)
    square = told("shape.wktOf([shape.ringOf([[0,0],[4,0],[4,4]])])")
    assert square == "POLYGON ((0 0, 4 0, 4 4, 0 0))"


def test_corner_put_into_an_arc_and_taken_out_again_leaves_its_circle() -> None:
    ring = "shape.ringOf([[0,0],[20,0],[20,12],[0,12]], { through: [null, null, [10,22], null] })"
    put = told(f"shape.wktOf([shape.withPointIn({ring}, 2, [17, 19.1])])")
    back = told(f"shape.wktOf([shape.withoutPoint(shape.withPointIn({ring}, 2, [17, 19.1]), 3)])")
    plain = Outline(told(f"shape.wktOf([{ring}])"))
    for text in (put, back):
        assert area(Outline(text)) == pytest.approx(area(plain))
        assert perimeter(Outline(text)) == pytest.approx(perimeter(plain))
    assert [piece.radius for piece in segments(Outline(put))[2:4]] == pytest.approx([10, 10])


def test_moved_corner_keeps_the_share_of_a_circle_and_what_is_far_its_digits() -> None:
    ring = "shape.ringOf([[0.1,0.2],[20,0],[20,12],[0.3,12]], { through: [null, null, [10,22], null] })"
    made = told(f"[arcs.bulgeOf(...shape.edgeAt({ring}, 2)), shape.withPoint({ring}, 3, [2, 14])]")
    bulge, moved = made
    again = told("arcs.bulgeOf(...shape.edgeAt(given, 2))", moved)
    assert again == pytest.approx(bulge)
    assert moved["points"][:3] == [[0.1, 0.2], [20, 0], [20, 12]]


def test_edge_of_a_radius() -> None:
    ring = "shape.ringOf([[0,0],[12,0],[12,8]])"
    arc = told(f"arcs.arcThrough(...shape.edgeAt(shape.withRadius({ring}, 0, 10), 0))")
    assert arc["radius"] == pytest.approx(10)
    assert told(f"shape.withRadius({ring}, 0, 5)") is None  # less than half the chord: there is no such arc


def test_bend_goes_by_the_step_is_half_a_circle_or_straight() -> None:
    rises = told("given.map((rise) => steps.roundRise(rise, 6, 1, 1))", [0.3, 5.8, -6.2, 2.1, 9])
    radii = [(36 + rise * rise) / (2 * abs(rise)) if rise else 0 for rise in rises]
    assert rises[:3] == [0, 6, -6]
    assert radii[3:] == pytest.approx([10, 7])  # 9.6 and 6.5 to the nearest foot
    assert rises[4] > 6


@pytest.mark.parametrize(
    ("at", "given", "point", "kind"),
    [
        ([9.8, 0.1], {}, [10, 0], "corner"),
        ([5.2, 0.2], {}, [5.2, 0], "edge"),
        ([5.3, 4.4], {"step": 1}, [5, 4], "step"),
        ([5.3, 4.4], {}, [5.3, 4.4], ""),
        ([3.1, 20.2], {"guides": [{"from": [3, 4], "way": [0, 1], "kind": "square"}], "step": 1}, [3, 20], "square"),
    ],
)
def test_snapping_prefers_what_is_there_to_the_step(at: list, given: dict, point: list, kind: str) -> None:
    options = {
        "points": [{"point": [10, 0], "kind": "corner"}],
        "edges": [[[0, 0], None, [10, 0]]],
        "reach": 0.5,
        **given,
    }
    found = told("snapping.snapped(given[0], given[1])", [at, options])
    assert found["point"] == pytest.approx(point)
    assert found["kind"] == kind


def test_two_guides_hold_a_point_on_both() -> None:
    guides = [{"from": [0, 5], "way": [1, 0], "kind": "parallel"}, {"from": [8, 0], "way": [0, 1], "kind": "square"}]
    found = told("snapping.snapped([8.2, 4.9], given)", {"guides": guides, "reach": 0.5})
    assert found["point"] == [8, 5]
    assert len(found["guides"]) == 2


def test_typed_points_are_caught_exactly() -> None:
    options = {"points": [{"point": [1 / 3, 0.1], "kind": "corner"}], "reach": 0.5, "step": 1}
    assert told("snapping.snapped([0.4, 0], given).point", options) == [1 / 3, 0.1]


def test_lengths_are_written_as_the_server_writes_them() -> None:
    chance = Random(7)
    feet = [0, 0.01, 1, 11.9999, 12.5417, 28, -3.26, *[chance.uniform(-90, 90) for _ in range(200)]]
    assert told("given.map((one) => lengths.lengthWords(one, 'feet'))", feet) == [format_length(one) for one in feet]
    metric = [format_length(one, "metric") for one in feet]
    assert told("given.map((one) => lengths.lengthWords(one, 'metric'))", feet) == metric


def test_view_keeps_the_point_under_the_finger() -> None:
    view = {"k": 12, "x": 100, "y": 500}
    feet, after = told(
        "[view.toFeet(given, [230, 310]), view.toFeet(view.zoomed(given, 1.7, [230, 310]), [230, 310])]", view
    )
    assert after == pytest.approx(feet)
    assert told("view.toPx(given, view.toFeet(given, [230, 310]))", view) == pytest.approx([230, 310])


def test_door_slides_along_the_walls_as_on_the_server() -> None:
    chance = Random(11)
    walls = [[tuple(chance.uniform(-40, 40) for _ in "xy") for _ in "ab" + "c" * (n % 2)] for n in range(8)]
    places = [[[chance.uniform(-50, 50), chance.uniform(-50, 50)], chance.uniform(1, 30)] for _ in range(60)]
    found = told("given[1].map(([at, width]) => openings.slid(given[0], at, width))", [walls, places])
    lines = [arc_through(start, *map(tuple, rest), end) if rest else Line(start, end) for start, end, *rest in walls]
    for (at, width), point in zip(places, found, strict=True):
        assert point == pytest.approx(slid(lines, tuple(at), width), abs=1e-9)
    bow = [[[10, 0], [0, 10], [7.0710678118654755, 7.0710678118654755]]]  # a quarter of a circle of 10 ft
    assert told("openings.slid(given, [20, 20], 3)", bow) == pytest.approx(bow[0][2])
    assert told("openings.slid([], [3, 4], 3)") == [3, 4]
    assert told("openings.slid([[[0, 0], [10, 0]]], [4.4, 2], 3, 1)") == [4, 0]


def test_line_of_a_cut_is_read_by_the_server_with_its_arcs() -> None:
    ring = "shape.ringOf([[8, -2], [8, 4], [14, 4.0123456789]], { through: [null, [11, 1], null], closed: false })"
    points, rises = parse_line(told(f"reworking.lineText({ring})"))
    assert points == ((8, -2), (8, 4), (14, pytest.approx(4.012345679, abs=1e-9)))
    assert rises[0] == 0
    assert rises[1] == pytest.approx(3.006, abs=1e-3)


def test_grid_runs_through_the_datum_and_the_scale_is_true() -> None:
    # 18 px a foot: lines 2 ft apart; a quarter of the scale is 2 ft (36 px), so that it ends at 8 ft
    view = {"k": 18, "x": 100, "y": 300}
    assert told("ground.gridOf(given, 'feet')", view) == {"apart": 36, "x": 100 % 36, "y": 300 % 36}
    assert told("ground.scaleOf(given, 'feet')", view) == {"segment": 36, "words": "8 ft"}
    assert told("ground.scaleOf(given, 'metric').words", view) == "2 m"  # 59 px a meter: half a meter is 30 px
    lines = told("ground.gridPath(given, 'feet', [200, 400])", view)
    assert lines.count("V400") == len(range(28, 200, 36))
    assert "M100.5 0V400" in lines
