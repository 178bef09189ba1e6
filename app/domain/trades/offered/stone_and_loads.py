"""Stone, sand, soil and mulch: a layer, a base with its bedding, truck loads."""

from app.domain.trades import stone
from app.domain.trades.calculation import Calculation, Input, Output, Target, Working
from app.domain.trades.quantity import (
    AREA_SF,
    COUNT,
    DENSITY,
    LENGTH_FT,
    SHARE,
    THICKNESS,
    VOLUME_CF,
    VOLUME_CY,
    WEIGHT_TONS,
)

TRADE = "Stone, soil and loads"
_MATERIALS = tuple((key, words) for key, (words, _) in stone.DENSITIES.items())
_TICKETS = "The weight by volume is a handbook figure; the supplier's tickets replace it."
_LOSS = Input(name="loss", label="Loss and uneven ground", quantity=SHARE, default=0.08, most=1.0)
_LOAD = Input(name="load", label="A truck carries", quantity=WEIGHT_TONS, default=32000.0, least=200.0, most=100_000.0)
_WEIGHT_SOURCE = (
    "Geometry; weights: CalRecycle, Weights and Volumes for Project Estimates; "
    "compacted base: common practice, no source."
)


def _layer(it: Working) -> None:
    it.values["density"] = stone.DENSITIES[it["material"]][1]
    volume = it.step("volume", stone.layer_volume(it["area"], it["depth"]), "area * depth")
    it.step("in_yards", volume, "volume")
    it.told("density_used", it["density"], stone.DENSITIES[it["material"]][0])
    weight = it.step(
        "weight", stone.weight_bought(volume, it["density"], it["loss"]), "volume * density_used * (1 + loss)"
    )
    it.step("trips", stone.loads(weight, it["load"]), "ceil(weight / load)")


def _base(it: Working) -> None:
    footprint = it.step("footprint", stone.base_footprint(it["area"], it["edge"], it["beyond"]), "area + edge * beyond")
    base = it.step("base_volume", stone.layer_volume(footprint, it["base"]), "footprint * base")
    tons = stone.weight_bought(base, it["base_density"], it["loss"])
    it.step("base_weight", tons, "base_volume * base_density * (1 + loss)")
    sand = it.step("bedding_volume", stone.layer_volume(it["area"], it["bedding"]), "area * bedding")
    tons = stone.weight_bought(sand, it["bedding_density"], it["loss"])
    it.step("bedding_weight", tons, "bedding_volume * bedding_density * (1 + loss)")
    deep = it.step("excavation", it["base"] + it["bedding"] + it["unit"], "base + bedding + unit")
    it.step("dug", stone.layer_volume(footprint, deep), "footprint * excavation")


def _loads(it: Working) -> None:
    loose = it.step("loose", stone.loosened(it["bank"], it["swell"]), "bank * (1 + swell)")
    weight = it.step("weight", it["bank"] * it["density"], "bank * density")
    by_box = it.step("by_box", stone.loads(loose, it["box"]), "ceil(loose / box)")
    by_payload = it.step("by_payload", stone.loads(weight, it["payload"]), "ceil(weight / payload)")
    it.step("trips", max(by_box, by_payload), "max(by_box, by_payload)")


