"""Fall of a surface in every way it is spoken of, and a flight of steps between two levels."""

from app.domain.trades import slopes, steps
from app.domain.trades.calculation import Calculation, Input, Output, Target, Working
from app.domain.trades.quantity import ANGLE, COUNT, LENGTH_FT, SLOPE, THICKNESS
from app.domain.trades.validity import OutsideValidity

TRADE = "Slopes and steps"
_LEVELS = "Check a level or a straightedge on the ground: what is drawn is not what lies there."
LANDING_RISE = 151 / 12  # ft: International Residential Code R311.7.3, 2018 and later
GUARD_DROP = 30 / 12  # ft: International Residential Code R312.1.1
HANDRAIL_RISERS = 4  # International Residential Code R311.7.8


def _fall(it: Working) -> None:
    it.step("fall", slopes.fall_over(it["distance"], it["slope"]), "distance * slope")
    it.step("low", it["high"] - it["fall"], "high - fall")
    it.told("angle", slopes.angle_of(it["slope"]), "the angle whose tangent is the slope")
    it.step("along", slopes.along(it["distance"], it["fall"]), "sqrt(distance ** 2 + fall ** 2)")
    if it["slope"] < 0.02:
        it.note("Below 2%: too flat for a paved surface by the trade association's guide, which wants 2% at least.")
    if it["slope"] < 0.05:
        it.note("The model code wants 6 in of fall in the first 10 ft from a house (5%); paving within 10 ft 2%.")


def _slope(it: Working) -> None:
    it.step("slope", slopes.slope_of(it["fall"], it["distance"]), "fall / distance")
    it.told("angle", slopes.angle_of(it["slope"]), "the angle whose tangent is the slope")
    it.step("along", slopes.along(it["distance"], it["fall"]), "sqrt(distance ** 2 + fall ** 2)")
    it.step("ratio", it["distance"] / it["fall"], "distance / fall")


def _steps(it: Working) -> None:
    limits = steps.StepLimits(riser_most=it["riser_most"], tread_least=it["tread_least"], stride=it["pace"])
    flight = steps.flight_for(it["drop"], limits)
    if flight is None:
        raise OutsideValidity(
            "The drop is less than 4 in: a slope does it, a single low step is tripped over.", field="drop"
        )
    it.told(
        "risers", flight.risers, "as many as bring the riser nearest to 5 to 7 in, and never above the highest allowed"
    )
    it.step("riser", flight.riser, "drop / risers")
    it.step("tread", flight.tread, "max(pace - 2 * riser, tread_least)")
    it.step("going", flight.going, "(risers - 1) * tread")
    it.step("stride", 2 * flight.riser + flight.tread, "2 * riser + tread")
    if flight.risers >= HANDRAIL_RISERS:
        it.note("Four risers and more: the model code wants a handrail.")
    if it["drop"] > GUARD_DROP:
        it.note("More than 30 in from the walking surface to the ground within 36 in: the model code wants a guard.")
    if it["drop"] > LANDING_RISE:
        raise OutsideValidity(
            "One flight climbs 151 in at most by the model code: put a landing between two flights.", field="drop"
        )


_ANGLE = Output(name="angle", label="Angle", quantity=ANGLE)
_ALONG = Output(name="along", label="Length along the slope", quantity=LENGTH_FT)
_CODE = (
    "International Residential Code R401.3 (5% for 10 ft from the house, 2% for paving); trade "
    "association guide for pavers."
)

CALCULATIONS = (
    Calculation(
        key="fall",
        title="Fall over a distance",
        trade=TRADE,
        words="How much lower the far end lies, from the slope.",
        inputs=(
            Input(name="distance", label="Level distance", quantity=LENGTH_FT, default=12.0, most=5280.0),
            Input(name="slope", label="Slope", quantity=SLOPE, default=0.02, most=2.0),
            Input(
                name="high", label="Level of the high end", quantity=LENGTH_FT, default=0.0, least=-1000.0, most=1000.0
            ),
        ),
        outputs=(
            Output(name="fall", label="Fall", quantity=LENGTH_FT, main=True),
            Output(name="low", label="Level of the low end", quantity=LENGTH_FT, main=True),
            _ANGLE,
            _ALONG,
        ),
        work=_fall,
        validity="Slopes up to 200%.",
        source="Geometry. " + _CODE,
        cautions=(_LEVELS,),
        sets_fall="slope",
        search="grade pitch drainage patio",
    ),
    Calculation(
        key="slope",
        title="Slope from rise and run",
        trade=TRADE,
        words="Percent, inches per foot, ratio and angle of what was measured.",
        inputs=(
            Input(name="fall", label="Rise or fall", quantity=LENGTH_FT, default=0.5, least=1 / 192, most=500.0),
            Input(name="distance", label="Level distance", quantity=LENGTH_FT, default=10.0, least=1 / 12, most=5280.0),
        ),
        outputs=(
            Output(name="slope", label="Slope", quantity=SLOPE, main=True),
            Output(name="ratio", label="One in", main=True),
            _ANGLE,
            _ALONG,
        ),
        work=_slope,
        validity="Any rise over a level distance; the tape along the slope is longer than the run.",
        source="Geometry. " + _CODE,
        cautions=(_LEVELS,),
        sets_fall="slope",
        search="grade pitch percent degrees",
    ),
    Calculation(
        key="steps",
        title="Steps between two levels",
        trade=TRADE,
        words="Risers all alike, treads that fit a stride, how far the flight reaches out.",
        inputs=(
            Input(name="drop", label="Drop", quantity=LENGTH_FT, default=2.0, least=1 / 12, most=30.0),
            Input(
                name="riser_most",
                label="Highest riser allowed",
                quantity=THICKNESS,
                default=7.75 / 12,
                least=5 / 12,
                most=8.25 / 12,
            ),
            Input(
                name="tread_least",
                label="Shortest tread allowed",
                quantity=THICKNESS,
                default=10 / 12,
                least=9 / 12,
                most=2.0,
            ),
            Input(
                name="pace",
                label="Two risers and a tread together",
                quantity=THICKNESS,
                default=26 / 12,
                least=24 / 12,
                most=27 / 12,
            ),
        ),
        outputs=(
            Output(name="risers", label="Risers", quantity=COUNT, main=True),
            Output(name="riser", label="Riser", quantity=THICKNESS, main=True),
            Output(name="tread", label="Tread", quantity=THICKNESS, main=True),
            Output(name="going", label="Reaches out", quantity=LENGTH_FT),
            Output(name="stride", label="Two risers and a tread", quantity=THICKNESS),
        ),
        work=_steps,
        validity="Drops of 4 in to 12 ft 7 in in one flight.",
        source=(
            "International Residential Code R311.7 and R312.1; 2 R + T = 26 in and risers of 5 to "
            "7 in: common practice, no source."
        ),
        differs="Other rules of comfort (common practice, no source): riser + tread 17 to 17 1/2 in, or "
        "riser × tread 70 to 75 sq in. For a riser of 6 in they give treads of 11 to 11 1/2 in "
        "and 11 5/8 to 12 1/2 in.",
        cautions=("An odd riser makes people fall: all within 3/8 in of one another (model code).", _LEVELS),
        stops="Handrails, guards and landings: the local edition of the code.",
        targets=(Target(assembly="steps-at-edge", parameters={"riser": "riser", "tread": "tread"}),),
        search="stairs riser tread flight",
    ),
)
