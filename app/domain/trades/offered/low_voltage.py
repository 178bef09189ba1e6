"""12 V lighting: a run, a branching circuit, a transformer."""

from app.domain.trades import lighting
from app.domain.trades.calculation import Calculation, Column, Input, Output, Target, Working
from app.domain.trades.quantity import (
    AMPERES,
    COUNT,
    LENGTH_FT,
    NUMBER,
    SHARE,
    TEMPERATURE,
    TEXT,
    THICKNESS,
    VOLT_AMPERES,
    VOLTS,
    VOLUME_CY,
    WATTS,
    Quantity,
)

TRADE = "Lighting"
_SHOCK = "The transformer's line side, its outlet and all line voltage: a licensed electrician."
_NEAR = "10 ft from a pool, spa or fountain unless the listing allows less. Call before digging, also for 6 in."
_GAUGES = tuple((one, f"{one} gauge, stranded copper") for one in lighting.STRANDED)
_OHMS = Quantity(key="ohms", words="a resistance", unit="ohm/1,000 ft", metric="ohm/km", metric_size=0.3048, places=3)
_OHM_SOURCE = (
    "Resistance: NFPA 70 chapter 9 table 8, stranded, with its note 2 for temperature (secondary source; 18 "
    "gauge from memory). "
    "Both conductors count: 2 × length × current × resistance."
)
_SOURCE_VOLTS = Input(name="source", label="Tap of the transformer", quantity=VOLTS, default=12.0, least=5.0, most=30.0)
_WARM = Input(name="warm", label="Cable is warm", quantity=TEMPERATURE, default=77.0, least=-40.0, most=190.0)
_LEAST = Input(
    name="least",
    label="Least voltage at a light",
    quantity=VOLTS,
    default=10.8,
    least=1.0,
    most=30.0,
    hint="10% below 12 V: practice",
)


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


def _run(it: Working) -> None:
    ohms = it.told(
        "ohms",
        lighting.resistance(it["gauge"], _celsius(it["warm"])),
        f"{it['gauge']} gauge at that temperature, one conductor",
    )
    amperes = it.step("amperes", it["load"] / it["source"], "load / source")
    spread = it["stands"] == "spread"
    lost = lighting.voltage_lost(it["length"], amperes, ohms, spread=spread)
    it.step("lost", lost, "length * amperes * ohms / 1000" if spread else "2 * length * amperes * ohms / 1000")
    it.step("volts", it["source"] - lost, "source - lost")
    it.step("share", lost / it["source"], "lost / source")
    if it["source"] - lost < it["source"] / 2:
        it.note("More than half is lost: such a run does not work.")
    allowed = max(it["source"] - it["least"], 0.0)
    longest = lighting.longest_run(allowed, amperes, ohms) * (2 if spread else 1)
    it.step("longest", longest, f"max(source - least, 0) * 1000 / ({1 if spread else 2} * amperes * ohms)")


def _tree(it: Working) -> None:
    pieces = [
        lighting.Piece(
            name=name, start=start, length=length, gauge=gauge, watts=watts, steady=kind == "led", power_factor=factor
        )
        for name, start, length, gauge, watts, kind, factor in it["pieces"]
    ]
    found = lighting.voltages(pieces, it["source"], _celsius(it["warm"]))
    lights = [(piece, at) for piece, at in zip(pieces, found, strict=True) if piece.watts]
    lowest = min((at.volts for _, at in lights), default=it["source"])
    it.told("lowest", lowest, "each piece loses 2 × length × current × resistance; current and voltage found together")
    it.step("share", (it["source"] - lowest) / it["source"], "(source - lowest) / source")
    first = sum(at.amperes for piece, at in zip(pieces, found, strict=True) if piece.start == "source")
    it.told("amperes", first, "what leaves the transformer")
    it.step("load", it["amperes"] * it["source"], "amperes * source")
    it.told("cable", sum(piece.length for piece in pieces), "the pieces together")
    rows = [
        (one.name + _said(piece, one.volts, it["least"]), one.volts, one.amperes)
        for piece, one in zip(pieces, found, strict=True)
    ]
    it.table("At each light", (("Where", None), ("Volts", VOLTS), ("Through its cable", AMPERES)), rows)
    if it["amperes"] > lighting.SECONDARY_AMPERES:
        it.note("More than 25 A on one secondary: split it (NFPA 70 article 411).")


def _said(piece: lighting.Piece, volts: float, least: float) -> str:
    return ", too low" if piece.watts and volts < least else ""


def _transformer(it: Working) -> None:
    it.step("va_each", it["watts"] / it["power_factor"], "watts / power_factor")
    load = it.step("load", it["lights"] * it["va_each"], "lights * va_each")
    size = lighting.transformer_for(load, [row[0] for row in it["sizes"]], it["share"])
    it.told("size", size, "the smallest that is loaded to no more than that share")
    it.step("used", load / size, "load / size")
    it.step("secondaries", lighting.secondaries(load, it["source"]), "ceil(load / (source * 25))")


