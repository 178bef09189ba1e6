"""How much a site slows work: factors computed from the site, one a cause, and from the month a phase begins in.

Source of the form: labor hours times a site factor is common practice; the figures are assumptions, shown as such, and
each may be set by hand for a site, with the reason.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from app.domain.basis import Firm, Rule, Season
from app.domain.job import OwnFactor, Phase, Site

MACHINE_RULE = "machine-passes"  # the width a small machine needs
MACHINE = 5.0  # ft, where that rule is not in the book


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


# (least value, factor): the last row that the site reaches counts
FAR = ((0.0, 1.0), (60.0, 1.1), (150.0, 1.25), (300.0, 1.4))  # ft from the truck
STEEP = ((0.0, 1.0), (0.08, 1.1), (0.15, 1.25), (0.25, 1.45))  # rise over run
BY_HAND, BY_BARROW, BARROW = 1.35, 1.2, 3.0  # the last: ft that a barrow needs
SOIL = {"sand": 1.0, "loam": 1.0, "fill": 1.1, "clay": 1.2, "rock": 1.6}
TOLD = {"easy": 1.0, "tight": 1.2, "hard": 1.35}  # as told on the first call, until the way in is measured
SEASONS: Mapping[str, str] = {"heat": "hot months", "frost": "months of frost", "wet": "wet months"}
NAMED: Mapping[str, str] = {"frost": "soil", "wet": "soil"}
CAUSES = ("access", "haul", "slope", "soil", *SEASONS)
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip


def site_factors(site: Site, machine: float = MACHINE) -> Mapping[str, SiteFactor]:
    """The factors of a site by cause: access, haul, slope, soil. What is not known slows nothing, and says so."""
    return _slowing(_known(site), machine, tuple(site.slowing.items()), (), ()).site


def slowing_of(site: Site, phases: Iterable[Phase], firm: Firm, rules: Mapping[str, Rule]) -> Slowing:
    """What slows the work of a job: the same object for as long as what it rests on is the same."""
    rule, seasons = rules.get(MACHINE_RULE), tuple(firm.seasons.items())
    begin = tuple((str(one.id), one.start.month) for one in phases if one.start) if seasons else ()
    return _slowing(_known(site), rule.value if rule else MACHINE, tuple(site.slowing.items()), begin, seasons)


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
    machine: float,
    own: _Own,
    begin: tuple[tuple[str, int], ...],
    seasons: tuple[tuple[str, Season], ...],
) -> Slowing:
    told, width, haul, slope, soil = known
    found = {
        "access": _access(told, width, machine),
        "haul": _stepped("haul", haul, FAR, "ft from the truck"),
        "slope": _stepped("slope", slope, STEEP, "rise over run"),
        "soil": _soil(soil),
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


def _access(told: str, width: float | None, machine: float) -> SiteFactor:
    rows = [(0.0, BY_HAND, "by hand"), (BARROW, BY_BARROW, "by barrow"), (machine, 1.0, "a machine passes")]
    if width is not None:
        reached = [row for row in rows if width >= row[0]] or rows[:1]
        least, factor, way = reached[-1]
        table = ", ".join(f"from {row[0]:g} ft: × {row[1]:g} ({row[2]})" for row in rows)
        row = f"from {least:g} ft, {way}: × {factor:g}"
        return SiteFactor("access", factor, f"{width:g} ft at the narrowest: {way}", table, row)
    why = f"told to be {told}" if told else "access not known"
    return SiteFactor("access", TOLD.get(told, 1.0), why, _listed(TOLD), _listed(_only(TOLD, told)))


def _soil(soil: str) -> SiteFactor:
    return SiteFactor("soil", SOIL.get(soil, 1.0), soil or "soil not known", _listed(SOIL), _listed(_only(SOIL, soil)))


def _only(factors: Mapping[str, float], key: str) -> Mapping[str, float]:
    return {key: factors[key]} if key in factors else {}


def _listed(factors: Mapping[str, float]) -> str:
    return ", ".join(f"{key}: × {factor:g}" for key, factor in factors.items())


def _stepped(cause: str, value: float | None, steps: tuple[tuple[float, float], ...], unit: str) -> SiteFactor:
    percent = steps is STEEP
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
