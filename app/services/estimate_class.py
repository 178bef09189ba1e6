"""The class of a job's estimate as its sheet shows it: what is known, what the next class lacks, published accuracy."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.domain.costing.known import Facts, Known, Lacking, Standing, standing
from app.interchange.estimate_classes import EstimateClass, estimate_classes
from app.services.office import Office
from app.services.points import place_of
from app.services.sheets import Sheet, kept

MOST_NAMED = 5  # things one kind lacks, then how many more


@dataclass(frozen=True, slots=True, kw_only=True)
class LackingRow:
    """One thing that is not known, with the address where it is settled (empty where there is none)."""

    what: str
    place: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownRow:
    """One kind of thing to know; `needed` where the next class waits for it.

    `count` things are lacking of it; the first of them are named in `lacking` where they are waited for.
    """

    title: str
    rule: str  # id of the firm's rule that says from which class it is asked for; empty where there is none
    asked_from: int
    count: int
    lacking: tuple[LackingRow, ...]
    needed: bool

    @property
    def never(self) -> bool:
        """Whether the firm asks for it in no class."""
        return self.asked_from > len(estimate_classes().classes)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassView:
    """The class of an estimate; shares are of the price: published ends and those of our own band."""

    standing: Standing
    classes: Sequence[EstimateClass]
    rows: tuple[KnownRow, ...]
    source: str
    own_low: float
    own_high: float

    @property
    def number(self) -> int:
        """1 is the roughest."""
        return self.standing.number

    @property
    def one(self) -> EstimateClass:
        """The class it is."""
        return self.classes[self.number - 1]

    @property
    def next(self) -> EstimateClass | None:
        """The class after it."""
        return self.classes[self.number] if self.number < len(self.classes) else None

    @property
    def needed(self) -> Sequence[KnownRow]:
        """What the next class waits for."""
        return [row for row in self.rows if row.needed]

    @property
    def narrower(self) -> bool:
        """Whether our band promises more than estimates defined as well are published to keep."""
        return self.own_high < self.one.high[0] or self.own_low > self.one.low[0]


def class_view(office: Office, view: Sheet) -> ClassView:
    """The class of a job's estimate; kept while the job, its basis and the day stand."""
    return kept(office, ("class", view.job.head.id, view.today), view.opened, lambda: _view(view))


def _view(view: Sheet) -> ClassView:
    worked, told = view.estimate, estimate_classes()
    found = standing(_facts(view))
    band = worked.range
    likely = band.likely or 1
    return ClassView(
        standing=found,
        classes=told.classes,
        rows=tuple(_row(view, one, found.next_step) for one in found.known),
        source=told.source,
        own_low=(band.low - band.likely) / likely,
        own_high=(band.high - band.likely) / likely,
    )


def _facts(view: Sheet) -> Facts:
    worked = view.estimate
    return Facts(view.job, view.basis, worked.requirements, worked.purchases, worked.findings, view.today)


def class_number(view: Sheet) -> int:
    """The class of a job's estimate: the same on its sheet, in print and on the command line."""
    return standing(_facts(view)).number


def _row(view: Sheet, one: Known, next_step: Sequence[Known]) -> KnownRow:
    needed = one in next_step
    return KnownRow(
        title=one.title,
        rule=one.key if one.key in view.basis.rules else "",
        asked_from=one.asked_from,
        count=len(one.lacking),
        lacking=tuple(_lacking(view, each) for each in one.lacking[:MOST_NAMED]) if needed else (),
        needed=needed,
    )


def _lacking(view: Sheet, one: Lacking) -> LackingRow:
    if one.where in _SHEETS:
        return LackingRow(what=one.what, place=_SHEETS[one.where], href=f"/jobs/{view.job.head.id}/{one.where}")
    if one.where.startswith("material:"):
        focus = f"price:{one.where.removeprefix('material:')}"
        href = f"/jobs/{view.job.head.id}/estimate?focus={focus}#margin-part"
        return LackingRow(what=one.what, place="its price", href=href)
    place, href = place_of(view.job, one.where)
    return LackingRow(what=one.what, place=place, href=href)


_SHEETS = {"plan": "The Plan sheet", "palette": "The Palette sheet", "price": "From cost to price"}
