"""Worked examples of areas, volumes and slopes from published pages, each with its source beside it."""

from math import pi

import pytest

from app.domain.plan import area, circle, grown, moved, rectangle
from app.domain.plan.outline import Outline
from app.domain.units import FORMULA_UNITS, INCH, TRADE_UNITS, parse_length, parse_slope

CUBIC_YARD = TRADE_UNITS["yard**3"].size
GALLON = FORMULA_UNITS["gallon"][0]

WALK_AROUND_GARDEN = Outline("POLYGON ((0 0, 41 0, 41 26, 0 26, 0 0), (3 3, 38 3, 38 23, 3 23, 3 3))")
CIRCULAR_WALK = Outline(
    "CURVEPOLYGON (CIRCULARSTRING (18 0, 0 18, -18 0, 0 -18, 18 0), CIRCULARSTRING (16 0, 0 16, -16 0, 0 -16, 16 0))"
)
THREE_WING_FOOTPRINT = [rectangle(10.5, 17), rectangle(14.5, 12.5, at=(10.5, 0)), rectangle(15, 14.5, at=(25, 0))]

# (what, found, published or computed, tolerance of the printed figure, source)
EXAMPLES = [
    ("walk of 3 ft around a 20 x 35 ft garden, sq ft", area(WALK_AROUND_GARDEN), 366, 1e-9, "algebra.com solution 385517"),
    ("the same, 4 in thick, cu ft", area(WALK_AROUND_GARDEN) * 4 * INCH, 122, 1e-9, "algebra.com solution 385517"),
    ("the same, cu yd", area(WALK_AROUND_GARDEN) * 4 * INCH / CUBIC_YARD, 4.52, 0.005, "algebra.com solution 385517"),
    ("circular walk, inside radius 16 ft, 2 ft wide, 3 in, cu yd", area(CIRCULAR_WALK) * 3 * INCH / CUBIC_YARD, 1.978, 0.0005, "method of algebra.com solution 388087, computed"),
    ("sidewalk 3 x 60 ft, 3 in, cu yd", area(rectangle(60, 3)) * 3 * INCH / CUBIC_YARD, 5 / 3, 1e-9, "math.upenn.edu/~deturck/probsolv/DP9ans.html"),
    ("round pier, radius 6 in, 2 ft 9 in high, cu ft", area(circle(parse_length('6"').feet)) * parse_length("2 ft 9 in").feet, 2.15, 0.011, "constructionwork.com/resource/columnsposts (pi = 3.14, cut off; exact 2.160)"),
    ("post hole 1 ft across, 3 ft deep, cu yd", area(circle(0.5)) * 3 / CUBIC_YARD, 0.0873, 0.00005, "colecountyconcrete.com/id19.html (prints 0.09)"),
    ("footprint of three rectangles, sq ft", sum(map(area, THREE_WING_FOOTPRINT)), 577.25, 1e-9, "writinguniverse.com/the-excavation-section"),
    ("the same, 9 in of topsoil, cu ft", sum(map(area, THREE_WING_FOOTPRINT)) * 9 * INCH, 432.94, 0.005, "writinguniverse.com/the-excavation-section"),
    ("the same, cu yd", sum(map(area, THREE_WING_FOOTPRINT)) * 9 * INCH / CUBIC_YARD, 16.03, 0.005, "writinguniverse.com (prints 16.02 by a rounded factor)"),
    ("40 x 100 ft, 4 in, cu yd", area(rectangle(100, 40)) * 4 * INCH / CUBIC_YARD, 49.4, 0.05, "superiorgroundcover.com playground surfacing (prints about 50)"),
    ("bedding 1 in under 200 sq ft, cu yd", area(rectangle(20, 10)) * INCH / CUBIC_YARD, 0.617, 0.0005, "BIA Technical Note 7: 0.00309 cu yd per sq ft"),
    ("base 4 in under 200 sq ft, cu yd", area(rectangle(20, 10)) * 4 * INCH / CUBIC_YARD, 2.47, 0.005, "BIA Technical Note 7: 0.01235 cu yd per sq ft"),
    ("canopy 10 ft across, sq ft", area(circle(5)), 78.5, 0.05, "dripirrigation.com"),
    ("basin 8 x 6 x 2.5 ft at 40 % porosity, gallons", area(rectangle(8, 6)) * 2.5 * 0.4 / GALLON, 359.1, 0.05, "computed: length x width x depth x 7.48052 x porosity"),
    ("an inch of water on 150 sq ft, gallons", area(rectangle(15, 10)) * INCH / GALLON, 93.5, 0.05, "exact 0.6234 gal per sq ft and inch; pages print 93"),
    ("water garden rule, gallons per cu ft", 1 / GALLON, 7.48052, 0.000005, "NIST Handbook 44, appendix C (231 cubic inches)"),
    ("slope of 1/4 in per ft, percent", parse_slope("1/4 in per ft").value * 100, 2.083, 0.0005, "BIA Technical Note 7, part 3 (percent computed)"),
    ("slope of 6 in per 10 ft, percent", parse_slope("6 in per 10 ft").value * 100, 5, 1e-9, "geometry"),
    ("slope of 1 in per 8 ft, percent", parse_slope("1 in per 8 ft").value * 100, 1.042, 0.0005, "geometry"),
    ("root ball backfill, 72 in wide, 16 in deep, less a 24 in ball, cu ft", (area(circle(3)) - area(circle(1))) * 16 * INCH, 33.5, 0.05, "geometry, computed"),
    ("circle of radius 9 ft grown by 6 in, sq ft", grown(circle(9), 0.5), pi * 9.5**2, 1e-9, "geometry"),
]  # fmt: skip


@pytest.mark.parametrize(("what", "found", "expected", "tolerance", "source"), EXAMPLES, ids=[e[0] for e in EXAMPLES])
def test_worked_example_is_met(what, found, expected, tolerance, source):
    assert found == pytest.approx(expected, abs=tolerance), f"{what}: {source}"


@pytest.mark.parametrize(
    ("depth_inches", "square_feet"),
    [(1, 324), (2, 162), (3, 108), (4, 81), (5, 64.8), (6, 54), (8, 40.5), (9, 36), (10, 32.4), (12, 27)],
)
def test_one_cubic_yard_covers_324_over_its_depth(depth_inches, square_feet):
    """Source: geometry; the first five are printed at jeperduelandscaping.com/shop/mulch."""
    side = square_feet**0.5
    assert area(moved(rectangle(side, side), 3, 4)) * depth_inches * INCH == pytest.approx(CUBIC_YARD)