CALCULATIONS = (
    Calculation(
        key="volume",
        title="Volume and tons",
        trade=TRADE,
        words="A layer of stone, sand, soil or mulch: how much, how heavy, how many trucks.",
        inputs=(
            Input(name="area", label="Area", quantity=AREA_SF, default=200.0),
            Input(name="depth", label="Depth in place", quantity=THICKNESS, default=4 / 12, most=20.0),
            Input(name="material", label="Of what", default="base", choices=_MATERIALS),
            _LOSS,
            _LOAD,
        ),
        outputs=(
            Output(name="volume", label="In place", quantity=VOLUME_CF),
            Output(name="in_yards", label="In place, in yards", quantity=VOLUME_CY, main=True),
            Output(name="density_used", label="Weight by volume", quantity=DENSITY),
            Output(name="weight", label="To buy", quantity=WEIGHT_TONS, main=True),
            Output(name="trips", label="Loads", quantity=COUNT, main=True),
        ),
        work=_layer,
        validity="Layers up to 20 ft deep; the weight is of what lies in place.",
        source=_WEIGHT_SOURCE,
        assumes=(_TICKETS, "Loosening fills a truck's box and never adds weight."),
        cautions=("A loaded truck near an edge, a wall or a septic field can break in: keep it off.",),
        search="gravel mulch topsoil stone sand yards",
    ),
    Calculation(
        key="base",
        title="Base and bedding",
        trade=TRADE,
        words="Under pavers or slabs: compacted base beyond the open edge, bedding, what is dug out.",
        inputs=(
            Input(name="area", label="Paved area", quantity=AREA_SF, default=200.0),
            Input(name="edge", label="Open edge", quantity=LENGTH_FT, default=40.0),
            Input(name="base", label="Base, compacted", quantity=THICKNESS, default=0.5, least=4 / 12, most=1.5),
            Input(name="bedding", label="Bedding", quantity=THICKNESS, default=1 / 12, most=3 / 12),
            Input(name="unit", label="Paver or slab", quantity=THICKNESS, default=2.375 / 12, most=1.0),
            Input(name="beyond", label="Base beyond the edge", quantity=THICKNESS, default=0.5, most=3.0),
            Input(name="base_density", label="Base weighs", quantity=DENSITY, default=140.0, least=5.0, most=200.0),
            Input(
                name="bedding_density", label="Bedding weighs", quantity=DENSITY, default=100.0, least=5.0, most=200.0
            ),
            _LOSS,
        ),
        outputs=(
            Output(name="footprint", label="Base area", quantity=AREA_SF),
            Output(name="base_volume", label="Base in place", quantity=VOLUME_CY),
            Output(name="base_weight", label="Base to buy", quantity=WEIGHT_TONS, main=True),
            Output(name="bedding_volume", label="Bedding in place", quantity=VOLUME_CY),
            Output(name="bedding_weight", label="Bedding to buy", quantity=WEIGHT_TONS, main=True),
            Output(name="excavation", label="To dig below the finish", quantity=THICKNESS, main=True),
            Output(name="dug", label="Dug out, in the ground", quantity=VOLUME_CY),
        ),
        work=_base,
        validity="Base 4 to 18 in compacted, bedding up to 3 in, on ground that carries.",
        source=(
            "Trade association guide for interlocking concrete pavements: 4 in at least for "
            "patios and walks, 6 in for "
            "drives, bedding 1 in nominal. Weights: common practice, no source."
        ),
        assumes=(_TICKETS, "Base in lifts the plate can compact, 4 in commonly."),
        differs="Another practice takes a ton to 200 sq ft an inch thick and a quarter more: 10 × 15 ft "
        "of 6 in come to 5.6 tons, here 5.7 at 140 lb/cu ft and 8 %, without what lies beyond the "
        "edge.",
        cautions=("Before digging: have public and private lines located. Silica dust: saw wet.",),
        stops="Soft, wet or filled ground: a geotechnical engineer.",
        targets=tuple(
            Target(assembly=key, parameters={"base": "base", "bedding": "bedding"})
            for key in ("unit-pavers", "unit-pavers-medium", "unit-pavers-large")
        ),
        search="pavers patio sand",
    ),
    Calculation(
        key="loads",
        title="Truck loads of what is dug",
        trade=TRADE,
        words="What comes out of the ground loosens; a truck is full by its box or by its weight.",
        inputs=(
            Input(name="bank", label="In the ground", quantity=VOLUME_CY, default=27 * 20.0),
            Input(
                name="swell",
                label="Loosens by",
                quantity=SHARE,
                default=0.25,
                most=1.0,
                hint="common earth 25%, clay 43%, sand and gravel 11%: from memory of a military handbook",
            ),
            Input(
                name="density", label="Weighs in the ground", quantity=DENSITY, default=100.0, least=30.0, most=200.0
            ),
            Input(
                name="box", label="The box holds, loose", quantity=VOLUME_CY, default=27 * 10.0, least=2.7, most=2700.0
            ),
            Input(
                name="payload",
                label="The truck carries",
                quantity=WEIGHT_TONS,
                default=24000.0,
                least=200.0,
                most=100_000.0,
            ),
        ),
        outputs=(
            Output(name="loose", label="Loose", quantity=VOLUME_CY, main=True),
            Output(name="weight", label="Weight", quantity=WEIGHT_TONS, main=True),
            Output(name="by_box", label="Loads by the box", quantity=COUNT),
            Output(name="by_payload", label="Loads by weight", quantity=COUNT),
            Output(name="trips", label="Loads", quantity=COUNT, main=True),
        ),
        work=_loads,
        validity="Swell from nothing to double.",
        source="Definition of swell; soil about 100 lb/cu ft in the ground: an estimator's rule, published.",
        assumes=("The larger of the two counts of loads holds.",),
        differs="Tables of swell differ: dense clay loosens by 30 % in a published text, by 43 % in the "
        "military table (from memory); the same ground is 10 % more loads.",
        cautions=("Wet soil is heavier than this: the scale decides what may go on the road.",),
        search="haul swell export dig",
    ),
)
