"""Concrete by the bag or truck, its bars, forms and joints; piers; block and brick in mortar."""

from app.domain.trades import concrete, masonry
from app.domain.trades.calculation import Calculation, Input, Output, Target, Working
from app.domain.trades.quantity import (
    AREA_SF,
    COUNT,
    LENGTH_FT,
    NUMBER,
    SHARE,
    THICKNESS,
    VOLUME_CF,
    VOLUME_CY,
    WEIGHT_LB,
    Quantity,
)

TRADE = "Concrete and masonry"
_BURNS = "Wet cement burns skin and eyes: gloves, boots, goggles. Dry bags and saw cuts give silica dust."
_BAG = Input(name="bag", label="Bag", default="80", choices=(("80", "80 lb"), ("60", "60 lb"), ("40", "40 lb")))
_BAG_SOURCE = "Geometry; yields as printed on bags of dry mix: 0.60, 0.45, 0.30 cu ft for 80, 60, 40 lb."
_CY = Quantity(key="yards-plain", words="a volume", unit="cu yd", metric="m³", metric_size=1.30795062, places=2)


def _slab(it: Working) -> None:
    volume = it.step("volume", concrete.slab_volume(it["area"], it["depth"], it["loss"]), "area * depth * (1 + loss)")
    it.values["bag_yield"] = concrete.BAG_YIELDS[it["bag"]]
    it.told("bag_makes", it["bag_yield"], "printed on the bag")
    it.step("bags", concrete.bags(volume, it["bag_yield"]), "ceil(volume / bag_makes)")
    ordered = it.step("truck", concrete.truck_yards(volume, it["sold_by"]), "ceil(volume / 27 / sold_by) * sold_by")
    short = it.step("short", concrete.short_by(ordered, it["full"]), "max(0, full - truck)")
    if short:
        it.note("The truck comes short of a full load: ask the plant what it charges for that, or pour more at once.")
    if it["bags"] > 50:
        it.note("So many bags take a mixer and several people: a truck is commonly cheaper.")


def _piers(it: Working) -> None:
    each = it.step("each", concrete.pier_volume(it["diameter"], it["depth"]), "pi * diameter ** 2 / 4 * depth")
    volume = it.step("volume", each * it["count"] * (1 + it["loss"]), "each * count * (1 + loss)")
    it.told("bag_makes", concrete.BAG_YIELDS[it["bag"]], "printed on the bag")
    it.step("bags", concrete.bags(volume, it["bag_makes"]), "ceil(volume / bag_makes)")


def _bars(it: Working) -> None:
    diameter, weight = concrete.BARS[it["bar"]]
    it.step(
        "along",
        concrete.bars_across(it["width"], it["cover"], it["spacing"]),
        "ceil((width - 2 * cover) / spacing) + 1",
    )
    it.step(
        "across",
        concrete.bars_across(it["length"], it["cover"], it["spacing"]),
        "ceil((length - 2 * cover) / spacing) + 1",
    )
    lap = it.step("lap", it["lap_diameters"] * diameter / 12, f"lap_diameters * {diameter} / 12")
    total = concrete.bar_length(
        it["length"], it["width"], cover=it["cover"], spacing=it["spacing"], stock=it["stock"], lap=lap
    )
    it.told("total", total, "each bar less its cover at both ends, with a lap where it is longer than its stock")
    it.step("weight", total * weight, f"total * {weight}")


def _joints(it: Working) -> None:
    most = it.step("most", concrete.most_joint_spacing(it["depth"]), "min(30 * depth, 15)")
    it.step("across", concrete.joints(it["length"], most), "max(0, ceil(length / most) - 1)")
    it.step("along", concrete.joints(it["width"], most), "max(0, ceil(width / most) - 1)")
    it.step("cut", it["across"] * it["width"] + it["along"] * it["length"], "across * width + along * length")
    it.step("deep", it["depth"] / 4, "depth / 4")
    forms = it.step("forms", 2 * (it["length"] + it["width"]) - it["against"], "2 * (length + width) - against")
    it.step("stakes", concrete.stakes(max(forms, 0.0), it["stakes_apart"]), "floor(max(forms, 0) / stakes_apart) + 1")
    it.step("isolation", it["against"], "against")


