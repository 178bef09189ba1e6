"""Checks whether a surface suits its use: chairs, wheels, heels, bare feet, a snow shovel, wet feet, sparks, stains."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from app.domain.basis import Rule
from app.domain.checks.clearances import fires
from app.domain.checks.passages import asks_for_wheels
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked, quiet
from app.domain.checks.walking import half_size, is_table
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import Fate, Zone, ZoneKind, zones_by_key
from app.domain.plan.between import apart, from_point
from app.domain.plan.outline import Outline
from app.domain.takeoff.green import SURFACES
from app.domain.takeoff.measures import zone_title
from app.domain.units import format_length

LOOSE = "loose"  # parameter of a surface of loose stone: how deep it lies
SEALED = "seal-surface"
HOT_TUB = "hot-tub"  # caution of a place people go to barefoot
SLICK = frozenset({"satin", "gloss"})  # sheens of finishes that are smooth
EATEN_AT = frozenset({ZoneKind.COOKING, ZoneKind.DINING})
WALKED_ON = frozenset({ZoneKind.PATH, ZoneKind.STEPS})
BURNS = frozenset({"turf", "mulch", "planting"})  # hatches of ground that burns, melts or is scorched
SNOW_TO = 7  # USDA zone up to which snow is shoveled in most winters. Assumption


def _surfaces(yard: Yard) -> Iterator[tuple[Zone, Placed]]:
    """The works that make the surface of a zone."""
    for placed in yard.placed:
        if placed.zone and placed.where.startswith("zone:") and placed.assembly.group == SURFACES:
            yield placed.zone, placed


def _loose(yard: Yard, where: Callable[[Zone], bool]) -> Iterator[tuple[Placed, float]]:
    """Surfaces of loose stone in some zones, and how deep it lies [ft]."""
    for zone, placed in _surfaces(yard):
        if LOOSE in placed.assembly.parameters and where(zone):
            deep = yard.parameter(placed, LOOSE)
            if deep is not None:
                yield placed, deep


@dataclass(frozen=True, slots=True)
class _Words:
    """What is said of loose stone at one use."""

    what: str
    remedy: str


def _too_loose(yard: Yard, rule: Rule, where: Callable[[Zone], bool], words: _Words) -> Iterator[Finding]:
    system = yard.basis.firm.system
    for placed, deep in _loose(yard, where):
        if deep > in_feet(rule) + NEAR:
            yield broken(
                rule,
                placed.where,
                f"{placed.place}: {words.what}",
                measured=f"{format_length(deep, system)} of loose stone",
                limit=limit_of(rule, system, "at most"),
                remedy=words.remedy,
            )


CHAIRS = _Words(
    "chairs and tables stand in loose stone; their legs sink in and it is carried about.",
    "Pave below the table, or choose compacted fines there.",
)
WHEELS = _Words(
    "wheels were asked for, and they sink into loose stone.",
    "Choose paving or compacted fines there. Figures for public ways serve as comfort; none says that a yard complies.",
)
HEELS = _Words(
    "heels and the wheels of bins sink into loose stone.",
    "Choose compacted fines or paving where it is the way to the door, or leave it where it is a garden way.",
)
SHOVEL = _Words(
    "a snow shovel takes loose stone along.",
    "Choose a surface that can be shoveled where the way is kept open in winter, or tell the client.",
)


def loose_chairs(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Chairs and tables stand firm."""
    tables = {one.zone_id for one in yard.job.features if is_table(one)}
    yield from _too_loose(yard, rule, lambda zone: zone.kind is ZoneKind.DINING or zone.id in tables, CHAIRS)


