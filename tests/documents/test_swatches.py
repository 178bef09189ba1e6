"""The palette stands in the shares in which it lies."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import BASIS, yard

from app.documents.swatches import LEAST, Swatch, palette_of, palette_svg, shares, swatch_svg

SVG = "{http://www.w3.org/2000/svg}"


def test_palette_has_the_largest_surface_first_with_its_zones():
    palette = palette_of(yard(), BASIS)
    assert [(s.title, s.zones) for s in palette] == [
        ("Clay paver, russet", ("A",)),
        ("Loose stone", ("B",)),
        ("Flagstone, gray", ("E",)),
    ]
    assert palette[0].area == pytest.approx(28 * 17)


def test_zones_of_one_finish_share_a_swatch():
    job = yard(works=tuple(replace(w, assembly="loose-stone", finishes={}) for w in yard().works))
    (one,) = palette_of(job, BASIS)
    assert one.zones == ("A", "B", "E")


@settings(max_examples=60)
@given(st.lists(st.floats(0.5, 5_000), min_size=1, max_size=9))
def test_shares_fill_the_strip_and_none_is_too_narrow_to_see(areas):
    found = shares([Swatch(title="x", color="#888888", area=a) for a in areas])
    assert sum(found) == pytest.approx(1)
    assert min(found) >= min(LEAST, 1 / len(areas)) * 0.7


def test_drawn_widths_are_the_shares():
    shown = [Swatch(title="a", color="#111111", area=300), Swatch(title="b", color="#222222", area=100)]
    rects = list(ET.fromstring(palette_svg(shown, width_px=720)).iter(f"{SVG}rect"))
    assert float(rects[0].get("width")) / float(rects[1].get("width")) == pytest.approx(3, rel=0.001)


def test_share_is_said_in_words_as_well():
    svg = palette_svg(palette_of(yard(), BASIS))
    assert "Clay paver, russet" in svg
    assert re.search(r">\d\d%", svg)


def test_no_finish_gives_no_strip():
    assert palette_svg(()) == ""


def test_titles_are_escaped_and_nothing_is_inline():
    hostile = Swatch(title="<b style=x>", color="#111111", area=1)
    for svg in (palette_svg([hostile]), swatch_svg(hostile, "one")):
        ET.fromstring(svg)
        assert "<b" not in svg
        assert " style=" not in svg


def test_long_titles_are_wrapped_and_never_cut():
    title = "Medium plank paver, sandbar, tumbled on all sides, 12 x 18 x 2 3/8 in"
    shown = [Swatch(title=title, color="#111111", area=3, zones=("A",)), Swatch(title="b", color="#222222", area=1)]
    svg = ET.fromstring(palette_svg(shown, width_px=350))
    texts = [text.text for text in svg.iter(f"{SVG}text")]
    assert title in " ".join(texts)
    assert not any("…" in text for text in texts)
    assert max(float(text.get("y")) for text in svg.iter(f"{SVG}text")) < float(svg.get("height"))
