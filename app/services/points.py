"""Open points as the Checks sheet lists them: what each is called, where it is, what may be done about it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any
from zlib import crc32

from app.domain.basis import Basis
from app.domain.checks import Readiness, Settled, may_settle
from app.domain.findings import Finding
from app.domain.job import Job
from app.domain.takeoff.measures import zone_title
from app.domain.units import TRADE_UNITS
from app.services.point_titles import SAID_ALREADY, TITLES
from app.services.sheets import Sheet

# what the whole job lacks is measured, and its ticket typed, on the Site sheet
AT_THE_SITE = frozenset({"measure-missing", "call-before-you-dig"})
# what is typed on the Site sheet for a rule: the section of the sheet where that is
SECTION: Mapping[str, str] = {
    **dict.fromkeys(("setback", "easement"), "setbacks"),
    **dict.fromkeys(("lot-rights", "coverage", "plant-usda-zone", "loose-shovel"), "limits"),
    **dict.fromkeys(
        ("private-lines", "lines-not-asked", "call-before-you-dig", "ticket-missing", "ticket-ends"), "lines"
    ),
    **dict.fromkeys(
        ("over-lot-line", "house-off-lot", "drain-to-line", "passage-width", "fall-away-from-house"), "ground"
    ),
    **dict.fromkeys(("fire-distance-wood", "fire-distance-gas", "smoke-wind"), "ground"),
    **dict.fromkeys(("door-step", "door-sill"), "openings"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One open point: its finding, the words and address of its place, what may be done."""

    finding: Finding
    measured: str
    limit: str
    mark: str  # tells the fields of this point apart on the page
    place: str
    href: str
    may_settle: bool
    material: str  # key of a material whose price is missing, else empty
    unit: str  # what that material is bought by


@dataclass(frozen=True, slots=True, kw_only=True)
class PointGroup:
    """Points of one rule, under one title."""

    title: str
    rule: str  # id of a rule of the library, else empty
    points: tuple[Point, ...]

    @property
    def remedy(self) -> str:
        """What is to be done, where that is the same for several points: said once below them."""
        return _of_all(point.finding.remedy for point in self.points)

    @property
    def source(self) -> str:
        """Where their limit comes from, likewise."""
        return _of_all(point.finding.source for point in self.points)


