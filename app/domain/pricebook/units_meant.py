"""The unit a price list names, in the ways suppliers write it, and a price per that unit as one per ours."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from app.domain.units import AREA, LENGTH, RATIO, TIME, TRADE_UNITS, VOLUME, WEIGHT, Dimension

COUNTED = "each"  # what pieces, dozens, hundreds and thousands are counts of
# exact sizes in feet, pounds and their powers. NIST SP 811 (2008), appendix B.8: foot and pound are exact in metric
METER = Fraction(10_000, 3048)
KILOGRAM = Fraction(100_000_000, 45_359_237)
GALLON = Fraction(231, 1728)  # cu ft; NIST Handbook 44, appendix C


@dataclass(frozen=True, slots=True)
class UnitMeant:
    """One meaning of a unit: what it counts (`group`: a dimension's name or a thing counted), its exact size in it."""

    words: str
    dimension: Dimension
    group: str
    size: Fraction


def _measured(words: str, dimension: Dimension, size: Fraction | int) -> UnitMeant:
    return UnitMeant(words, dimension, dimension.name, Fraction(size))


def _counted(words: str, size: int = 1, group: str = COUNTED) -> UnitMeant:
    return UnitMeant(words, RATIO, group, Fraction(size))


_MEASURED: tuple[tuple[str, UnitMeant], ...] = (
    ("in|inch|inches", _measured("in", LENGTH, Fraction(1, 12))),
    ("ft|foot|feet|lf|lin ft|linear foot|linear feet|lineal foot|lnft|lft", _measured("ft", LENGTH, 1)),
    ("yd|yard|yards|yds|ly|lin yd", _measured("yd", LENGTH, 3)),
    ("m|meter|meters|metre|metres|lm|lin m", _measured("m", LENGTH, METER)),
    ("sf|sqft|sq ft|ft2|square foot|square feet|sft|foot**2", _measured("sq ft", AREA, 1)),
    ("sy|sqyd|sq yd|yd2|square yard|square yards|yard**2|yd|yard|yards", _measured("sq yd", AREA, 9)),
    ("m2|sqm|sq m|square meter|square meters|square metre|square metres", _measured("sq m", AREA, METER**2)),
    ("cf|cuft|cu ft|ft3|cubic foot|cubic feet|foot**3", _measured("cu ft", VOLUME, 1)),
    ("cy|cuyd|cu yd|yd3|cubic yard|cubic yards|yard**3|yd|yard|yards|yds", _measured("cu yd", VOLUME, 27)),
    ("m3|cbm|cu m|cubic meter|cubic meters|cubic metre|cubic metres", _measured("cu m", VOLUME, METER**3)),
    ("gal|gallon|gallons", _measured("gallon", VOLUME, GALLON)),
    ("l|liter|liters|litre|litres", _measured("liter", VOLUME, METER**3 / 1000)),
    ("lb|lbs|pound|pounds|#", _measured("lb", WEIGHT, 1)),
    ("ton|tons|tn|short ton|short tons|us ton|t", _measured("ton", WEIGHT, 2000)),
    ("tonne|tonnes|metric ton|metric tons|mt|t", _measured("metric ton", WEIGHT, 1000 * KILOGRAM)),
    ("kg|kilo|kilogram|kilograms", _measured("kg", WEIGHT, KILOGRAM)),
    ("hr|hrs|hour|hours|h", _measured("hour", TIME, 1)),
)
_COUNTED: tuple[tuple[str, UnitMeant], ...] = (
    ("ea|each|pc|pcs|pce|piece|pieces|unit|units|per each|stk|no|nos", _counted("each")),
    ("dz|doz|dozen", _counted("dozen", 12)),
    ("c|per 100|100|hundred|per c|cwt pcs", _counted("hundred", 100)),
    ("m|per 1000|1000|thousand|per m|mpcs|1,000", _counted("thousand", 1000)),
    ("plt|pallets|skid|skids|cube|cubes", _counted("pallet", 1, "pallet")),
    ("bags|bg|sack|sacks|sk", _counted("bag", 1, "bag")),
    ("boxes|bx|carton|cartons|ctn|case|cs", _counted("box", 1, "box")),
    ("rolls|rl", _counted("roll", 1, "roll")),
    ("loads|ld|truckload", _counted("load", 1, "load")),
    ("days|daily|dy", _counted("day", 1, "day")),
    ("weeks|wk|weekly", _counted("week", 1, "week")),
    ("months|mo|monthly", _counted("month", 1, "month")),
    ("sheets|sht", _counted("sheet", 1, "sheet")),
    ("tubes|tb", _counted("tube", 1, "tube")),
    ("pails|pl|bucket|buckets", _counted("pail", 1, "pail")),
    ("trips", _counted("trip", 1, "trip")),
)


def _all() -> Mapping[str, tuple[UnitMeant, ...]]:
    found: dict[str, tuple[UnitMeant, ...]] = {}
    for spellings, unit in (*_MEASURED, *_COUNTED):
        for spelled in spellings.split("|"):
            found[spelled] = (*found.get(spelled, ()), unit)
    for key, trade in TRADE_UNITS.items():
        own = ours(key)
        for spelled in (key, trade.one, trade.many):
            found[spelled] = tuple(dict.fromkeys((*found.get(spelled, ()), own)))
    return found


def ours(key: str) -> UnitMeant:
    """A unit of the price book (a key of TRADE_UNITS); a piece counts as one each."""
    trade = TRADE_UNITS[key]
    for _, unit in _MEASURED:
        if unit.dimension == trade.dimension and abs(float(unit.size) - trade.size) < 1e-9:
            return unit
    group = COUNTED if key in {"each", "piece"} else key
    return UnitMeant(trade.one, trade.dimension, group, Fraction(1))


def meanings(text: str) -> tuple[UnitMeant, ...]:
    """What a unit may mean: several where different things are written the same way (`yd`, `M`, `t`), none if unknown.

    >>> [one.words for one in meanings("YD")], [one.words for one in meanings("Sq. Ft.")]
    (['yd', 'sq yd', 'cu yd'], ['sq ft'])
    """
    plain = " ".join(text.casefold().replace(".", " ").replace("²", "2").replace("³", "3").split())
    plain = plain.removeprefix("per ").removeprefix("/").strip() if plain not in _UNITS else plain
    return _UNITS.get(plain, ())


def factor(text: str, buy: str) -> tuple[Fraction, str] | None:
    """By what a price per `text` is multiplied to be one per `buy` (a key of TRADE_UNITS), and how the unit reads.

    None where the units do not measure the same, or where it may be one of several. A thing that is counted (a bag, a
    pallet) is only itself. `yd` is a cubic yard of what is bought by volume: common practice, no source.

    >>> factor("M", "each"), factor("cy", "foot**3")[0], factor("bag", "pallet")
    ((Fraction(1, 1000), 'thousand'), Fraction(1, 27), None)
    """
    own = ours(buy)
    fitting = [one for one in meanings(text) if one.group == own.group]
    exact = [one for one in fitting if one == own]
    if exact:
        return Fraction(1), exact[0].words
    return (own.size / fitting[0].size, fitting[0].words) if len(fitting) == 1 else None


def buy_of(text: str) -> tuple[str, Fraction] | None:
    """The unit of the book (a key of TRADE_UNITS) that a new material is bought by, and the factor of its price.

    Each where nothing is said; None where the unit is unknown or may be one of several.

    >>> buy_of("sf"), buy_of("M each"), buy_of("")
    (('foot**2', Fraction(1, 1)), None, ('each', Fraction(1, 1)))
    """
    meant = meanings(text) if text else meanings("each")
    if len(meant) != 1:
        return None
    own = [key for key in TRADE_UNITS if ours(key) == meant[0]]
    if own:
        return own[0], Fraction(1)
    group = next((key for key in TRADE_UNITS if ours(key).group == meant[0].group), "")
    return (group, ours(group).size / meant[0].size) if group else None


def per_unit(price: Decimal, by: Fraction) -> Decimal:
    """A price times a factor, to 1/10,000, halves up."""
    scaled = Fraction(price) * by * 10_000
    return Decimal(int(scaled + Fraction(1, 2))).scaleb(-4)


_UNITS = _all()
