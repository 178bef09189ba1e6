"""How much a site slows work: factors computed from the site, one a cause, and from the month a phase begins in.

The tables are rules of the basis (`site_tables`), the firm's to change. Whether a machine or only a barrow passes
decides how much carrying slows. Each factor may be set by hand for a site, with the reason.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from app.domain.basis import Firm, Rule, Season
from app.domain.costing.site_tables import BEFORE, Steps, Tables, tables_of
from app.domain.job import OwnFactor, Phase, Site


@dataclass(frozen=True, slots=True)
class SiteFactor:
    """One cause: hours are multiplied by `factor` for tasks that name it in `slows`; `table` says what gives which.

    `row` is the row of the table that this site came to; `reason` why it was set by hand instead.
    """

    cause: str
    factor: float
    why: str
    table: str = ""
    row: str = ""
    reason: str = ""

    @property
    def named(self) -> str:
        """The cause that a task names to be slowed by this: frost and wet slow what names the soil."""
        return NAMED.get(self.cause, self.cause)


@dataclass(frozen=True, slots=True, eq=False)
class Slowing:
    """What slows the work of a job: the site's own factors, and with them those of the month where a phase has one."""

    site: Mapping[str, SiteFactor]
    by_phase: Mapping[str, Mapping[str, SiteFactor]]

    def of(self, phase: str) -> Mapping[str, SiteFactor]:
        """The factors for work of a phase, by cause."""
        return self.by_phase.get(phase, self.site)


SEASONS: Mapping[str, str] = {"heat": "hot months", "frost": "months of frost", "wet": "wet months"}
NAMED: Mapping[str, str] = {"frost": "soil", "wet": "soil"}
CAUSES = ("access", "haul", "slope", "soil", *SEASONS)
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip


def site_factors(site: Site, tables: Tables = BEFORE) -> Mapping[str, SiteFactor]:
    """The factors of a site by cause: access, haul, slope, soil. What is not known slows nothing, and says so."""
    return _slowing(_known(site), tables, tuple(site.slowing.items()), (), ()).site


def slowing_of(site: Site, phases: Iterable[Phase], firm: Firm, rules: Mapping[str, Rule]) -> Slowing:
    """What slows the work of a job: the same object for as long as what it rests on is the same."""
    seasons = tuple(firm.seasons.items())
    begin = tuple((str(one.id), one.start.month) for one in phases if one.start) if seasons else ()
    return _slowing(_known(site), tables_of(rules), tuple(site.slowing.items()), begin, seasons)


def applying(slows: tuple[str, ...], factors: Mapping[str, SiteFactor]) -> list[SiteFactor]:
    """The factors that a task names, in the order it names them. A cause without a figure here slows nothing."""
    return [one for cause in slows for one in factors.values() if one.named == cause]


def slowed(hours: float, slows: tuple[str, ...], factors: Mapping[str, SiteFactor]) -> float:
    """Hours with every factor that the task names."""
    for one in applying(slows, factors):
        hours *= one.factor
    return hours


_Known = tuple[str, float | None, float | None, float | None, str]
_Own = tuple[tuple[str, OwnFactor], ...]


def _known(site: Site) -> _Known:
    return site.access, site.access_width, site.haul_distance, site.slope, site.soil


@lru_cache(maxsize=256)
def _slowing(
    known: _Known,
    tables: Tables,
    own: _Own,
    begin: tuple[tuple[str, int], ...],
    seasons: tuple[tuple[str, Season], ...],
) -> Slowing:
    told, width, haul, slope, soil = known
    found = {
        "access": _access(told, width, tables),
        "haul": _haul(haul, width, tables),
        "slope": _stepped("slope", slope, tables.slope, "rise over run"),
        "soil": _by_name("soil", soil, tables.soil, soil or "soil not known"),
    }
    by_hand = dict(own)
    site = {cause: _set(one, by_hand) for cause, one in found.items()}
    months, table = dict(seasons), _months(seasons)
    by_phase = {
        phase: {**site, month.cause: _set(_seasonal(month, number, table), by_hand)}
        for phase, number in begin
        if (month := months.get(str(number))) is not None
    }
    return Slowing(site, by_phase)


def _set(one: SiteFactor, by_hand: Mapping[str, OwnFactor]) -> SiteFactor:
    """A factor as it was set by hand for this site, if it was."""
    own = by_hand.get(one.cause)
    if own is None:
        return one
    return replace(
        one, factor=own.factor, reason=own.reason, row=f"set by hand; worked out it would be × {one.factor:g}"
    )


def _access(told: str, width: float | None, tables: Tables) -> SiteFactor:
    if width is None:
        return _by_name("access", told, tables.told, f"told to be {told}" if told else "access not known")
    rows = tables.access
    reached = [row for row in rows if width >= row[0]] or rows[:1]
    least, factor, way = reached[-1]
    table = ", ".join(f"from {row[0]:g} ft: × {row[1]:g} ({row[2]})" for row in rows)
    row = f"from {least:g} ft, {way}: × {factor:g}"
    return SiteFactor("access", factor, f"{width:g} ft at the narrowest: {way}", table, row)


def _haul(distance: float | None, width: float | None, tables: Tables) -> SiteFactor:
    """Carrying, with the machine where one is known to pass, else by barrow or hand."""
    passes = width is not None and width >= tables.machine_width
    if not tables.haul_by_machine or distance is None:
        return _stepped("haul", distance, tables.haul_by_barrow, "ft from the truck")
    if passes:
        return _stepped("haul", distance, tables.haul_by_machine, "ft from the truck, with a machine")
    return _stepped("haul", distance, tables.haul_by_barrow, "ft from the truck, by barrow or hand")


def _by_name(cause: str, name: str, factors: tuple[tuple[str, float], ...], why: str) -> SiteFactor:
    named = dict(factors)
    row = f"{name}: × {named[name]:g}" if name in named else ""
    table = ", ".join(f"{key}: × {factor:g}" for key, factor in factors)
    return SiteFactor(cause, named.get(name, 1.0), why, table, row)


def _stepped(cause: str, value: float | None, steps: Steps, unit: str) -> SiteFactor:
    percent = cause == "slope"
    rows = [f"from {f'{least:.0%}' if percent else f'{least:g} ft'}: × {factor:g}" for least, factor in steps]
    table = ", ".join(rows)
    if value is None:
        return SiteFactor(cause, 1.0, f"{cause} not known", table)
    at = max([place for place, (least, _) in enumerate(steps) if value >= least], default=0)
    return SiteFactor(cause, steps[at][1], f"{value:g} {unit}", table, rows[at])


def _seasonal(month: Season, number: int, table: str) -> SiteFactor:
    name, factor = MONTHS[number - 1], float(month.factor)
    return SiteFactor(month.cause, factor, f"begins in {name}", table, f"{name}: × {factor:g}")


def _months(seasons: tuple[tuple[str, Season], ...]) -> str:
    named = sorted((int(number), one) for number, one in seasons if number.isdigit())
    return ", ".join(f"{MONTHS[n - 1]} {one.cause}: × {float(one.factor):g}" for n, one in named if 1 <= n <= 12)