def loose_wheels(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Where somebody asked for ways on wheels, no way is loose."""
    if asks_for_wheels(yard):
        yield from _too_loose(yard, rule, lambda zone: zone.kind is ZoneKind.PATH, WHEELS)


def loose_heels(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Heels and bins on a way of loose stone."""
    yield from _too_loose(yard, rule, lambda zone: zone.kind in WALKED_ON, HEELS)


def loose_shovel(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A way of loose stone where snow is shoveled, by the USDA zone of the yard."""
    ways = [placed for placed, _ in _loose(yard, lambda zone: zone.kind in WALKED_ON)]
    found = re.match(r"\d+", yard.job.site.usda_zone)
    if ways and not found:
        yield not_checked(
            rule,
            "site",
            "Whether snow is shoveled from ways of loose stone is not known: the yard's USDA zone is not typed.",
            missing="USDA zone",
            remedy="Look the address up on the USDA plant hardiness map and type its zone on the Site sheet.",
        )
    elif found and int(found[0]) <= SNOW_TO:
        yield from _too_loose(yard, rule, lambda zone: zone.kind in WALKED_ON, SHOVEL)


@dataclass(frozen=True, slots=True)
class _Water:
    """Something that wets feet: its place key, its words, and how far an outline lies from it [ft]."""

    where: str
    words: str
    away: Callable[[Outline], float]


def _waters(yard: Yard, *, barefoot: bool) -> Iterator[_Water]:
    """Zones and things that hold water; `barefoot`: only those people get into."""
    for key, zone in zones_by_key(yard.job.zones).items():
        where = f"zone:{key}"
        tub = any(HOT_TUB in yard.cautions(one) for one in yard.on(where))
        water = tub or (zone.kind is ZoneKind.WATER and not barefoot)
        if water and (outline := yard.outlines.get(zone.id)) is not None:
            yield _Water(where, zone_title(zone), lambda other, own=outline: apart(other, own))  # type: ignore[misc]
    for one in yard.job.features if not barefoot else ():
        wet = any(placed.assembly.group == "water" for placed in yard.on(f"feature:{one.id}"))
        if wet and one.x is not None and one.y is not None:
            at, half = (one.x, one.y), half_size(yard, one)
            yield _Water(
                f"feature:{one.id}",
                one.title or "the water feature",
                lambda other, at=at, half=half: max(0.0, from_point(other, at) - half),  # type: ignore[misc]
            )


def slick_wet(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Smooth finishes lie away from water: wet, they are slippery."""
    system = yard.basis.firm.system
    smooth = [
        (zone, placed) for zone, placed in _surfaces(yard) if SLICK & {one.sheen for one in yard.finishes(placed)}
    ]
    for zone, placed in smooth:
        outline = yard.outlines.get(zone.id)
        near = [(one.away(outline), one) for one in _waters(yard, barefoot=False)] if outline else []
        away, water = min(near, key=lambda pair: pair[0], default=(0.0, None))
        if water is not None and away < in_feet(rule) - NEAR:
            yield broken(
                rule,
                placed.where,
                f"{placed.place} has a smooth finish beside {water.words}: wet, it is slippery.",
                measured=f"{format_length(away, system)} from {water.words}",
                limit=limit_of(rule, system, "at least"),
                remedy="Choose a finish with some grip there (broomed, tumbled, flamed), and ask for its wet figure.",
            )


def loose_barefoot(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No loose stone where people come out of the water barefoot."""
    system = yard.basis.firm.system
    waters = list(_waters(yard, barefoot=True))
    for zone, placed in _surfaces(yard) if waters else ():
        outline = yard.outlines.get(zone.id)
        if outline is None or LOOSE not in placed.assembly.parameters:
            continue
        away, water = min(((one.away(outline), one) for one in waters), key=lambda pair: pair[0])
        if away < in_feet(rule) - NEAR:
            yield quiet(
                rule,
                placed.where,
                f"{placed.place}: loose stone beside {water.words}, where people walk barefoot and carry it along.",
                measured=f"{format_length(away, system)} from {water.words}",
                remedy=f"Keep it {format_length(in_feet(rule), system)} away, or pave the way between.",
            )


def burns_near_wood(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No ground that burns, melts or scorches under the sparks of a wood fire."""
    return _burns_near(yard, rule, gas=False)


def burns_near_gas(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No ground that burns, melts or scorches within the heat of a gas fire."""
    return _burns_near(yard, rule, gas=True)


def _burns_near(yard: Yard, rule: Rule, *, gas: bool) -> Iterator[Finding]:
    system = yard.basis.firm.system
    found = fires(yard, gas=gas)
    ground = _burning(yard) if found else {}
    for fire in found if ground else ():
        if fire.middle is None:
            yield not_checked(
                rule,
                fire.placed.where,
                f"{fire.placed.place}: whether the ground around it burns cannot be checked, it has no place.",
                missing="place",
                remedy="Type how far right of and in front of the datum it stands.",
            )
            continue
        for where, (words, outline) in ground.items():
            clear = max(0.0, from_point(outline, fire.middle) - fire.reach)
            if clear < in_feet(rule) - NEAR:
                yield broken(
                    rule,
                    where,
                    f"{words} lies within reach of {fire.placed.place}: it burns, melts or is scorched.",
                    measured=f"{format_length(clear, system)} from the edge of {fire.placed.place}",
                    limit=limit_of(rule, system, "at least"),
                    remedy="Put stone, paving or fines around the fire, or move it.",
                )


def _burning(yard: Yard) -> Mapping[str, tuple[str, Outline]]:
    """Ground that fire harms, by place: turf of either sort, mulch, wood fiber, beds."""
    found = {}
    for placed in yard.placed:
        outline = yard.outlines.get(placed.zone.id) if placed.zone and placed.where.startswith("zone:") else None
        if outline is not None and placed.assembly.drawing.hatch in BURNS:
            found[placed.where] = (placed.place, outline)
    return found


def stains(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Paving where food falls, or leaves of a tree that stays: sealed, or the client knows."""
    for zone, placed in _surfaces(yard):
        if zone.id not in yard.hard or LOOSE in placed.assembly.parameters or _sealed(yard, placed.where):
            continue
        trees = [words for words, away in _crowns(yard, zone) if away < in_feet(rule) - NEAR]
        why = ["food falls"] * (zone.kind in EATEN_AT) + [f"leaves of {words} lie" for words in trees]
        if why:
            yield quiet(
                rule,
                placed.where,
                f"{placed.place}: {' and '.join(why)} on it, and it is not sealed; grease and wet leaves stain.",
                measured=f"not sealed, {', '.join(why)}",
                remedy="Add washing and sealing, choose a denser stone, or tell the client how it is cleaned.",
            )


def _sealed(yard: Yard, where: str) -> bool:
    return any(one.assembly.key == SEALED for one in yard.on(where))


def _crowns(yard: Yard, zone: Zone) -> Iterator[tuple[str, float]]:
    """Trees that stay, and how far their crown lies from a zone [ft]."""
    outline = yard.outlines.get(zone.id)
    if outline is None:
        return
    for one in yard.job.existing:
        if one.kind != "tree" or one.fate not in {Fate.STAYS, Fate.PROTECTED}:
            continue
        if one.outline is not None:
            yield one.title or "the tree", apart(outline, one.outline)
        elif one.x is not None and one.y is not None:
            yield one.title or "the tree", max(0.0, from_point(outline, (one.x, one.y)) - (one.spread or 0.0) / 2)


CHECKS: dict[str, Check] = {
    "loose-chairs": loose_chairs,
    "loose-wheels": loose_wheels,
    "loose-heels": loose_heels,
    "loose-shovel": loose_shovel,
    "loose-barefoot": loose_barefoot,
    "slick-wet": slick_wet,
    "burns-near-wood": burns_near_wood,
    "burns-near-gas": burns_near_gas,
    "stains": stains,
}
