"""Checks of what is planted: climate, harm, trees to what stands and what is buried, crowns over paths, crowding."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from app.domain.basis import Plant, Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.job import OVERHEAD, Planting, RunKind, ZoneKind
from app.domain.plan.arcs import Point
from app.domain.plan.between import from_line, from_point
from app.domain.plan.open_lines import fine_points
from app.domain.plan.outline import Outline
from app.domain.takeoff.measures import zone_title
from app.domain.takeoff.planted import PlantedRow, lists_of, planted_bed
from app.domain.takeoff.sunlight import Scene, scene_of, season_hours
from app.domain.units import format_length

CHILDREN = re.compile(
    r"\b(child|children|kids?|toddlers?|bab(y|ies)|grandchild(ren)?|sons?|daughters?)\b", re.IGNORECASE
)
PETS = re.compile(r"\b(dogs?|cats?|pets?|pupp(y|ies)|kittens?)\b", re.IGNORECASE)
WOODY = frozenset({"tree", "shrub"})
PART_SUN = "plant-sun-part"  # the rule that only holds a value
VALUES = frozenset({PART_SUN})
MOST_SAMPLED = 6  # plants of a row whose sun stands for all
GOOD_TO = 0.25  # h: what half-hour steps are good to
WALKED = frozenset({ZoneKind.PATH, ZoneKind.STEPS})
BURIED = frozenset({RunKind.CONDUIT, RunKind.PIPE, RunKind.DRAIN, RunKind.GAS})
SIZES = (("small", 30.0), ("medium", 50.0), ("large", float("inf")))  # trees by grown height, up to this many ft


@dataclass(frozen=True, slots=True)
class _Thing:
    """Something that a plant stands near: its words, and how far a place lies from it."""

    words: str
    outline: Outline | None = None
    line: tuple[Point, ...] = ()

    def from_place(self, at: Point) -> float:
        return from_point(self.outline, at) if self.outline else from_line(self.line, at)


def _listed(yard: Yard) -> Iterator[tuple[Planting, Plant]]:
    """Rows on the lists of chosen ways, with what the table says of their plants."""
    ways = set(yard.ways.values())
    for row in yard.job.plantings:
        plant = yard.basis.plants.get(row.species)
        if plant is not None and row.alternative_id in ways:
            yield row, plant


def planted_rows(yard: Yard) -> Iterator[PlantedRow]:
    """Rows where they stand, of plants that the table knows."""
    if not yard.job.plantings:
        return
    lists = lists_of(yard.job)
    for zone_id, outline in yard.outlines.items():
        way = yard.chosen[zone_id].id
        if way in lists:
            bed = planted_bed(way, outline, lists[way], yard.basis)
            yield from (row for row in bed.rows if row.plant is not None)


def trees_where_they_stand(yard: Yard) -> Iterator[PlantedRow]:
    """Rows of trees on the lists, with the places of each."""
    return (row for row in planted_rows(yard) if row.plant is not None and row.plant.kind == "tree")


def _where(row: Planting) -> str:
    return f"planting:{row.id}"


def climate(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Plants live through the winters, and the summers, of the yard's USDA zone."""
    listed = list(_listed(yard))
    found = re.match(r"\d+", yard.job.site.usda_zone)
    if listed and not found:
        yield not_checked(
            rule,
            "site",
            "Whether the plants live through the winters here was not checked: the USDA zone of the yard is not known.",
            missing="USDA zone",
            remedy="Look the address up on the USDA plant hardiness map and type its zone on the Site sheet.",
        )
    zone = int(found[0]) if found else 0
    for row, plant in listed if found else ():
        coldest, warmest = plant.zones
        off = max(coldest - zone, zone - warmest)
        if off > rule.value + NEAR:
            why = "too cold" if zone < coldest else "too warm"
            yield broken(
                rule,
                _where(row),
                f"{plant.botanical} lives in USDA zones {coldest} to {warmest}; this yard, in zone {zone}, is {why}.",
                measured=f"zone {zone}",
                limit=f"zones {coldest} to {warmest}",
                remedy="Choose a plant for this zone, or go on with the client's word that it may not live.",
            )


