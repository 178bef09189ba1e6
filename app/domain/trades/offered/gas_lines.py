"""Gas as a budget aid: demand, a cylinder, a pipe by its longest length, vents of an enclosure."""

from app.domain.trades import gas
from app.domain.trades.calculation import Calculation, Column, Input, Output, Target, Working
from app.domain.trades.quantity import (
    GAS_FLOW,
    HEAT,
    HEAT_BY_VOLUME,
    HOURS,
    INCHES,
    LENGTH_FT,
    NUMBER,
    SHARE,
    TEMPERATURE,
    TEXT,
    VENT_AREA,
    WEIGHT_LB,
)
from app.domain.trades.validity import OutsideValidity

TRADE = "Gas"
_FITTER = "A licensed gas fitter designs, builds and tests every gas line: this is for a budget only."
_LEAK = "Gas burns and smothers: a shutoff within reach, no flame while a leak is looked for, air where it can collect."
_CYLINDER = "Cylinders stand upright outdoors, away from doors, openings below and sources of a spark (local code)."
_CONTENT = Input(
    name="content",
    label="Heat content",
    quantity=HEAT_BY_VOLUME,
    default=1000.0,
    least=500.0,
    most=3500.0,
    hint="natural gas about 1,000 (ask the utility), propane 2,488 to 2,516",
)
_OWN_CONTENT = Input(
    name="content",
    label="Heat content",
    quantity=HEAT_BY_VOLUME,
    default=None,
    least=500.0,
    most=3500.0,
    hint="empty: that of the gas chosen, 1,000 for natural gas, 2,488 for propane; the utility says its own",
)
_HEAT_OF = {"natural": 1000.0, "propane": gas.PROPANE_BTU_A_CUBIC_FOOT}  # Btu/cu ft. Natural gas: common practice
_EDITIONS = (
    ("2012, 0.5 in w.c.", "Natural gas, table of NFPA 54-2012, 0.5 in w.c. drop"),
    ("2012, 1.0 in w.c.", "Natural gas, table of NFPA 54-2012, 1.0 in w.c. drop"),
    ("natural", "Natural gas by equation 4-1, 0.5 in w.c."),
    ("propane", "Propane at 11 in w.c. by equation 4-1, 0.5 in w.c."),
)

_FUELS = {  # the gas and the drop [in w.c.] that each goes by
    "2012, 0.5 in w.c.": ("natural", 0.5),
    "2012, 1.0 in w.c.": ("natural", 1.0),
    "natural": ("natural", 0.5),
    "propane": ("propane", 0.5),
}


_NAMED = {"natural": "natural gas", "propane": "propane"}
_NO_NATURAL_GAS = 1600.0  # Btu/cu ft: natural gas has less, propane more. Common practice, no source
_SMALL = 100.0  # lb: the table of draw is of a cylinder that holds as much


def _demand(it: Working) -> None:
    total = it.told("total", sum(heat for _, heat in it["burners"]), "all burners together, all lit")
    it.step("flow", gas.flow_of(total, it["content"]), "total / content")
    rows = [(name, heat, gas.flow_of(heat, it["content"])) for name, heat in it["burners"]]
    it.table("By burner", (("Burner", None), ("Heat", HEAT), ("Gas", GAS_FLOW)), rows)


def _cylinder(it: Working) -> None:
    if it["left"] > it["pounds"]:
        raise OutsideValidity(f"A cylinder that holds {it['pounds']:g} lb has no {it['left']:g} lb left.")
    hours = gas.cylinder_hours(it["pounds"], it["heat"])
    it.step("hours", hours, "pounds * 21548 / heat")
    draw = gas.cylinder_draw(it["left"], it["cold"])
    it.told("draw", draw, "the table of draw, straight between its points")
    it.step("used", it["heat"] / draw, "heat / draw")
    if it["heat"] > draw:
        it.note("It would freeze up before it is empty: a larger cylinder, two together, or less heat.")
    if it["pounds"] < _SMALL:
        it.note(
            f"The table is of a 100 lb cylinder with that much left. One of {it['pounds']:g} lb has less wall to take "
            "heat from the air, so it gives less: count on a larger one where the share asked is not small."
        )


