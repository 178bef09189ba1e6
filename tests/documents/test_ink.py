"""Contrast of ink on paper, by the formula of WCAG 2.2 (relative luminance, contrast ratio; success criterion 1.4.3)."""

import re
from pathlib import Path

import pytest

from app.documents.plan_lines import BLUE, GREEN, ORANGE, PENS, PURPLE, RED, YELLOW
from app.documents.sheet_view import INK, PAPER, SOFT

ROOT = Path(__file__).parents[2]
TOKENS = (ROOT / "static/css/tokens.css").read_text("utf-8")
PAPER_SET, SUN_SET = (
    dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6});", block))
    for block in re.findall(r"(?::root|html\[data-light=\"sun\"\]) \{(.*?)\n\}", TOKENS, re.DOTALL)[:2]
)


def luminance(color):
    digits = color[1:] if len(color) == 7 else "".join(c * 2 for c in color[1:])
    parts = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_formula_gives_the_published_extremes():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # the known near miss


@pytest.mark.parametrize("ink", ["ink", "soft", "moss", "ochre", "brick"])
@pytest.mark.parametrize("paper", ["vellum", "sheet", "tint"])
def test_every_ink_reads_on_every_paper(ink, paper):
    assert contrast(PAPER_SET[ink], PAPER_SET[paper]) >= 4.5
    assert contrast(SUN_SET[ink], SUN_SET[paper]) >= 7  # outdoors: the enhanced level, 1.4.6


def test_lines_around_fields_can_be_seen():
    assert contrast(PAPER_SET["line"], PAPER_SET["sheet"]) >= 3  # 1.4.11


def test_ink_of_drawings_is_that_of_pages():
    assert (PAPER_SET["ink"], PAPER_SET["soft"], PAPER_SET["sheet"]) == (INK, SOFT, PAPER)


def test_utility_lines_can_be_seen_or_carry_a_dark_line_beneath():
    for color in (RED, BLUE, GREEN, PURPLE, ORANGE):
        assert contrast(color, PAPER) >= 3
    gas = next(pen for pen in PENS.values() if pen.color == YELLOW)
    assert any(contrast(color, PAPER) >= 3 for color, _ in gas.under)


def test_no_text_is_smaller_than_14_px():
    for file in (ROOT / "static/css").glob("*.css"):
        if file.name != "print.css":
            sizes = [
                float(size) for size in re.findall(r"font(?:-size)?:[^;]*?\b(\d+(?:\.\d+)?)px", file.read_text("utf-8"))
            ]
            assert all(size >= 14 for size in sizes), file.name