def _block(it: Working) -> None:
    rows = it.step("courses", masonry.courses(it["height"], it["unit_height"]), "ceil(height / unit_height)")
    each = it.step("in_course", masonry.per_course(it["length"], it["unit_length"]), "ceil(length / unit_length)")
    net = it.step("whole", rows * each, "courses * in_course")
    off = it.step(
        "openings_take",
        masonry.units_by_face(it["openings"], it["unit_length"], it["unit_height"]),
        "openings / (unit_length * unit_height)",
    )
    laid = it.step("units", max(0.0, net - off), "max(0, whole - openings_take)")
    it.step("ordered", float(-(-laid * (1 + it["loss"]) // 1)), "ceil(units * (1 + loss))")
    it.step("mortar", masonry.mortar_volume(laid, it["mortar_by_hundred"]), "units * mortar_by_hundred / 100")


def _mortar(it: Working) -> None:
    sacks = it.step(
        "sacks", masonry.sacks_by_rule(it["volume"], it["sand_parts"]), "volume / 27 * 38 / (1 + sand_parts)"
    )
    it.step("sand", sacks * it["sand_parts"], "sacks * sand_parts")


_SLAB_SIDES = (
    Input(name="length", label="Length", quantity=LENGTH_FT, default=12.0, least=0.5, most=200.0),
    Input(name="width", label="Width", quantity=LENGTH_FT, default=10.0, least=0.5, most=200.0),
)
_LOSS = Input(name="loss", label="Loss and uneven ground", quantity=SHARE, default=0.08, most=0.5)
_MAKES = Output(name="bag_makes", label="A bag makes", quantity=VOLUME_CF)

CALCULATIONS = (
    Calculation(
        key="concrete",
        title="Concrete, bags or truck",
        trade=TRADE,
        words="A slab or footing: cubic yards, bags, what a truck brings and how short its load is.",
        inputs=(
            Input(name="area", label="Area", quantity=AREA_SF, default=120.0, least=1.0),
            Input(name="depth", label="Thickness", quantity=THICKNESS, default=4 / 12, least=2 / 12, most=2.0),
            _LOSS,
            _BAG,
            Input(name="sold_by", label="Trucks sell by", quantity=_CY, default=0.5, least=0.25, most=1.0),
            Input(name="full", label="Least load without a charge", quantity=_CY, default=6.0, most=12.0),
        ),
        outputs=(
            Output(name="volume", label="Concrete", quantity=VOLUME_CY, main=True),
            _MAKES,
            Output(name="bags", label="Bags", quantity=COUNT, main=True),
            Output(name="truck", label="By truck", quantity=_CY, main=True),
            Output(name="short", label="Short of a full load by", quantity=_CY),
        ),
        work=_slab,
        validity="Thickness 2 to 24 in. The loss is a share of the geometry.",
        source=_BAG_SOURCE + " Losses of 5% (footings) to 8% (slabs): a published estimating text.",
        assumes=("Least load without a charge: an assumption; the plant says its own.",),
        differs="Published losses differ: 5 % for footings, 8 % for slabs; for 120 sq ft of 4 in that is "
        "70 or 72 bags of 80 lb. Counted by the yard (45, 60 or 90 bags) the yields are the same.",
        cautions=(_BURNS, "A truck needs firm ground: keep it off septic fields, walls and fresh trenches."),
        stops="A slab or footing that carries a structure: an engineer or the local code's table.",
        targets=(Target(assembly="concrete-slab", parameters={"thick": "depth"}),),
        search="slab footing bags yards ready mix pad",
    ),
    Calculation(
        key="piers",
        title="Piers and post holes",
        trade=TRADE,
        words="Round holes filled with concrete, in bags.",
        inputs=(
            Input(name="count", label="How many", quantity=COUNT, default=10.0, least=1.0, most=1000.0),
            Input(name="diameter", label="Diameter", quantity=THICKNESS, default=1.0, least=0.25, most=4.0),
            Input(name="depth", label="Depth", quantity=LENGTH_FT, default=3.0, least=0.25, most=12.0),
            Input(name="loss", label="Loss and uneven holes", quantity=SHARE, default=0.05, most=0.5),
            _BAG,
        ),
        outputs=(
            Output(name="each", label="One hole", quantity=VOLUME_CF),
            Output(name="volume", label="Concrete", quantity=VOLUME_CY, main=True),
            _MAKES,
            Output(name="bags", label="Bags", quantity=COUNT, main=True),
        ),
        work=_piers,
        validity="Diameter 3 in to 4 ft, depth to 12 ft. A post in the hole is not taken off.",
        source=_BAG_SOURCE,
        differs="One printed table rounds a hole of 12 in by 3 ft to 0.09 cu yd: ten come to 0.90, here "
        "0.87, 3 % less. With π taken as 3.14 a hole is 0.05 % smaller.",
        cautions=("Before digging: have lines located. Cover open holes.", _BURNS),
        stops="Depth against frost and size under a load: the local code or an engineer.",
        search="post hole footing fence",
    ),
    Calculation(
        key="reinforcing",
        title="Bars in a slab",
        trade=TRADE,
        words="A mat of bars both ways: how many, how long in all, how heavy.",
        inputs=(
            *_SLAB_SIDES,
            Input(name="spacing", label="Bars apart", quantity=THICKNESS, default=1.5, least=0.25, most=4.0),
            Input(name="cover", label="Cover at the edge", quantity=THICKNESS, default=0.25, least=0.75 / 12, most=1.0),
            Input(name="bar", label="Bar", default="4", choices=tuple((key, f"#{key}") for key in concrete.BARS)),
            Input(name="stock", label="A bar comes", quantity=LENGTH_FT, default=20.0, least=5.0, most=60.0),
            Input(
                name="lap_diameters", label="Lap, in diameters", quantity=NUMBER, default=40.0, least=12.0, most=80.0
            ),
        ),
        outputs=(
            Output(name="along", label="Bars along the length", quantity=COUNT, main=True),
            Output(name="across", label="Bars along the width", quantity=COUNT, main=True),
            Output(name="lap", label="Lap", quantity=THICKNESS),
            Output(name="total", label="Bar in all", quantity=LENGTH_FT, main=True),
            Output(name="weight", label="Weight", quantity=WEIGHT_LB),
        ),
        work=_bars,
        validity="A rectangle, one mat; cover no more than half of a side.",
        source="Geometry; bar sizes and weights: ASTM A615/A615M, table 1 (from memory).",
        cautions=("Cap bars that stand up. Cut bars spark.",),
        stops="Which bars a slab needs: the drawing, an engineer or the local code.",
        search="rebar steel mesh",
    ),
    Calculation(
        key="forms-and-joints",
        title="Forms and joints",
        trade=TRADE,
        words="Edge forms with stakes, joints so that no panel cracks at will, the joint to what stands there.",
        inputs=(
            *_SLAB_SIDES,
            Input(name="depth", label="Thickness", quantity=THICKNESS, default=4 / 12, least=3 / 12, most=1.0),
            Input(name="against", label="Of it against house or paving", quantity=LENGTH_FT, default=12.0, most=400.0),
            Input(name="stakes_apart", label="Stakes apart", quantity=LENGTH_FT, default=3.0, least=0.5, most=8.0),
        ),
        outputs=(
            Output(name="most", label="Joints at most apart", quantity=LENGTH_FT, main=True),
            Output(name="across", label="Joints across the length", quantity=COUNT, main=True),
            Output(name="along", label="Joints along the length", quantity=COUNT, main=True),
            Output(name="cut", label="Joint to cut", quantity=LENGTH_FT, main=True),
            Output(name="deep", label="How deep, at least", quantity=THICKNESS),
            Output(name="forms", label="Form", quantity=LENGTH_FT, main=True),
            Output(name="stakes", label="Stakes", quantity=COUNT),
            Output(name="isolation", label="Isolation joint", quantity=LENGTH_FT),
        ),
        work=_joints,
        validity="A plain rectangle 3 to 12 in thick; panels of an L or around a corner are cut at the corner first.",
        source=(
            "American Concrete Institute guide for slabs: joints 24 to 36 thicknesses apart, a "
            "quarter of the thickness "
            "deep (from memory). 15 ft at most and stakes 3 ft apart: common practice."
        ),
        cautions=("Saw wet or with a shroud: silica dust.", _BURNS),
        search="control joint saw cut formwork",
    ),
    Calculation(
        key="block",
        title="Block or brick wall",
        trade=TRADE,
        words="Units by course, less openings, with mortar.",
        inputs=(
            Input(name="length", label="Length", quantity=LENGTH_FT, default=20.0, least=0.5, most=1000.0),
            Input(name="height", label="Height", quantity=LENGTH_FT, default=4.0, least=0.1, most=30.0),
            Input(name="openings", label="Openings", quantity=AREA_SF, default=0.0),
            Input(
                name="unit_length",
                label="Unit with its joint, length",
                quantity=THICKNESS,
                default=16 / 12,
                least=0.25,
                most=4.0,
            ),
            Input(
                name="unit_height",
                label="Unit with its joint, height",
                quantity=THICKNESS,
                default=8 / 12,
                least=0.1,
                most=2.0,
            ),
            Input(name="loss", label="Breakage", quantity=SHARE, default=0.05, most=0.5),
            Input(
                name="mortar_by_hundred",
                label="Mortar for 100 units",
                quantity=VOLUME_CF,
                default=2.84,
                least=0.5,
                most=15.0,
                hint="8 × 16 in block 2.84 cu ft, modular brick 1.07 cu ft",
            ),
        ),
        outputs=(
            Output(name="courses", label="Courses", quantity=COUNT),
            Output(name="in_course", label="Units in a course", quantity=COUNT),
            Output(name="whole", label="Units without openings", quantity=COUNT),
            Output(name="openings_take", label="Openings take", quantity=NUMBER),
            Output(name="units", label="Units laid", quantity=NUMBER, main=True),
            Output(name="ordered", label="Units to order", quantity=COUNT, main=True),
            Output(name="mortar", label="Mortar", quantity=VOLUME_CF, main=True),
        ),
        work=_block,
        validity="A straight wall of one kind of unit. Corners that turn share a unit in each course.",
        source=(
            "Builder Advanced, NAVEDTRA 14045 (three quarters of a block by the foot, three half "
            "courses by the foot); "
            "mortar: a published estimating table, 3.2 cu ft a 100 sq ft of block, 7.2 of modular brick."
        ),
        cautions=("Lift with two from 50 lb on. Brace a fresh wall against wind. Silica dust: saw wet.",),
        stops="A wall that holds soil or carries a load: an engineer.",
        targets=(
            Target(
                assembly="seat-wall",
                parameters={"course": "unit_height", "unit": "unit_length"},
                new=True,
                sizes={"length": "length", "height": "height"},
                run_kind="wall",
            ),
        ),
        search="cmu brick masonry wall",
    ),
    Calculation(
        key="mortar",
        title="Mortar mix",
        trade=TRADE,
        words="Sacks of cement and sand in a volume of mortar.",
        inputs=(
            Input(name="volume", label="Mortar", quantity=VOLUME_CF, default=27.0, least=0.01, most=10_000.0),
            Input(
                name="sand_parts",
                label="Parts of sand to one of cement",
                quantity=NUMBER,
                default=3.0,
                least=2.0,
                most=4.0,
            ),
        ),
        outputs=(
            Output(name="sacks", label="Sacks of cement, one cu ft each", quantity=NUMBER, main=True),
            Output(name="sand", label="Sand", quantity=VOLUME_CF, main=True),
        ),
        work=_mortar,
        validity="1 : 2 to 1 : 4 by volume; 38 cu ft of dry parts make a cubic yard.",
        source="Builder Basic, NAVEDTRA 14043, rule 38.",
        differs="By the block, a maker says 3 bags of masonry cement and 600 lb of sand to 100; by the "
        "face, a published table 3.2 cu ft of mortar to 100 sq ft of 8 × 16 in block. Masonry "
        "cement holds its lime: its bags are not the sacks here.",
        cautions=(_BURNS,),
        search="cement sand",
    ),
)
