"""Lines in the ground carry letters and words, stand in the legend, and keep off what is written.

Source of the colors: American Public Works Association, uniform color code (ANSI Z535.1): electric red, gas yellow,
communication orange, drinking water blue, reclaimed water purple, sewer and drain green, survey pink, digging white.
"""

from colorsys import rgb_to_hls
from xml.etree import ElementTree as ET

import pytest
from plans import BASIS, uid, yard

from app.documents.figure_places import HIGH
from app.documents.plan_drawing import plan_svg
from app.documents.plan_letters import LETTERS, RADIUS, lettered
from app.documents.plan_parts import sheet_of
from app.documents.plan_schedule import legend
from app.documents.plan_standing import UTILITY_PENS
from app.documents.sheet_view import Taken
from app.domain.job import UTILITIES, Dimension, Existing, Feature, Note

SVG = "{http://www.w3.org/2000/svg}"
# hue on the color circle [degrees, from … to]
HUES = {
    "electric": (350, 370),
    "gas": (45, 60),
    "communication": (20, 40),
    "water": (200, 225),
    "reclaimed": (260, 285),
    "sewer": (110, 150),
    "survey": (320, 345),
}


def line(utility: str, y: float = 20.0) -> Existing:
    return Existing(id=uid(9100), title="Line", kind="other", utility=utility, points=((2.0, y), (58.0, y)))


def test_every_utility_has_a_pen_of_its_public_color_dashes_a_word_and_a_letter_of_its_own():
    assert set(UTILITY_PENS) == set(UTILITIES) == set(LETTERS)
    assert len(set(LETTERS.values())) == len(UTILITIES)
    assert len({pen.word for pen in UTILITY_PENS.values()}) == len(UTILITIES)
    for key, (low, high) in HUES.items():
        color = UTILITY_PENS[key].color
        hue = rgb_to_hls(*(int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)))[0] * 360
        assert low <= hue <= high or low <= hue + 360 <= high, key
    assert UTILITY_PENS["proposed"].color in {"#fff", "#ffffff"}
    assert all(pen.dashes for pen in UTILITY_PENS.values())


@pytest.mark.parametrize("utility", sorted(UTILITIES))
def test_letter_and_word_stand_on_the_line_on_our_face_and_not_on_the_clients(utility):
    job = yard(existing=(line(utility),), runs=(), features=())
    texts = [one.text for one in ET.fromstring(plan_svg(job, BASIS)).iter(f"{SVG}text")]
    assert LETTERS[utility] in texts
    quiet = [one.text for one in ET.fromstring(plan_svg(job, BASIS, face="client")).iter(f"{SVG}text")]
    assert UTILITY_PENS[utility].word not in quiet


def test_letters_stand_at_equal_distances_and_once_at_least():
    drawn = lettered(Taken(800, 600), [(100, 300), (500, 300)], "G")
    assert drawn.count("<text") == 3
    assert lettered(Taken(800, 600), [(100, 300), (110, 300)], "G").count("<text") == 1


def test_letter_gives_way_to_what_stands_there():
    taken = Taken(800, 600)
    taken.take((140, 290, 152, 310))
    assert lettered(taken, [(100, 300), (200, 300)], "G") == ""
    assert taken.first_free([(170, 300)], 20, 20) == (170, 300)


def test_legend_names_the_lines_that_are_there_with_their_letters():
    words = [word for word, _ in legend(yard(existing=(line("sewer"),), runs=()))]
    assert words == ["sewer, there now (S)"]


def test_figures_of_dimensions_and_notes_hit_neither_each_other_nor_other_words():
    dimensions = tuple(
        Dimension(id=uid(9200 + n), start=(4.0, 30.0), end=(40.0, 30.0), offset=0.2 * n, words="clear")
        for n in range(4)
    )
    notes = (Note(id=uid(9300), words="Keep the old steps until the last day", x=30.0, y=10.0, to=(20.0, 12.0)),)
    root = ET.fromstring(plan_svg(yard(dimensions=dimensions, notes=notes), BASIS))
    figures = [t for t in root.iter(f"{SVG}text") if (t.text or "").startswith("clear")]
    assert len(figures) == 4
    at = [(float(t.get("x")), float(t.get("y"))) for t in figures]
    for n, (x, y) in enumerate(at):
        for ox, oy in at[n + 1 :]:
            assert abs(y - oy) >= HIGH - 1 or abs(x - ox) > 80
    assert RADIUS * 2 >= 14


def test_crown_of_a_tree_is_drawn_to_scale_above_the_zone_it_shades():
    oak = Existing(id=uid(9001), title="Oak", kind="tree", x=30.0, y=30.0, spread=16.0)
    svg = plan_svg(yard(existing=(oak,), features=()), BASIS)
    scale = sheet_of(yard(existing=(oak,), features=()), BASIS, 790).view.scale
    rim = f'r="{8 * scale:.1f}"'
    assert rim in svg
    assert "url(#plan-" in svg[: svg.index(rim)]
    assert "url(#plan-" not in svg[svg.index(rim) :]  # every hatch lies below


def test_letters_stand_beside_what_stands_on_the_line():
    grill = Feature(id=uid(9002), title="Fire bowl", x=30.0, y=20.0, area=40.0)
    root = ET.fromstring(plan_svg(yard(existing=(line("gas"),), runs=(), features=(grill,)), BASIS))
    sheet = sheet_of(yard(existing=(line("gas"),), runs=(), features=(grill,)), BASIS, 790)
    middle = sheet.view.at((30.0, 20.0))
    for text in root.iter(f"{SVG}text"):
        if text.text == "G":
            assert abs(float(text.get("x")) - middle[0]) > 20
