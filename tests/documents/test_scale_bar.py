"""The bar shows what it says: places in proportion, a band or a pointer and never both, no figure under the cover."""

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.documents.scale_bar import ScaleBar, covered_bar_svg, describe, scale_bar_svg
from app.domain.errors import BadValue

MONEY = st.integers(10_000, 500_000_000)


def _attribute(svg, element_id, name):
    root = ET.fromstring(svg)
    found = next(e for e in root.iter() if e.get("id") == element_id)
    return float(found.get(name).rstrip("%"))


def _end_of_scale(svg):
    labels = [t.text for t in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text") if t.get("y") == "64"]
    number, unit = re.fullmatch(r"\$([\d.]+)([kM]?)", labels[-1]).groups()
    return round(float(number) * {"": 100, "k": 100_000, "M": 100_000_000}[unit])


def test_range_stands_where_its_share_of_the_scale_says():
    svg = scale_bar_svg(ScaleBar(low=5_320_000, high=6_490_000, budget_high=6_800_000))
    assert _end_of_scale(svg) == 8_000_000
    assert _attribute(svg, "bar-band", "x") == pytest.approx(66.5)  # 53.2 of 80
    assert _attribute(svg, "bar-band", "width") == pytest.approx(14.625, abs=0.006)  # 11.7 of 80
    assert _attribute(svg, "bar-stake", "x") == pytest.approx(85)  # 68 of 80


def test_firm_price_shows_a_pointer_and_no_band():
    svg = scale_bar_svg(ScaleBar(firm=5_894_000))
    assert "bar-band" not in svg
    assert _attribute(svg, "bar-pointer", "x") == pytest.approx(5_894_000 * 100 / _end_of_scale(svg), abs=0.01)


def test_range_shows_a_band_and_no_pointer():
    assert "bar-pointer" not in scale_bar_svg(ScaleBar(low=100_000, high=200_000))


def test_range_with_firm_price_is_refused():
    with pytest.raises(BadValue):
        ScaleBar(low=1, high=2, firm=2)


def test_no_price_says_so():
    svg = scale_bar_svg(ScaleBar(budget_high=4_000_000))
    assert "No price yet" in svg
    assert "bar-band" not in svg
    assert "bar-pointer" not in svg


def test_words_say_what_the_bar_shows():
    assert describe(ScaleBar(firm=5_894_000, budget_low=5_500_000, budget_high=6_800_000)) == (
        "$58,940, firm. Budget $55k to $68k."
    )


@settings(max_examples=60)
@given(MONEY, MONEY, MONEY)
def test_everything_lies_on_the_scale_and_ticks_are_few(one, two, budget):
    svg = scale_bar_svg(ScaleBar(low=min(one, two), high=max(one, two), budget_high=budget))
    end = _end_of_scale(svg)
    assert end >= max(one, two, budget)
    assert 1 <= svg.count('y="64"') <= 7
    assert 0 <= _attribute(svg, "bar-band", "x") <= 100
    assert _attribute(svg, "bar-band", "x") + _attribute(svg, "bar-band", "width") <= 100.02


def test_cover_holds_no_figure_of_money():
    assert not re.search(r"\$|\d,\d", covered_bar_svg())


def test_bar_has_no_inline_style_or_script():
    svg = scale_bar_svg(ScaleBar(low=100_000, high=200_000, budget_high=150_000))
    assert not re.search(r"style=|<script|\son\w+=", svg)


def test_range_is_told_outward_to_round_figures():
    assert describe(ScaleBar(low=5_321_987, high=6_481_201)) == "From $53,200 to $64,900."
    assert describe(ScaleBar(low=412_345, high=498_101)) == "From $4,120 to $4,990."


def test_firm_price_is_told_to_the_cent_it_has():
    assert describe(ScaleBar(firm=5_894_050)).startswith("$58,940.50")


def test_ticks_keep_their_letter_where_it_differs_from_the_end():
    svg = scale_bar_svg(ScaleBar(firm=170_000_000))
    labels = [t.text for t in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text") if t.get("y") == "64"]
    assert labels == ["0", "$500k", "1", "1.5", "$2M"]