_PIECES = (
    ("hub", "source", 40.0, "10", 0.0, "led", 1.0),
    ("path 1", "hub", 10.0, "12", 4.0, "led", 0.75),
    ("path 2", "path 1", 12.0, "12", 4.0, "led", 0.75),
    ("tree", "hub", 35.0, "12", 9.0, "led", 0.75),
)
_SHARE_LOST = Output(name="share", label="Lost", quantity=SHARE, main=True)

_PLACES = (
    ("yard", "Yard or bed"),
    ("slab", "Trench under 2 in of concrete"),
    ("thick slab", "Under a slab of 4 in and more, nobody drives on it"),
    ("home drive", "Drive or parking of a one- or two-family house"),
    ("drive", "Street, any other drive or parking"),
    ("building", "Under a building, in a raceway"),
)
_BURIED = (
    ("low voltage", "Lighting or irrigation, 30 V at most"),
    ("protected branch", "Home branch, 120 V and 20 A at most, ground-fault protected"),
    ("plastic conduit", "Plastic conduit"),
    ("metal conduit", "Rigid metal conduit"),
    ("direct burial", "Cable laid in the ground"),
)


def _cover(it: Working) -> None:
    cover = it.told("cover", lighting.cover_of(it["place"], it["line"]) / 12, "table 300.5, by place and line")
    it.step("trench", cover + it["outside"] + it["bedding"], "cover + outside + bedding")
    it.step("dug", it["trench"] * it["wide"] * it["length"], "trench * wide * length")