def _of_all(words: Iterable[str]) -> str:
    """The words that several have in common; empty where there is one only, or where they differ."""
    said = list(words)
    return said[0] if len(said) > 1 and len(set(said)) == 1 else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part of the list: `kind` names its mark (stop, caution, or none)."""

    key: str
    kind: str
    groups: tuple[PointGroup, ...]

    @property
    def count(self) -> int:
        """How many points it holds."""
        return sum(len(group.points) for group in self.groups)


def sections(view: Sheet) -> tuple[Section, ...]:
    """The list "ready to sign?", the loudest first; parts that are empty are left out."""
    found = view.readiness
    parts: tuple[tuple[str, str, tuple[Finding, ...]], ...] = (
        ("law", "stop", found.law),
        ("money", "stop", found.money),
        ("region", "stop", found.region),
        ("crew", "stop", found.stops),
        ("warn", "caution", found.warns),
        ("not-checked", "caution", found.not_checked),
        ("note", "", found.notes),
    )
    made = (Section(key=key, kind=kind, groups=tuple(_groups(view, points))) for key, kind, points in parts)
    return tuple(section for section in made if section.groups)


def _groups(view: Sheet, findings: Iterable[Finding]) -> Iterator[PointGroup]:
    ordered = sorted(findings, key=lambda one: (title_of(view.basis, one.rule), one.where, one.what))
    for title, own in groupby(ordered, key=lambda one: title_of(view.basis, one.rule)):
        points = tuple(point_of(view, one) for one in own)
        rule = points[0].finding.rule
        yield PointGroup(title=title, rule=rule if rule in view.basis.rules else "", points=points)


def title_of(basis: Basis, rule: str) -> str:
    """What the points of a rule are called."""
    known = basis.rules.get(rule)
    return known.title if known else TITLES.get(rule, rule.replace("-", " ").capitalize())


def point_of(view: Sheet, finding: Finding) -> Point:
    """An open point as it is listed."""
    place, href = place_of(view.job, finding.where)
    if finding.rule in AT_THE_SITE and not href:
        place, href = place_of(view.job, "site")
    if finding.rule.startswith("sprinkler-"):
        focus = f"?focus={finding.where}#margin-part" if ":" in finding.where else ""
        href = f"/jobs/{view.job.head.id}/sprinklers{focus}"
    if href.endswith("/site") and finding.rule in SECTION:
        href = f"{href}#{SECTION[finding.rule]}"
    material = finding.where.removeprefix("material:") if finding.rule == "price-missing" else ""
    known = view.basis.materials.get(material)
    said = finding.rule in SAID_ALREADY
    return Point(
        finding=finding,
        measured="" if said else finding.measured,
        limit="" if said else finding.limit,
        mark=f"{crc32(finding.key.encode()):08x}-",
        place=place,
        href=href,
        may_settle=may_settle(finding),
        material=material if known else "",
        unit=_unit(known.buy) if known else "",
    )


def _unit(buy: str) -> str:
    """The unit a price is for, in words."""
    known = TRADE_UNITS.get(buy)
    return "piece" if buy == "each" else known.one if known else buy


def settled_points(readiness: Readiness, view: Sheet) -> tuple[tuple[Settled, str], ...]:
    """What somebody settled, with the words of its place: the newest day first, and within a day place by place."""
    placed = [(one, place_of(view.job, one.finding.where)[0]) for one in readiness.settled]
    by_place = sorted(placed, key=lambda pair: (pair[1], pair[0].finding.rule, pair[0].finding.what))
    return tuple(sorted(by_place, key=lambda pair: pair[0].settlement.on.date(), reverse=True))


SHEET_OF: Mapping[str, str] = {
    "zone": "plan",
    "run": "plan",
    "feature": "plan",
    "edge": "plan",
    "opening": "plan",
    "existing": "site",
    "site": "site",
    "mark": "tape",
    "need": "client",
    "client": "client",
    "phase": "phases",
    "payment": "phases",
    "allowance": "proposal",
    "forgotten": "forgotten",
    "packet": "subs",
    "approval": "phases",
    "approvals": "phases",
    "order": "orders",
    "orders": "orders",
    "log": "log",
    "proposal": "proposal",
    "subs": "subs",
    "tax": "price",
}
PAGE_OF: Mapping[str, tuple[str, str]] = {
    "firm": ("The firm", "/firm"),
    "firm-tax": ("Sales tax of the firm", "/firm?focus=tax#tax"),
    "labor_class": ("The firm's wages", "/firm"),
    "material": ("Price book", "/prices"),
    "prices": ("Price book", "/prices"),
    "supplier": ("Price book", "/prices?show=old&by=supplier"),
}


def place_of(job: Job, where: str) -> tuple[str, str]:
    """A place key in words, and the address of its margin note (empty where there is none)."""
    kind, _, key = where.partition(":")
    if kind == "work":
        return _place_of_work(job, key)
    if kind in PAGE_OF:
        return PAGE_OF[kind]
    words = _words(job, kind, key)
    if kind not in SHEET_OF:
        return words, ""
    return words, f"/jobs/{job.head.id}/{SHEET_OF[kind]}" + (f"?focus={where}#margin-part" if key else "")


def _place_of_work(job: Job, key: str) -> tuple[str, str]:
    work = next((one for one in job.works if str(one.id) == key), None)
    if work is None or work.place_id is None:
        return "The whole job", ""
    if work.place == "alternative":
        way = next((one for one in job.alternatives if one.id == work.place_id), None)
        return place_of(job, f"zone:{way.zone_id}") if way else ("The plan", "")
    return place_of(job, f"{work.place.value}:{work.place_id}")


def _words(job: Job, kind: str, key: str) -> str:
    fixed = {"site": "The site", "client": "The client", "job": "The whole job", "rules": "The library"}
    fixed |= {"payment": "The payments", "forgotten": "Nothing forgotten", "subs": "Subcontractors", "tax": "Sales tax"}
    fixed |= {"approvals": "Phases", "orders": "Orders", "log": "Daily log", "proposal": "The proposal"}
    if kind in fixed:
        return fixed[kind]
    if kind == "zone":
        zone = next((one for one in job.zones if str(one.id) == key), None)
        return zone_title(zone) if zone else "A zone"
    if kind == "edge":
        edge = next((one for one in job.edges if str(one.id) == key), None)
        return f"{_words(job, 'zone', str(edge.zone_id))}, an edge" if edge else "An edge"
    if kind == "opening":
        return next((one.title for place, one in enumerate(job.site.openings) if str(place) == key), "") or "A gate"
    things: Mapping[str, tuple[Any, ...]] = {
        "run": job.runs,
        "feature": job.features,
        "existing": job.existing,
        "mark": job.marks,
        "allowance": job.allowances,
        "phase": job.phases,
        "packet": job.packets,
        "approval": job.approvals,
    }
    found = next((one for one in things.get(kind, ()) if str(one.id) == key), None)
    if kind == "order":
        number = next((one.number for one in job.supply_orders if str(one.id) == key), "")
        return f"Order {number}".strip()
    title = getattr(found, "title", "") if found else ""
    return title or {"need": "What they asked for"}.get(kind, kind.capitalize())
