"""Earth moved: how soil grows and shrinks; cut and fill by sections, by a grid, by points."""

from app.domain.trades import earthwork
from app.domain.trades.calculation import Calculation, Column, Input, Output, Working
from app.domain.trades.quantity import AREA_SF, LENGTH_FT, SHARE, VOLUME_CY

TRADE = "Earthwork"
_DIG = "Before digging: have public and private lines located. Keep machines off edges."
_SLOPES = "Slopes steeper than 1 in 3, fill more than a foot deep under paving, anything near a footing: an engineer."
_SOIL = Input(
    name="soil",
    label="Soil",
    default="earth",
    choices=tuple((key, words) for key, (words, _, _) in earthwork.SOILS.items()),
)
_SOIL_SOURCE = "Swell and shrink: FM 5-434, table 1-1 (from memory; sand and gravel also in NAVEDTRA 14080)."
_BALANCE = (
    Output(name="cut", label="Cut, in the ground", quantity=VOLUME_CY, main=True),
    Output(name="fill", label="Fill, placed", quantity=VOLUME_CY, main=True),
    Output(name="needed", label="Cut that the fill takes", quantity=VOLUME_CY),
    Output(name="left", label="Left over (below zero: to bring in), in the ground", quantity=VOLUME_CY, main=True),
    Output(name="loose", label="On the truck", quantity=VOLUME_CY, main=True),
)


def _balance(it: Working, cut: float, fill: float, how: str) -> None:
    """What of the cut the fill takes, and what is left for the truck."""
    _, swell, shrink = earthwork.SOILS[it["soil"]]
    it.told("cut", cut, how)
    it.told("fill", fill, how)
    it.told("needed", earthwork.bank_of(fill, shrink), f"the fill, and {shrink:.0%} more for what it shrinks by")
    left = it.step("left", cut - it["needed"], "cut - needed")
    it.told("loose", earthwork.loose_of(abs(left), swell), f"what is left or lacks, loosened by {swell:.0%}")


def _swell(it: Working) -> None:
    words, swell, shrink = earthwork.SOILS[it["soil"]]
    it.told("swell", swell, words)
    it.told("shrink", shrink, words)
    it.step("loose", earthwork.loose_of(it["bank"], swell), "bank * (1 + swell)")
    it.step("placed", earthwork.placed_of(it["bank"], shrink), "bank * (1 - shrink)")


def _sections(it: Working) -> None:
    parts = earthwork.end_areas(it["sections"])
    cut, fill = sum(one for one, _ in parts), sum(one for _, one in parts)
    _balance(it, cut, fill, "the mean of each two sections times the way between them")
    stations = [row[0] for row in it["sections"]]
    rows = [(f"{a:g} to {b:g}", *part) for a, b, part in zip(stations, stations[1:], parts, strict=False)]
    it.table("By stretch", (("Stations", None), ("Cut", VOLUME_CY), ("Fill", VOLUME_CY)), rows)


def _grid(it: Working) -> None:
    moved = earthwork.grid(it["depths"], it["side"], it["other"])
    it.told("area", moved.area, "the cells together")
    _balance(it, moved.cut, moved.fill, "each cell by the depths at its four corners")


def _points(it: Working) -> None:
    moved = earthwork.triangles([(x, y, ground - finish) for x, y, ground, finish in it["points"]])
    it.told("area", moved.area, "the triangles together")
    _balance(it, moved.cut, moved.fill, "triangles between the points, split where cut turns to fill")


_AREA = Output(name="area", label="Area", quantity=AREA_SF)
_STATIONS = ((0.0, 0.0, 0.0), (50.0, 125.0, 0.0), (100.0, 168.0, 20.0))
_DEPTHS = ((0.0, 0.0, 0.3), (0.0, 0.3, 0.9), (-0.2, 0.4, 1.1))
_POINTS = ((0.0, 0.0, 101.0, 100.0), (20.0, 0.0, 100.4, 100.0), (20.0, 30.0, 99.5, 99.6), (0.0, 30.0, 100.0, 99.6))