def _pipe(it: Working) -> None:
    edition = it["edition"]
    fuel, drop = _FUELS[edition]
    if it["content"] is None:
        it.values["content"] = _HEAT_OF[fuel]
        it.note(f"A cubic foot of {_NAMED[fuel]} counts as {_HEAT_OF[fuel]:,.0f} Btu: no other was typed.")
    _refuse_other_gas(fuel, it["content"])
    flow = it.step("flow", gas.flow_of(it["heat"], it["content"]), "heat / content")
    it.told("propane", float(fuel == "propane"), "the gas that the table or equation is of")
    if edition in gas.TABLES:
        capacities = [(size, gas.table_capacity(edition, size, it["length"])) for size in gas.TABLES[edition]]
        how = f"table of that edition at the next longer length printed, Schedule 40 ({edition})"
    else:
        capacities = [
            (size, gas.pipe_capacity(inside, it["length"], gas=edition)) for size, inside in gas.INSIDE.items()
        ]
        how = "D = Q^0.381 / (19.17 (dH / (Cr L))^0.206) turned around for each size, Schedule 40"
    size = gas.smallest(capacities, flow)
    it.told("inside", gas.INSIDE[size], f"{size} in is the first that carries it")
    it.told("carries", dict(capacities)[size], how)
    it.step("used", flow / it["carries"], "flow / carries")
    others = {
        name: gas.spitzglass_capacity(gas.INSIDE[name], it["length"], gas=fuel, drop=drop) for name, _ in capacities
    }
    rows = [(f"{name} in{', taken' if name == size else ''}", each, round(others[name])) for name, each in capacities]
    heads = (("Size", None), ("Carries", GAS_FLOW), ("By Spitzglass", GAS_FLOW))
    it.table("By nominal size", heads, rows)
    if others[size] < flow:
        it.note(
            f"By Spitzglass' formula {size} in carries {others[size]:.0f} cu ft/h, less than is asked for: ask the "
            "fitter before the price rests on this size."
        )


def _refuse_other_gas(fuel: str, content: float) -> None:
    """Refuse a heat content that is none of the gas the table is of: the size would come out wrong."""
    if fuel == "natural" and content > _NO_NATURAL_GAS:
        raise OutsideValidity(
            f"Natural gas has no {content:,.0f} Btu in a cubic foot: choose propane, or type what the utility says."
        )
    if fuel == "propane" and content < _NO_NATURAL_GAS:
        raise OutsideValidity(
            f"Propane has more than {content:,.0f} Btu in a cubic foot: leave it empty, or choose natural gas."
        )


def _vents(it: Working) -> None:
    top, floor = gas.vent_areas(it["pounds"])
    it.step("top", top, "pounds")
    it.step("floor", floor, "pounds / 2")
    it.step("top_each", top / 2, "top / 2")


_FLOW = Output(name="flow", label="Gas", quantity=GAS_FLOW, main=True)
_POUNDS = Input(
    name="pounds", label="Propane in a full cylinder", quantity=WEIGHT_LB, default=20.0, least=1.0, most=100.0
)

