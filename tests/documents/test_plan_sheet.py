"""The plan on paper: a foot is as long as its scale says, on every paper; what does not fit goes on, nothing is cut."""

import itertools
import re
from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO
from xml.etree import ElementTree as ET

import numpy as np
import pypdf
import pytest
from plans import BASIS, uid, yard
from pypdf.generic import ContentStream

from app.documents.pdf import drawing_image, html_to_pdf, pdf_available
from app.documents.plan_sheet import PAPERS, SCALES, PlanSheets, TitleBlock, plan_sheets
from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.domain.job import Alternative, Easement, Setback, Zone
from app.domain.plan import rectangle

BLOCK = TitleBlock(
    firm="Brackenfold Yards",
    license="",
    client="Priya Lindqvist",
    place="Alder Ferry",
    title="Back yard",
    standing="Draft",
    day="May 4, 2026",
)
WITHIN = 0.005  # in: what a scale laid on the sheet may be off by
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def lone_square(side, basis=BASIS):
    """A yard of one square zone, its side in ft."""
    job = yard()
    zone = Zone(id=uid(900), letter="A", title="Square")
    way = Alternative(id=uid(901), zone_id=zone.id, outline=rectangle(side, side))
    site = replace(job.site, lot=None, house=None, openings=())
    rest = dict.fromkeys(("runs", "features", "existing", "edges", "works", "needs", "choices"), ())
    return replace(job, site=site, zones=(zone,), alternatives=(way,), **rest)


def printed(sheets: PlanSheets):
    body = "".join(f'<section class="true-size">{drawing_image(svg, "plan")}</section>' for svg in sheets.pages)
    made = html_to_pdf(
        f'<body class="plan-sheets">{body}</body>',
        paper=sheets.paper,
        title="Plan",
        language="en",
        identifier="plan",
        source_date=datetime(2026, 5, 4, tzinfo=UTC),
        landscape=True,
    )
    return pypdf.PdfReader(BytesIO(made))


def squares(page):
    """Sides [in] of all closed paths of four right-angled strokes, as they lie on the paper."""
    now, kept, path = np.eye(3), [], []
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        numbers = [float(one) for one in operands] if operator in {b"cm", b"m", b"l"} else []
        match operator:
            case b"q":
                kept.append(now)
            case b"Q":
                now = kept.pop()
            case b"cm":
                a, b, c, d, e, f = numbers
                now = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ now
            case b"m" | b"l":
                point = (np.array([*numbers, 1.0]) @ now)[:2] / 72
                path = [point] if operator == b"m" else [*path, point]
            case b"h" if len(path) == 5:
                sides = [path[place + 1] - path[place] for place in range(4)]
                if all(abs(float(a @ b)) < 1e-6 for a, b in itertools.pairwise(sides)):
                    yield [float(np.hypot(*side)) for side in sides]


needs_pango = pytest.mark.skipif(not pdf_available(), reason="Pango is not on this machine")


@needs_pango
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    ("scale", "inches"),
    [
        # by hand: 16 ft at an eighth of an inch a foot is 2 in; at 1:100, 192 in / 100
        ("1/8", 2.0),
        ("1/4", 4.0),
        ("1/16", 1.0),
        ("1:50", 3.84),
        ("1:100", 1.92),
        ("1:200", 0.96),
    ],
)
def test_sixteen_feet_are_as_long_as_the_scale_says(paper, scale, inches):
    reader = printed(plan_sheets(lone_square(16), BASIS, BLOCK, paper=paper, scale=scale))
    (page,) = reader.pages
    found = [side for side in squares(page) if all(one == pytest.approx(inches, abs=WITHIN) for one in side)]
    assert found
    wide, high = PAPERS[paper]
    assert float(page.mediabox.width) / 72 == pytest.approx(wide, abs=WITHIN)
    assert float(page.mediabox.height) / 72 == pytest.approx(high, abs=WITHIN)


