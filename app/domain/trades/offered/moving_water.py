"""Water features without an open pond: spillway, pipe, head, pump, basin, make-up, what it costs to run."""

from app.domain.trades import water
from app.domain.trades.calculation import Calculation, Column, Input, Output, Target, Working
from app.domain.trades.quantity import (
    AREA_SF,
    EACH_KWH,
    ENERGY,
    FLOW,
    FLOW_HOUR,
    HEAD,
    HOURS,
    INCHES,
    LENGTH_FT,
    LOSS_RATE,
    MINUTES,
    MONEY,
    PRESSURE,
    SHARE,
    SPEED,
    THICKNESS,
    VOLUME_CF,
    WATER,
    WATER_A_DAY,
    WATTS,
    WEIR_RATE,
)

TRADE = "Moving water"
_POWER = "Water and electricity: pump, light and outlet on ground-fault protection, by a licensed electrician."
_FREEZE = "Freeze: drain it or take the pump out; keep an overflow, and a way to reach the pump."
_ELECTRICIAN = "Wiring, bonding and lights at water: the licensed electrician and the local code."
_SIZE = Input(
    name="size",
    label="Pipe, Schedule 40 plastic",
    default="2",
    choices=tuple((one, f"{one} in") for one in water.SCHEDULE_40),
)
_FLOW = Input(name="flow", label="Flow", quantity=FLOW, default=40.0, least=0.1, most=2000.0)
SMOOTH_FROM, SAID_FROM = 140.0, 0.03  # C of pipe as smooth as new plastic; the share from which a difference is said
_HW = (
    "Hazen-Williams, C 150, as a PVC pipe engineering data sheet prints it; inside diameters: ASTM D1785 (from memory)."
)
_FITTED = (
    Input(name="ell90", label="90° ells", default=3.0, most=100.0),
    Input(name="ell45", label="45° ells", default=0.0, most=100.0),
    Input(name="tee_run", label="Tees run through", default=0.0, most=100.0),
    Input(name="tee_branch", label="Tees turned in", default=0.0, most=100.0),
)


def _spillway(it: Working) -> None:
    rate = it.told("rate", water.BY_LOOK[it["look"]][1], water.BY_LOOK[it["look"]][0])
    flow = it.step("flow", water.spillway_flow(it["width"], rate), "width * 12 * rate / 60")
    it.step("by_hour", flow * 60, "flow * 60")
    weir = water.weir_flow(it["width"], it["depth"])
    it.step("weir", weir, "3.33 * width * (depth / 12) ** 1.5 * 448.8311688")
    it.note(
        "The two differ by up to twice: a rule of thumb for the look, and a sharp edge of that depth. Try it "
        "with a hose."
    )


def _friction(it: Working) -> None:
    inside = it.told("inside", water.SCHEDULE_40[it["size"]], f"{it['size']} in, Schedule 40")
    speed = it.step("speed", water.velocity(it["flow"], inside), "0.4085 * flow / inside ** 2")
    rate = water.friction_rate(it["flow"], inside, it["roughness"])
    it.step("rate", rate, "0.2083 * (100 / roughness) ** 1.852 * flow ** 1.852 / inside ** 4.8655")
    counts = {kind: it[kind] for kind in water.FITTINGS}
    it.told(
        "fittings",
        water.equivalent_length(it["size"], counts),
        "feet of pipe that each fitting counts as, by the table",
    )
    lost = it.step("lost", rate * (it["length"] + it["fittings"]) / 100, "rate * (length + fittings) / 100")
    total = it.step("total", it["lift"] + lost, "lift + lost")
    it.step("pressure", total / water.FEET_OF_WATER_A_PSI, "total / 2.31")
    _beside_darcy(it, rate)
    if speed > water.FASTEST:
        it.note("Faster than 5 ft/s: noise, wear and water hammer. Take the next larger pipe.")


def _beside_darcy(it: Working, rate: float) -> None:
    """Say what Darcy-Weisbach gives for the same smooth pipe, where it gives clearly something else."""
    if it["roughness"] < SMOOTH_FROM or it["flow"] < water.least_turbulent(it["inside"]):
        return
    other = water.darcy_rate(it["flow"], it["inside"])
    if abs(other / rate - 1) >= SAID_FROM:
        more = f"{abs(other / rate - 1) * 100:.0f} % {'more' if other > rate else 'less'}"
        it.note(f"By Darcy-Weisbach with Colebrook's factor this pipe loses {other:.2f} ft in 100 ft, {more}.")


