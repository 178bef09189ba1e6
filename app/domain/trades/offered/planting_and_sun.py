"""Plants by spacing, mulch, a plant's hole; the sun at an hour and the shadow it throws."""

from datetime import datetime
from zoneinfo import ZoneInfo

from app.domain.trades import sun
from app.domain.trades.calculation import Calculation, Input, Output, Working
from app.domain.trades.planting.holes import hole_for, lifting_words
from app.domain.trades.planting.placing import ROW
from app.domain.trades.quantity import (
    ANGLE,
    AREA_SF,
    COUNT,
    INCHES,
    LENGTH_FT,
    NUMBER,
    THICKNESS,
    VOLUME_CF,
    VOLUME_CY,
    WEIGHT_LB,
)
from app.domain.trades.validity import OutsideValidity

PLANTING, SUN = "Planting", "Sun"
YEAR = 2027
_PATTERNS = (("triangular", "Triangular"), ("square", "Square"))
_ZONES = (
    ("America/New_York", "Eastern"),
    ("America/Chicago", "Central"),
    ("America/Denver", "Mountain"),
    ("America/Phoenix", "Arizona"),
    ("America/Los_Angeles", "Pacific"),
    ("America/Anchorage", "Alaska"),
    ("Pacific/Honolulu", "Hawaii"),
)
_BAG = 2.0  # cu ft in a bag of mulch