@pytest.mark.parametrize("scale", SCALES)
def test_graphic_scale_is_as_long_as_it_says(scale):
    (svg,) = plan_sheets(lone_square(8), BASIS, BLOCK, scale=scale).pages
    root = ET.fromstring(svg)
    bar = max(float(r.get("width")) for r in root.iter("{http://www.w3.org/2000/svg}rect") if r.get("height") == "7")
    number, unit = SCALES[scale].words.split()
    feet = float(number) / (0.3048 if unit == "m" else 1)
    assert bar / 96 * SCALES[scale].feet == pytest.approx(feet, abs=WITHIN)


def test_the_largest_scale_that_fits_is_chosen():
    assert plan_sheets(lone_square(20), BASIS, BLOCK).scale == "1/4"
    assert plan_sheets(lone_square(40), BASIS, BLOCK).scale == "1/8"
    assert plan_sheets(lone_square(40), BASIS, BLOCK, paper="tabloid").scale == "1/8"
    assert plan_sheets(lone_square(30), BASIS, BLOCK, paper="tabloid").scale == "1/4"
    metric = replace(BASIS, firm=Firm(system="metric"))
    assert plan_sheets(lone_square(20), metric, BLOCK, paper="a4").scale == "1:50"


def test_what_does_not_fit_goes_on_with_match_lines():
    made = plan_sheets(lone_square(100), BASIS, BLOCK, scale="1/4")
    assert made.columns * made.rows == len(made.pages) > 4
    for place, svg in enumerate(made.pages):
        row, column = divmod(place, made.columns)
        wanted = {
            *([place] if column > 0 else []),
            *([place + 2] if column < made.columns - 1 else []),
            *([place + 1 - made.columns] if row > 0 else []),
            *([place + 1 + made.columns] if row < made.rows - 1 else []),
        }
        assert {int(n) for n in re.findall(r"match line, sheet (\d+)", svg)} == wanted
        assert f"sheet {place + 1} of {len(made.pages)}" in svg


def test_every_zone_stands_in_the_schedule_once_however_many_there_are():
    job = lone_square(12)
    more = tuple(Zone(id=uid(1000 + n), letter=letter, title=f"Zone number {n}") for n, letter in enumerate(LETTERS))
    made = plan_sheets(replace(job, zones=(*job.zones, *more)), BASIS, BLOCK)
    listed = [int(n) for svg in made.pages for n in re.findall(r">Zone number (\d+)<", svg)]
    assert sorted(listed) == list(range(26))
    assert made.columns * made.rows == 1 < len(made.pages)


def test_the_legend_names_the_lines_in_the_marking_colors():
    (svg, *_) = plan_sheets(yard(), BASIS, BLOCK, paper="tabloid").pages
    assert ("Marking colors of lines" in svg) == any(word in svg for word in (">gas<", ">electric<", ">drain<"))


def test_another_paper_or_scale_or_an_empty_plan_is_refused_in_a_sentence():
    with pytest.raises(BadValue, match="napkin"):
        plan_sheets(yard(), BASIS, BLOCK, paper="napkin")
    with pytest.raises(BadValue, match="1:3"):
        plan_sheets(yard(), BASIS, BLOCK, scale="1:3")
    with pytest.raises(BadValue, match="40 sheets"):
        plan_sheets(lone_square(400), BASIS, BLOCK, scale="1/4")
    bare = lone_square(1)
    with pytest.raises(BadValue, match="Nothing is drawn"):
        plan_sheets(replace(bare, zones=(), alternatives=()), BASIS, BLOCK)


def test_whole_lot_with_its_limits_fits_one_sheet_at_a_smaller_scale():
    """A lot of 200 by 300 ft round the small yard; on the plan of what is designed neither shows whole."""
    lot = rectangle(200, 300, at=(-70, -130))
    row = Setback(id=uid(902), distance=25.0)
    strip = Easement(id=uid(903), title="Drain easement", at=(30.0, 170.0), width=10.0)
    job = yard()
    job = replace(job, site=replace(job.site, lot=lot), setbacks=(row,), easements=(strip,))
    sheets = plan_sheets(job, BASIS, BLOCK, lot=True)
    assert (sheets.columns, sheets.rows, sheets.scale) == (1, 1, "1in60")
    assert "Drain easement" in sheets.pages[0]
    assert "setback 25" in sheets.pages[0]
    assert "Drain easement" not in plan_sheets(job, BASIS, BLOCK).pages[0]