def harm(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Plants known to harm, where children or pets were spoken of."""
    words = " ".join((*(need.words for need in yard.job.needs), *(zone.words for zone in yard.job.zones)))
    plays = any(zone.kind is ZoneKind.PLAY for zone in yard.job.zones)
    who = [name for name, on in (("children", plays or CHILDREN.search(words)), ("pets", PETS.search(words))) if on]
    for row, plant in _listed(yard) if who else ():
        told = [f"people ({plant.people})"] * ("children" in who and bool(plant.people))
        told += [f"pets ({plant.pets})"] * ("pets" in who and bool(plant.pets))
        if told:
            yield broken(
                rule,
                _where(row),
                f"{plant.botanical} ({plant.common}) is known to harm {' and '.join(told)}, and this job has "
                f"{' and '.join(who)} in mind.",
                measured=f"{plant.key} {' '.join(who)}",
                remedy="Choose another plant or keep it out of reach. No full list: ask poison control or a vet.",
            )


def tree_to_house(size: str) -> Check:
    """The check of trees of one size: how far they stand from the house."""

    def check(yard: Yard, rule: Rule) -> Iterator[Finding]:
        low = max((limit for name, limit in SIZES if limit < dict(SIZES)[size]), default=0.0)
        for row in planted_rows(yard):
            if not row.plant or row.plant.kind != "tree" or not low < row.plant.height[1] <= dict(SIZES)[size]:
                continue
            if yard.job.site.house is None:
                yield _no_house(rule, row)
            else:
                yield from _too_near(yard, rule, row, [_Thing("the house", yard.job.site.house)])

    return check


def _no_house(rule: Rule, row: PlantedRow) -> Finding:
    return not_checked(
        rule,
        _where(row.planting),
        f"{row.title}: how far it stands from the house cannot be checked; the house is not on the plan.",
        missing="the house",
        remedy="Type the outline of the house on the Site sheet.",
    )


def tree_to_paving(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Trees stand clear of paving and walls, which their roots lift."""
    hard = [_Thing(zone_title(yard.zones[key]), yard.outlines[key]) for key in yard.hard if key in yard.outlines]
    walls = [
        _Thing(run.title or "a wall", line=tuple(fine_points(run.points, run.rises)))
        for run in yard.job.runs
        if run.kind is RunKind.WALL and len(run.points) > 1
    ]
    for row in planted_rows(yard):
        if row.plant and row.plant.kind == "tree":
            yield from _too_near(yard, rule, row, [*hard, *walls])


def tree_to_buried(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Trees stand clear of lines in the ground."""
    lines = [
        _Thing(run.title or f"a {run.kind.value}", line=tuple(fine_points(run.points, run.rises)))
        for run in yard.job.runs
        if run.kind in BURIED and len(run.points) > 1
    ]
    lines += [
        _Thing(one.title or "a line", line=tuple(fine_points(one.points, one.rises)))
        for one in yard.job.existing
        if one.utility and len(one.points) > 1
    ]
    for row in planted_rows(yard):
        if row.plant and row.plant.kind == "tree":
            yield from _too_near(yard, rule, row, lines)


def _too_near(yard: Yard, rule: Rule, row: PlantedRow, things: list[_Thing]) -> Iterator[Finding]:
    """The thing that a row's plants stand nearest to, where that is too near."""
    ways = [(thing.from_place(at), thing.words) for thing in things for at in row.points]
    near, words = min(ways, default=(float("inf"), ""))
    if near < in_feet(rule) - NEAR:
        system = yard.basis.firm.system
        yield broken(
            rule,
            _where(row.planting),
            f"{row.title} would stand {format_length(near, system)} from {words}.",
            measured=format_length(near, system),
            limit=limit_of(rule, system, "at least"),
            remedy="Move it, or choose a smaller tree.",
        )


def tree_and_overhead(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Tall trees, where the plan shows no wire: they are looked up."""
    if any(one.kind == OVERHEAD and len(one.points) > 1 for one in yard.job.existing):
        return  # checked by where the wires run
    high = format_length(in_feet(rule), yard.basis.firm.system)
    tall = [
        (row, plant) for row, plant in _listed(yard) if plant.kind == "tree" and plant.height[1] > rule.value + NEAR
    ]
    for row, plant in tall:
        yield not_checked(
            rule,
            _where(row),
            f"{plant.botanical} grows over {high} high. Overhead lines are "
            "not on this plan: look up where it is to stand.",
            missing="overhead lines",
            remedy="Under or near a line choose a lower tree, and ask the utility. Treat every wire as live.",
        )


def crown_over(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Grown shrubs and trees do not close paths, nor lean on the house."""
    walked = [
        _Thing(zone_title(yard.zones[key]), outline)
        for key, outline in yard.outlines.items()
        if yard.zones[key].kind in WALKED
    ]
    house = [_Thing("the house", yard.job.site.house)] if yard.job.site.house else []
    for row in planted_rows(yard):
        things = [*walked, *house] if row.plant and row.plant.kind == "shrub" else walked[:0]
        reach = row.plant.spread[1] / 2 if row.plant else 0.0
        ways = [(reach - thing.from_place(at), thing.words) for thing in things for at in row.points]
        over, words = max(ways, default=(0.0, ""))
        if over > in_feet(rule) + NEAR:
            system = yard.basis.firm.system
            yield broken(
                rule,
                _where(row.planting),
                f"{row.title}, grown, reaches {format_length(over, system)} into {words}.",
                measured=format_length(over, system),
                limit=limit_of(rule, system, "at most"),
                remedy="Move it, choose a smaller one, or plan to clip it.",
            )


def crowded(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Grown plants have room beside each other."""
    for rows in _by_bed(yard).values():
        woody = [row for row in rows if row.plant and row.plant.kind in WOODY and row.points]
        for row in woody:
            worst = _tightest(row, woody)
            if worst and worst[0] < rule.value - NEAR:
                share, other = worst
                yield broken(
                    rule,
                    _where(row.planting),
                    f"{row.title} and {other} have {share:.0%} of the room they grow to.",
                    measured=f"{share:.0%}",
                    limit=f"at least {rule.value:.0%}",
                    remedy="Set them further apart, or tell the client that some are taken out as they grow.",
                )


def _by_bed(yard: Yard) -> Mapping[object, list[PlantedRow]]:
    found: dict[object, list[PlantedRow]] = {}
    for row in planted_rows(yard):
        found.setdefault(row.planting.alternative_id, []).append(row)
    return found


def _tightest(row: PlantedRow, rows: list[PlantedRow]) -> tuple[float, str] | None:
    """The least room between a row's plants and any woody ones, as a share of what both grow to; and which."""
    own = np.array(row.points)
    best: tuple[float, str] | None = None
    for other in rows:
        if row.plant is None or other.plant is None:
            continue
        apart = np.hypot(*(own[:, None, :] - np.array(other.points)[None, :, :]).transpose(2, 0, 1))
        if other is row:
            np.fill_diagonal(apart, np.inf)
        room = (row.plant.spread[1] + other.plant.spread[1]) / 2
        share = float(apart.min()) / room if apart.size else float("inf")
        if share < (best[0] if best else float("inf")):
            best = share, "its like" if other is row else other.title
    return best


def sun_need(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Plants have the sun they want, by the mean hours of the growing season where they stand."""
    rows = [row for row in planted_rows(yard) if row.plant and row.points]
    if not rows:
        return
    scene = scene_of(yard.job)
    if not isinstance(scene, Scene):
        yield not_checked(
            rule,
            "site",
            f"Whether the plants have the sun they want was not checked: {', '.join(scene)} is not known.",
            missing=", ".join(scene),
            remedy="Type it on the Site sheet, the height of the house on Palette; the Sun sheet then tells hours.",
        )
        return
    part = yard.basis.rules.get(PART_SUN)
    for row in rows:
        yield from _sun_of(scene, row, rule, part.value if part else rule.value / 2)


def _sun_of(scene: Scene, row: PlantedRow, rule: Rule, part: float) -> Iterator[Finding]:
    """What a row lacks of sun, or has too much of it."""
    if row.plant is None:
        return
    bands = {"full": (rule.value, 24.0), "part": (part, rule.value), "shade": (0.0, part)}
    wants = [bands[name] for name in row.plant.sun]
    least, most = min(low for low, _ in wants), max(high for _, high in wants)
    every = max(1, len(row.points) // MOST_SAMPLED)
    hours = season_hours(scene, row.points[::every][:MOST_SAMPLED], row.planting.id)
    if least - GOOD_TO <= hours <= most + GOOD_TO:
        return
    words = "too little" if hours < least else "more"
    yield broken(
        rule,
        _where(row.planting),
        f"{row.title} has {hours:.1f} hours of sun a day in the growing season: {words} than it wants.",
        measured=f"{hours:.1f} h",
        limit=f"at least {least:g} h" if hours < least else f"at most {most:g} h",
        remedy="Choose a plant for this light, or another place for it.",
    )


CHECKS: Mapping[str, Check] = {
    "plant-usda-zone": climate,
    "plant-harm": harm,
    **{f"tree-to-house-{name}": tree_to_house(name) for name, _ in SIZES},
    "tree-to-paving": tree_to_paving,
    "tree-to-buried": tree_to_buried,
    "tree-and-overhead": tree_and_overhead,
    "plant-over-path": crown_over,
    "plants-crowded": crowded,
    "plant-sun": sun_need,
}