def _plants(it: Working) -> None:
    if it["pattern"] == "square":
        it.step("each", it["spacing"] ** 2, "spacing ** 2")
        it.step("rows_apart", it["spacing"], "spacing")
    else:
        it.step("rows_apart", it["spacing"] * ROW, "spacing * sqrt(3) / 2")
        it.step("each", it["spacing"] * it["rows_apart"], "spacing * rows_apart")
    it.step("exact", it["area"] / it["each"], "area / each")
    it.told("plants", -(-(it["exact"] - 1e-9) // 1), "rounded up to whole plants")
    it.note("By area. A list in a bed places them one by one on its outline: narrow beds take fewer or more.")


def _mulch(it: Working) -> None:
    it.step("volume", it["area"] * it["depth"], "area * depth")
    it.step("yards", it["volume"], "volume")
    it.told("bags", -(-(it["volume"] / _BAG - 1e-9) // 1), "volume over 2 cu ft in a bag, rounded up")
    if it["depth"] > 4 / 12 + 1e-9:
        it.note("More than 4 in of mulch keeps air and rain from the roots: extension guidance.")


def _hole(it: Working) -> None:
    hole = hole_for(it["ball"], it["deep"], wide=it["wide"])
    it.told("across", hole.across / 12, "the ball's width, that many times")
    it.told("dug", hole.dug, "a straight-sided hole as deep as the ball")
    it.told("filled", hole.filled, "the hole without the ball")
    it.told("weight", it["count"] * it["each_weight"], "all balls together, wet")
    words = lifting_words(it["each_weight"])
    if words:
        it.note(words)


def _sun(it: Working) -> None:
    spot = sun.Spot(it["latitude"], it["longitude"], str(it["zone"]))
    try:
        hour, minute = divmod(round(it["hour"] * 60), 60)
        moment = datetime(YEAR, int(it["month"]), int(it["day"]), hour, minute, tzinfo=ZoneInfo(spot.zone))
    except ValueError:
        raise OutsideValidity("There is no such day and hour: check month, day and hour.", field="day") from None
    found = sun.sun_at(spot, moment)
    it.told("altitude", found.altitude, "the sun's height above a level horizon, by the NOAA equations")
    it.told("bearing", found.bearing, "from true north, to the right")
    if found.altitude <= 0:
        raise OutsideValidity("The sun is below the horizon then: no sun and no shadow.", field="hour")
    it.step("shadow", sun.shadow_length(it["height"], found.altitude), "height / tan(radians(altitude))")
    it.told("shadow_bearing", (found.bearing + 180) % 360, "away from the sun")
    if sun.glare(found, it["facing"]):
        it.note("Who faces that way has the low sun in the eyes.")


CALCULATIONS = (
    Calculation(
        key="plants",
        title="Plants by spacing",
        trade=PLANTING,
        words="How many plants an area takes at a spacing, and how far apart the rows lie.",
        inputs=(
            Input(name="area", label="Bed", quantity=AREA_SF, default=100.0),
            Input(name="spacing", label="Apart", quantity=THICKNESS, default=1.0, least=2 / 12, most=60.0),
            Input(name="pattern", label="Pattern", default="triangular", choices=_PATTERNS),
        ),
        outputs=(
            Output(name="plants", label="Plants", quantity=COUNT, main=True),
            Output(name="exact", label="By area", quantity=NUMBER),
            Output(name="rows_apart", label="Rows apart", quantity=THICKNESS, main=True),
            Output(name="each", label="Ground for each", quantity=AREA_SF),
        ),
        work=_plants,
        validity="Open ground much wider than the spacing; 2 in to 60 ft apart.",
        source="Geometry: one plant on spacing squared, or on spacing squared times half the root of three.",
        differs="Printed multipliers are rounded: 2.28 or 2.25 a sq ft at 8 in, 115 triangular at 12 in "
        "on 100 sq ft (exactly 115.5). Trade counts of bulbs, 5 a sq ft at 6 in and 8 at 4 in, "
        "follow neither pattern (4 and 9 square, 4.6 and 10.4 triangular).",
        search="perennials groundcover triangular square bulbs",
    ),
    Calculation(
        key="mulch",
        title="Mulch",
        trade=PLANTING,
        words="Cubic yards and bags for a bed.",
        inputs=(
            Input(name="area", label="Bed", quantity=AREA_SF, default=200.0),
            Input(name="depth", label="Deep", quantity=THICKNESS, default=2.5 / 12, least=0.5 / 12, most=1.0),
        ),
        outputs=(
            Output(name="volume", label="Volume", quantity=VOLUME_CF),
            Output(name="yards", label="In yards", quantity=VOLUME_CY, main=True),
            Output(name="bags", label="Bags of 2 cu ft", quantity=COUNT, main=True),
        ),
        work=_mulch,
        validity="As spread, before it settles.",
        source="Geometry: a cubic yard covers 324 sq ft an inch deep. Depth 2 to 3 in: extension guidance.",
        cautions=("Off stems and trunks by a hand's width.",),
        search="bark chips bed",
    ),
    Calculation(
        key="plant-hole",
        title="Hole and root ball",
        trade=PLANTING,
        words="What is dug and filled for a ball, and what the balls weigh.",
        inputs=(
            Input(name="ball", label="Ball across", quantity=INCHES, default=24.0, least=1.0, most=72.0),
            Input(name="deep", label="Ball deep", quantity=INCHES, default=16.0, least=1.0, most=60.0),
            Input(name="wide", label="Hole, times the ball", default=3.0, least=1.0, most=5.0),
            Input(name="count", label="How many", quantity=COUNT, default=1.0, least=1.0, most=10000.0),
            Input(name="each_weight", label="One weighs, wet", quantity=WEIGHT_LB, default=325.0, most=10000.0),
        ),
        outputs=(
            Output(name="across", label="Hole across", quantity=LENGTH_FT, main=True),
            Output(name="dug", label="Dug, each", quantity=VOLUME_CF),
            Output(name="filled", label="Filled again, each", quantity=VOLUME_CF, main=True),
            Output(name="weight", label="All balls", quantity=WEIGHT_LB, main=True),
        ),
        work=_hole,
        validity="Straight-sided holes; a tapered ball leaves a little more to fill.",
        source="Geometry; three times the ball: Colorado State University Extension, GardenNotes 633.",
        differs="Balls taper: those a nursery weighed, of 24 and 28 in, had 78 to 84 % of a "
        "straight-sided ball's weight at 100 lb/cu ft.",
        cautions=("Have the lines marked before you dig, the private ones too.",),
        search="tree shrub root ball backfill weight lift",
    ),
    Calculation(
        key="sun-and-shadow",
        title="Sun and shadow",
        trade=SUN,
        words="Where the sun stands at an hour of a day, how long a shadow is, whether it blinds.",
        inputs=(
            Input(name="latitude", label="Latitude, north positive", default=40.0, least=-65.0, most=65.0),
            Input(name="longitude", label="Longitude, east positive", default=-76.0, least=-180.0, most=180.0),
            Input(name="zone", label="Time zone", default="America/New_York", choices=_ZONES),
            Input(name="month", label="Month", quantity=COUNT, default=6.0, least=1.0, most=12.0),
            Input(name="day", label="Day", quantity=COUNT, default=21.0, least=1.0, most=31.0),
            Input(name="hour", label="Hour by the clock, 0 to 24", default=18.0, most=23.99),
            Input(name="height", label="What throws the shadow is high", quantity=LENGTH_FT, default=6.0, most=500.0),
            Input(name="facing", label="A seat faces, from north", quantity=ANGLE, default=270.0, most=360.0),
        ),
        outputs=(
            Output(name="altitude", label="The sun stands high", quantity=ANGLE, main=True),
            Output(name="bearing", label="It stands toward", quantity=ANGLE, main=True),
            Output(name="shadow", label="Shadow", quantity=LENGTH_FT, main=True),
            Output(name="shadow_bearing", label="The shadow points toward", quantity=ANGLE),
        ),
        work=_sun,
        validity="Level ground and an open horizon; latitudes to 65°; the year 2027 stands for all.",
        source="Solar equations of the US National Oceanic and Atmospheric Administration (astral); geometry.",
        assumes=("Glare: within 45° of where one looks and no higher than 25°.",),
        differs="The short formula for the sun's declination by the number of the day (Cooper) is off by "
        "up to 1.0°, in October. Without refraction a sun at 5° stands 0.16° lower, at 20° 0.04°. "
        "Clocks and the sun differ by up to 16 minutes within a zone's own meridian.",
        search="shade glare evening noon fence",
    ),
)