CALCULATIONS = (
    Calculation(
        key="gas-demand",
        title="Gas demand",
        trade=TRADE,
        words="Heat and gas of all burners together, for the fitter and the utility.",
        inputs=(
            Input(
                name="burners",
                label="Burners",
                default=(("Grill", 60_000.0), ("Side burner", 25_000.0), ("Fire pit", 65_000.0)),
                columns=(
                    Column(name="name", label="What", quantity=TEXT),
                    Column(name="heat", label="Heat", quantity=HEAT),
                ),
            ),
            _CONTENT,
        ),
        outputs=(Output(name="total", label="Heat", quantity=HEAT, main=True), _FLOW),
        work=_demand,
        validity="Nameplate inputs, all lit at once.",
        source="Longest length method of the fuel gas code: Btu/h by the local heat content.",
        cautions=(_LEAK,),
        stops=_FITTER + " A larger meter is the utility's to decide.",
        search="btu grill fire pit heater propane",
    ),
    Calculation(
        key="cylinder",
        title="Propane cylinder",
        trade=TRADE,
        words="How long it burns, and whether it gives that much when it is cold or nearly empty.",
        inputs=(
            _POUNDS,
            Input(name="heat", label="Burners", quantity=HEAT, default=65_000.0, least=100.0, most=2_000_000.0),
            Input(
                name="left",
                label="Propane left when it is judged",
                quantity=WEIGHT_LB,
                default=20.0,
                least=10.0,
                most=100.0,
            ),
            Input(name="cold", label="It is", quantity=TEMPERATURE, default=60.0, least=0.0, most=70.0),
        ),
        outputs=(
            Output(name="hours", label="Burns for", quantity=HOURS, main=True),
            Output(name="draw", label="A 100 lb cylinder gives", quantity=HEAT, main=True),
            Output(name="used", label="Asked, of what it gives", quantity=SHARE, main=True),
        ),
        work=_cylinder,
        validity="10 to 100 lb left, 0 to 70 °F; the draw is of a 100 lb cylinder, smaller ones give less.",
        source="Propane 21,548 Btu a pound: published properties. Draw: a burner maker's table (0 °F column inferred).",
        cautions=(_CYLINDER, _LEAK),
        stops=_FITTER,
        search="tank lp btu hours freeze",
    ),
    Calculation(
        key="gas-pipe",
        title="Gas pipe for a budget",
        trade=TRADE,
        words="The size to put in a budget. Every stretch goes by one length: meter to farthest burner of all.",
        inputs=(
            Input(
                name="heat", label="Heat on this pipe", quantity=HEAT, default=150_000.0, least=100.0, most=5_000_000.0
            ),
            Input(
                name="length",
                label="Longest length, meter to farthest burner",
                quantity=LENGTH_FT,
                hint="of the whole system, for a short branch too",
                default=60.0,
                least=5.0,
                most=200.0,
            ),
            Input(
                name="edition",
                label="Table or equation",
                default="2012, 0.5 in w.c.",
                choices=_EDITIONS,
                table="gas-pipe",
            ),
            _OWN_CONTENT,
        ),
        outputs=(
            _FLOW,
            Output(name="inside", label="Inside diameter", quantity=INCHES, main=True),
            Output(name="carries", label="Such a pipe carries", quantity=GAS_FLOW, main=True),
            Output(name="used", label="Asked, of that", quantity=SHARE),
            Output(name="propane", label="Propane (1), natural gas (0)", quantity=NUMBER),
        ),
        work=_pipe,
        validity="Schedule 40 metallic pipe, inlet below 2 psi, 5 to 200 ft; fittings of a common run are in the "
        "tables.",
        source="ANSI Z223.1/NFPA 54-2012, Schedule 40 (as quoted in an appliance manual); International Fuel Gas "
        "Code equation "
        "4-1 (from memory). Another edition prints other numbers.",
        differs="The code's equation lies within 1.5 % of its 2012 table. Spitzglass' low-pressure formula gives small "
        "pipes less: 22 to 36 % less in 1/2 in, 9 to 26 % less in 1 in, 14 % less to 5 % more in 2 in, by gas and "
        "length (10 to 200 ft). Measured here with the open library fluids; the column beside shows it.",
        cautions=(_LEAK, "Buried gas pipe: 12 in of cover at least, 18 in some codes, tracer wire with plastic."),
        stops=_FITTER,
        targets=(
            Target(
                assembly="gas-run",
                parameters={"longest": "length", "heat": "heat", "inside": "inside", "propane": "propane"},
                new=True,
                sizes={"length": "length"},
                run_kind="gas",
            ),
        ),
        search="pipe size btu natural propane line",
    ),
    Calculation(
        key="enclosure-vents",
        title="Vents of a cylinder enclosure",
        trade=TRADE,
        words="Open area at the top and at the floor of a cabinet that holds a cylinder.",
        inputs=(_POUNDS,),
        outputs=(
            Output(name="top", label="At the top, in all", quantity=VENT_AREA, main=True),
            Output(name="top_each", label="Each of two openings", quantity=VENT_AREA),
            Output(name="floor", label="At the floor", quantity=VENT_AREA, main=True),
        ),
        work=_vents,
        validity="A cabinet closed on four sides, cylinders of 1 to 100 lb.",
        source="Product standard for outdoor gas appliances, as quoted in appliance manuals: 1 sq in a pound at "
        "the top, 1/2 at "
        "the floor. The appliance's own listing goes before it.",
        cautions=(_CYLINDER, "Propane is heavier than air and lies at the floor: an open way out there."),
        stops=_FITTER,
        search="kitchen grill cabinet ventilation",
    ),
)