def _pump(it: Working) -> None:
    curve = [(flow, head) for flow, head in it["curve"]]
    flow, _ = water.operating_point(curve, it["lift"], at=it["at"], friction=it["friction"])
    it.told("flow", flow, "where the pump's curve, straight between its points, meets what the pipe asks for")
    it.step("head", it["lift"] + it["friction"] * (flow / it["at"]) ** 1.852, "lift + friction * (flow / at) ** 1.852")
    it.step("by_hour", flow * 60, "flow * 60")
    it.step("by_inch", flow * 60 / (it["width"] * 12), "flow * 60 / (width * 12)")


def _basin(it: Working) -> None:
    held = water.basin_water(it["long"], it["wide"], it["deep"], it["porosity"])
    it.step("held", held, "long * wide * deep * porosity")
    motion = it.step(
        "motion", it["stream_wide"] * it["stream_long"] * it["stream_deep"], "stream_wide * stream_long * stream_deep"
    )
    it.step(
        "pipes",
        3.141592653589793 * (it["pipe"] / 12) ** 2 / 4 * it["pipe_long"],
        "pi * (pipe / 12) ** 2 / 4 * pipe_long",
    )
    back = it.step("back", motion + it["pipes"], "motion + pipes")
    it.step("by_depth", it["long"] * it["wide"] * it["porosity"] / 12, "long * wide * porosity / 12")
    it.step("drop", back / it["by_depth"], "back / by_depth")
    it.step("use", back / held, "back / held")
    it.step("stone", it["long"] * it["wide"] * it["deep"], "long * wide * deep")
    it.step("filled", held / it["flow"] * 7.48051948, "held / flow * 7.48051948")
    if it["use"] > 0.5:
        it.note("More than half of the basin is in motion: the pump could run dry. Make it larger.")


def _make_up(it: Working) -> None:
    weekly, low, high = water.make_up(it["surface"], it["flow"])
    it.step("weekly", weekly, "surface / 12 * 7.48051948 / 7")
    it.step("sheltered", low, "0.005 * flow")
    it.step("exposed", high, "0.01 * flow")
    it.step("least", min(weekly, low), "min(weekly, sheltered)")
    it.step("most", max(weekly, high), "max(weekly, exposed)")
    it.note("Three rules that do not agree: tell the client the range. Splash and leaks come on top.")


def _running(it: Working) -> None:
    energy = water.yearly_energy(it["watts"], it["hours"], it["days"])
    it.step("energy", energy, "watts * hours * days / 1000")
    it.step("cost", energy * it["price"], "energy * price")
    it.step("monthly", it["cost"] / 12, "cost / 12")


_INCHES_HELD = Output(name="by_depth", label="An inch of the basin holds", quantity=WATER)
_CURVE = ((0.0, 18.0), (20.0, 15.5), (40.0, 11.0), (60.0, 4.0))