CALCULATIONS = (
    Calculation(
        key="swell",
        title="Bank, loose and placed",
        trade=TRADE,
        words="One soil in the ground, on the truck, and compacted in place.",
        inputs=(Input(name="bank", label="In the ground", quantity=VOLUME_CY, default=2700.0), _SOIL),
        outputs=(
            Output(name="swell", label="Loosens by", quantity=SHARE),
            Output(name="shrink", label="Shrinks by", quantity=SHARE),
            Output(name="loose", label="On the truck", quantity=VOLUME_CY, main=True),
            Output(name="placed", label="Compacted", quantity=VOLUME_CY, main=True),
        ),
        work=_swell,
        validity="The four soils of the table.",
        source=_SOIL_SOURCE,
        differs="Tables differ: dense clay loosens by 30 % in a published text, by 43 % in the military "
        "table (from memory), 10 % more loose earth.",
        cautions=(_DIG,),
        search="shrink compact haul",
    ),
    Calculation(
        key="end-areas",
        title="Cut and fill by sections",
        trade=TRADE,
        words="Volumes between cross sections along a line.",
        inputs=(
            Input(
                name="sections",
                label="Sections",
                default=_STATIONS,
                columns=(
                    Column(name="station", label="Station", quantity=LENGTH_FT),
                    Column(name="cut", label="Cut", quantity=AREA_SF, default=0.0),
                    Column(name="fill", label="Fill", quantity=AREA_SF, default=0.0),
                ),
            ),
            _SOIL,
        ),
        outputs=_BALANCE,
        work=_sections,
        validity="Stations that rise. Where an area goes to nothing it overstates.",
        source="Average end area method. " + _SOIL_SOURCE,
        differs="The prismoidal formula gives less where areas differ much: from an area to a point a "
        "third of both multiplied, here half, which is half as much again.",
        cautions=(_DIG,),
        stops=_SLOPES,
        search="average end area road",
    ),
    Calculation(
        key="grid-cut",
        title="Cut and fill by a grid",
        trade=TRADE,
        words="Depths at the corners of a grid, row by row; cut above zero, fill below.",
        inputs=(
            Input(name="side", label="Cell, along a row", quantity=LENGTH_FT, default=10.0, least=0.5, most=500.0),
            Input(name="other", label="Cell, between rows", quantity=LENGTH_FT, default=10.0, least=0.5, most=500.0),
            Input(
                name="depths",
                label="Depths",
                quantity=LENGTH_FT,
                default=_DEPTHS,
                grid=True,
                hint="0.5 -0.2 1.1: as many in each row; feet, or meters of a metric firm",
            ),
            _SOIL,
        ),
        outputs=(_AREA, *_BALANCE),
        work=_grid,
        validity="A whole grid, two rows and columns at least.",
        source="Four-point method of grading texts. " + _SOIL_SOURCE,
        differs="Two triangles in place of a cell's mean differ by a twelfth of its area times what one "
        "pair of opposite corners has more than the other: 3 cu yd for 50 × 50 ft and 0.4 ft.",
        cautions=(_DIG,),
        stops=_SLOPES,
        search="four corner level borrow pit",
    ),
    Calculation(
        key="points-cut",
        title="Cut and fill by points",
        trade=TRADE,
        words="Ground and finish at measured points, triangles between them.",
        inputs=(
            Input(
                name="points",
                label="Points",
                default=_POINTS,
                columns=(
                    Column(name="x", label="East", quantity=LENGTH_FT),
                    Column(name="y", label="North", quantity=LENGTH_FT),
                    Column(name="ground", label="Ground", quantity=LENGTH_FT),
                    Column(name="finish", label="Finish", quantity=LENGTH_FT),
                ),
            ),
            _SOIL,
        ),
        outputs=(_AREA, *_BALANCE),
        work=_points,
        validity="3 to 600 points typed, no two at one place, not all in a line; within their hull only.",
        source="Geometry, Delaunay's triangles. " + _SOIL_SOURCE,
        cautions=(_DIG,),
        stops=_SLOPES,
        search="tin surface level triangles",
    ),
)