CALCULATIONS = (
    Calculation(
        key="voltage-drop",
        title="Voltage on a run",
        trade=TRADE,
        words="What arrives at the end of a two-wire run, and how long it may be.",
        inputs=(
            Input(name="load", label="Load", quantity=VOLT_AMPERES, default=60.0, least=0.1, most=2000.0),
            Input(name="length", label="Length of cable", quantity=LENGTH_FT, default=80.0, least=0.1, most=2000.0),
            Input(name="gauge", label="Cable", default="12", choices=_GAUGES),
            Input(
                name="stands",
                label="The load stands",
                default="end",
                choices=(("end", "At the end"), ("spread", "Spread evenly along it")),
            ),
            _SOURCE_VOLTS,
            _WARM,
            _LEAST,
        ),
        outputs=(
            Output(name="ohms", label="Resistance", quantity=_OHMS),
            Output(name="amperes", label="Current", quantity=AMPERES),
            Output(name="lost", label="Volts lost", quantity=VOLTS, main=True),
            Output(name="volts", label="At the end", quantity=VOLTS, main=True),
            _SHARE_LOST,
            Output(name="longest", label="Longest run for the least voltage", quantity=LENGTH_FT),
        ),
        work=_run,
        validity="Two-wire copper, 8 to 18 gauge, the current taken at the tap's voltage.",
        source=_OHM_SOURCE,
        differs="Cable constants of the trade (11,920 printed for 10 gauge: 12 V × 1,000 over the ohms of "
        "one conductor) tell half of what a load at the end loses: 1.68 V in place of 3.33 V for "
        "100 W after 200 ft of 10 gauge at 68 °F. They hold for a load spread along the run. At "
        "167 °F, as the code's table prints it, copper loses 22 % more than at 68 °F.",
        cautions=(_NEAR,),
        stops=_SHOCK,
        targets=(Target(assembly="path-light", parameters={"cable_each": "length"}, new=True),),
        search="volts cable wire low voltage 12",
    ),
    Calculation(
        key="light-circuit",
        title="Lights on a branching circuit",
        trade=TRADE,
        words="The voltage at each light of a tree of cables, LED or filament.",
        inputs=(
            Input(
                name="pieces",
                label="Pieces of cable",
                default=_PIECES,
                columns=(
                    Column(name="name", label="Light or branch", quantity=TEXT),
                    Column(name="start", label="Fed from (source, or another)", quantity=TEXT),
                    Column(name="length", label="Cable to it", quantity=LENGTH_FT),
                    Column(name="gauge", label="Gauge", quantity=TEXT, default="12", choices=tuple(lighting.STRANDED)),
                    Column(name="watts", label="Watts", quantity=WATTS, default=0.0),
                    Column(name="kind", label="Kind", quantity=TEXT, default="led", choices=("led", "filament")),
                    Column(name="factor", label="Power factor", quantity=NUMBER, default=1.0),
                ),
            ),
            _SOURCE_VOLTS,
            _WARM,
            _LEAST,
        ),
        outputs=(
            Output(name="lowest", label="Lowest at a light", quantity=VOLTS, main=True),
            _SHARE_LOST,
            Output(name="amperes", label="From the transformer", quantity=AMPERES, main=True),
            Output(name="load", label="Load with what the cable takes", quantity=VOLT_AMPERES, main=True),
            Output(name="cable", label="Cable in all", quantity=LENGTH_FT),
        ),
        work=_tree,
        validity="A tree of two-wire copper, up to 300 pieces, no light below half of the tap.",
        source=_OHM_SOURCE
        + " LED lights take the same power at any voltage, filaments fall with it. Article 411: secondary source.",
        differs="With each lamp's current taken at 12 V throughout, LED lamps are told more than arrives: "
        "four of 20 W 50 to 125 ft out on 10 gauge (75 °C) 10.55 V at the last, here 10.36 V. "
        "Cable constants printed on packages tell half of what an end load loses.",
        cautions=(_NEAR,),
        stops=_SHOCK,
        search="volts cable led lamp tree low voltage 12",
    ),
    Calculation(
        key="line-cover",
        title="Cover over a buried line",
        trade=TRADE,
        words="How deep a trench goes for a cable or conduit, by where it lies.",
        inputs=(
            Input(name="place", label="Where", default="yard", choices=_PLACES),
            Input(name="line", label="What", default="plastic conduit", choices=_BURIED),
            Input(name="outside", label="Outside of cable or conduit", quantity=THICKNESS, default=1 / 12, most=1.0),
            Input(name="bedding", label="Bedding below it", quantity=THICKNESS, default=0.0, most=1.0),
            Input(name="wide", label="Trench, width", quantity=THICKNESS, default=0.5, least=1 / 12, most=4.0),
            Input(name="length", label="Trench, length", quantity=LENGTH_FT, default=60.0, most=5280.0),
        ),
        outputs=(
            Output(name="cover", label="Least cover", quantity=THICKNESS, main=True),
            Output(name="trench", label="Trench, deep", quantity=THICKNESS, main=True),
            Output(name="dug", label="Dug, in the ground", quantity=VOLUME_CY, main=True),
        ),
        work=_cover,
        validity="Up to 1,000 V by the table of the National Electrical Code; the adopted edition and the town "
        "may ask more.",
        source="NFPA 70 table 300.5 (secondary source; slabs of 4 in and drives of houses from memory): top of the "
        "line to the finished ground. Listed low-voltage systems may say less.",
        cautions=("Before digging: have public and private lines located, also for 6 in.",),
        stops="Line voltage, its conduit and its depth: the licensed electrician and the inspector.",
        targets=(
            Target(
                assembly="conduit-run",
                parameters={"depth": "cover"},
                new=True,
                sizes={"length": "length"},
                run_kind="conduit",
            ),
        ),
        search="burial depth trench conduit electric",
    ),
    Calculation(
        key="transformer",
        title="Transformer",
        trade=TRADE,
        words="The size for a number of lights, and how many secondary circuits.",
        inputs=(
            Input(name="lights", label="Lights", quantity=COUNT, default=12.0, least=1.0, most=300.0),
            Input(name="watts", label="Watts each", quantity=WATTS, default=5.0, least=0.1, most=500.0),
            Input(
                name="power_factor",
                label="Power factor",
                default=0.75,
                least=0.3,
                most=1.0,
                hint="a 4 W LED commonly takes 5.5 VA",
            ),
            Input(name="share", label="Loaded to at most", quantity=SHARE, default=0.80, least=0.5, most=1.0),
            _SOURCE_VOLTS,
            Input(
                name="sizes",
                label="Sizes there are",
                default=((75.0,), (150.0,), (300.0,), (600.0,), (900.0,)),
                columns=(Column(name="size", label="Size", quantity=VOLT_AMPERES),),
            ),
        ),
        outputs=(
            Output(name="va_each", label="VA of a light", quantity=VOLT_AMPERES),
            Output(name="load", label="Load", quantity=VOLT_AMPERES, main=True),
            Output(name="size", label="Transformer", quantity=VOLT_AMPERES, main=True),
            Output(name="used", label="Loaded to", quantity=SHARE, main=True),
            Output(name="secondaries", label="Secondary circuits of 25 A", quantity=COUNT),
        ),
        work=_transformer,
        validity="Supplies of 5 to 30 V; sizes as typed.",
        source="80% at most: common practice, no source. 25 A a secondary: NFPA 70 article 411, secondary source.",
        differs="Another practice adds 25 % for the cables and loads to 90 %: 11 % larger than 80 % of "
        "the bare load. Watts added in place of volt-amperes tell LED lamps a quarter too little "
        "(a lamp of 4 W is about 5.5 VA).",
        cautions=(_NEAR,),
        stops=_SHOCK,
        targets=(
            Target(
                assembly="light-transformer",
                parameters={"lights": "lights", "va_each": "va_each", "size": "size"},
                new=True,
            ),
        ),
        search="va watts power supply low voltage 12",
    ),
)