CALCULATIONS = (
    Calculation(
        key="spillway",
        title="Spillway",
        trade=TRADE,
        words="The flow that a sheet of water wants, by how it should look.",
        inputs=(
            Input(name="width", label="Width of the sheet", quantity=LENGTH_FT, default=2.0, least=0.1, most=50.0),
            Input(
                name="look",
                label="It should look",
                default="full",
                choices=tuple((key, words) for key, (words, _) in water.BY_LOOK.items()),
            ),
            Input(name="depth", label="Water on the edge", quantity=INCHES, default=0.5, least=0.2, most=6.0),
        ),
        outputs=(
            Output(name="rate", label="By width", quantity=WEIR_RATE),
            Output(name="flow", label="Flow for that look", quantity=FLOW, main=True),
            Output(name="by_hour", label="By the hour", quantity=FLOW_HOUR, main=True),
            Output(name="weir", label="A sharp edge at that depth", quantity=FLOW),
        ),
        work=_spillway,
        validity="Level edges to 50 ft wide, water 0.2 to 6 in deep.",
        source="By look: a water garden magazine's technical tip, a rule of thumb. By depth: Q = 3.33 L H^1.5 "
        "(from memory).",
        differs="A sharp edge gives 22, 64 and 180 gal an hour an inch at 1/4, 1/2 and 1 in of water, "
        "where the trade's rule by depth says 50, 100 and 200.",
        cautions=(_POWER, _FREEZE),
        stops=_ELECTRICIAN,
        search="waterfall weir sheet",
    ),
    Calculation(
        key="friction",
        title="Friction and head",
        trade=TRADE,
        words="What a pump must give: the lift, and what pipe and fittings take.",
        inputs=(
            _FLOW,
            _SIZE,
            Input(name="length", label="Length of pipe", quantity=LENGTH_FT, default=30.0, most=5000.0),
            Input(name="lift", label="Lift, water to outlet", quantity=HEAD, default=4.0, most=200.0),
            *_FITTED,
            Input(
                name="roughness",
                label="Roughness C",
                default=150.0,
                least=80.0,
                most=155.0,
                hint="150 smooth plastic, 140 flexible tube, 100 old iron",
            ),
        ),
        outputs=(
            Output(name="inside", label="Inside diameter", quantity=INCHES),
            Output(name="speed", label="Speed", quantity=SPEED, main=True),
            Output(name="rate", label="Lost in the pipe", quantity=LOSS_RATE),
            Output(name="fittings", label="Fittings count as", quantity=LENGTH_FT),
            Output(name="lost", label="Lost in all", quantity=HEAD, main=True),
            Output(name="total", label="Head at the pump", quantity=HEAD, main=True),
            Output(name="pressure", label="The same as", quantity=PRESSURE),
        ),
        work=_friction,
        validity="Full pipes of cold water, speeds to 10 ft/s, C 80 to 155.",
        source=_HW + " Fittings: the same sheet.",
        differs="Darcy-Weisbach with Colebrook's factor gives more in small or slow pipes: at 2 to 5 ft/s up to 20 % "
        "more in 1/2 in, 14 % in 1 in, 8 % in 2 in, within 5 % from 3 in on. Measured here with the open library "
        "fluids, water at 60 °F in new smooth plastic. The answer says its own amount.",
        cautions=(_POWER, _FREEZE),
        stops=_ELECTRICIAN,
        search="pump pipe velocity hazen williams tdh",
    ),
    Calculation(
        key="pump",
        title="Pump on its curve",
        trade=TRADE,
        words="The flow that a pump really gives on this pipe, from points of its curve.",
        inputs=(
            Input(
                name="curve",
                label="Points of the curve",
                default=_CURVE,
                columns=(
                    Column(name="flow", label="Flow", quantity=FLOW),
                    Column(name="head", label="Head", quantity=HEAD),
                ),
            ),
            Input(name="lift", label="Lift", quantity=HEAD, default=4.0, most=200.0),
            Input(name="friction", label="Lost in pipe and fittings", quantity=HEAD, default=1.5, most=200.0),
            Input(name="at", label="… at a flow of", quantity=FLOW, default=40.0, least=0.1, most=2000.0),
            Input(name="width", label="Width of the sheet", quantity=LENGTH_FT, default=2.0, least=0.1, most=50.0),
        ),
        outputs=(
            Output(name="flow", label="Flow", quantity=FLOW, main=True),
            Output(name="head", label="At a head of", quantity=HEAD, main=True),
            Output(name="by_hour", label="By the hour", quantity=FLOW_HOUR, main=True),
            Output(name="by_inch", label="On the sheet", quantity=WEIR_RATE),
        ),
        work=_pump,
        validity="Between the points typed, heads that fall as the flow grows.",
        source="The maker's curve as typed; friction grows as flow to the power 1.852 (Hazen-Williams).",
        differs="By Darcy-Weisbach friction grows a little less steeply; in 2 in pipe the flow moves by about 1 %. "
        "Measured here with the open library fluids.",
        cautions=(_POWER, _FREEZE),
        stops=_ELECTRICIAN,
        search="pump curve flow head",
    ),
    Calculation(
        key="basin",
        title="Hidden basin",
        trade=TRADE,
        words="Water that a basin of stone holds, and what falls back when the pump stops.",
        inputs=(
            Input(name="long", label="Length", quantity=LENGTH_FT, default=8.0, least=1.0, most=40.0),
            Input(name="wide", label="Width", quantity=LENGTH_FT, default=6.0, least=1.0, most=40.0),
            Input(name="deep", label="Depth of water", quantity=LENGTH_FT, default=2.5, least=0.5, most=10.0),
            Input(
                name="porosity",
                label="Porosity: voids in the whole",
                quantity=SHARE,
                default=0.35,
                least=0.25,
                most=0.5,
                hint="untested 35%; clean angular stone 40%, round river stone 30 to 40%",
            ),
            Input(name="stream_wide", label="Stream, width", quantity=LENGTH_FT, default=2.0, most=40.0),
            Input(name="stream_long", label="Stream, length", quantity=LENGTH_FT, default=6.0, most=500.0),
            Input(name="stream_deep", label="Stream, depth of water", quantity=THICKNESS, default=1 / 12, most=2.0),
            Input(name="pipe", label="Pipe, inside", quantity=INCHES, default=2.067, most=12.0),
            Input(name="pipe_long", label="Pipe, length", quantity=LENGTH_FT, default=20.0, most=1000.0),
            Input(name="flow", label="Pump", quantity=FLOW, default=40.0, least=0.1, most=2000.0),
        ),
        outputs=(
            Output(name="held", label="Basin holds", quantity=WATER, main=True),
            Output(name="motion", label="In the stream", quantity=WATER),
            Output(name="pipes", label="In the pipe", quantity=WATER),
            Output(name="back", label="Falls back", quantity=WATER, main=True),
            _INCHES_HELD,
            Output(name="drop", label="Level drops when it runs by", quantity=INCHES, main=True),
            Output(name="use", label="Of the basin in motion", quantity=SHARE, main=True),
            Output(name="stone", label="Stone in it", quantity=VOLUME_CF),
            Output(name="filled", label="Pumped over once in", quantity=MINUTES),
        ),
        work=_basin,
        validity="A box with sides to 40 ft, porosity 25 to 50% of the whole (a void ratio is another number).",
        source="Geometry, 7.48 gal in a cu ft. Porosity: drainage stone sheets and a stormwater guide; river "
        "stone weak.",
        differs="Void ratio is voids over solids, not over all: porosity 40 % is a void ratio of 0.67. "
        "Some manuals write one for the other: a void ratio of 0.40 is 29 % porosity, and typed "
        "here as 40 % it tells 40 % too much water.",
        cautions=(_POWER, _FREEZE, "No water stands above the stone, so that no child can drown in it."),
        stops=_ELECTRICIAN,
        targets=(
            Target(
                assembly="water-feature",
                parameters={
                    "long": "long",
                    "wide": "wide",
                    "deep": "deep",
                    "open_share": "porosity",
                    "falls_back": "back",
                },
                new=True,
            ),
        ),
        search="reservoir pondless fountain vault",
    ),
    Calculation(
        key="make-up",
        title="Make-up water",
        trade=TRADE,
        words="What evaporates in a day, as a range.",
        inputs=(
            Input(name="surface", label="Water surface", quantity=AREA_SF, default=100.0, most=10_000.0),
            Input(name="flow", label="Pump", quantity=FLOW_HOUR, default=2400.0, most=50_000.0),
        ),
        outputs=(
            Output(name="weekly", label="An inch in a week", quantity=WATER_A_DAY),
            Output(name="sheltered", label="Half a percent of the pump, sheltered", quantity=WATER_A_DAY),
            Output(name="exposed", label="One percent of the pump, exposed", quantity=WATER_A_DAY),
            Output(name="least", label="At least about", quantity=WATER_A_DAY, main=True),
            Output(name="most", label="At most about", quantity=WATER_A_DAY, main=True),
        ),
        work=_make_up,
        validity="Summer days; surfaces to 10,000 sq ft.",
        source="Garden center and water feature pages: common practice, they disagree.",
        differs="The evaporation equation of ASHRAE gives 11 gal a day in still air and 34 in wind of 5 "
        "mph from 100 sq ft of water at 75 °F under air with a dew point of 55 °F (vapor "
        "pressures from memory); an inch a week is 8.9.",
        cautions=("An automatic filler needs a backflow preventer.", _POWER),
        search="evaporation refill",
    ),
    Calculation(
        key="running-cost",
        title="Running cost of a pump",
        trade=TRADE,
        words="Energy and money of a year.",
        inputs=(
            Input(name="watts", label="Pump takes", quantity=WATTS, default=250.0, most=20_000.0),
            Input(name="hours", label="Hours a day", quantity=HOURS, default=12.0, most=24.0),
            Input(name="days", label="Days a year", default=200.0, most=366.0),
            Input(name="price", label="Price of power", quantity=EACH_KWH, default=0.17, most=5.0),
        ),
        outputs=(
            Output(name="energy", label="Energy", quantity=ENERGY, main=True),
            Output(name="cost", label="By the year", quantity=MONEY, main=True),
            Output(name="monthly", label="By the month", quantity=MONEY),
        ),
        work=_running,
        validity="A pump that takes the same power all the time.",
        source="Definition; the price of power is an assumption, the client's bill has it.",
        money=True,
        search="electricity energy",
    ),
)
