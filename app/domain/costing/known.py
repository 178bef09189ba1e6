"""What is known of a job, and the class of its estimate that follows: what keeps it from the next one, thing by thing.

Which thing is asked for from which class is a rule of the basis (`known-…`), the firm's to change; a basis without such
rules asks as shipped. How old prices are wants a today: it is passed in, the same wherever the class is told.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from app.domain.basis import Basis, CostClass, Price
from app.domain.costing.forgotten import UNANSWERED
from app.domain.costing.price_day import stale_of
from app.domain.findings import Finding, Severity
from app.domain.job import PRIVATE_LINES, Answer, Job, Measured, PlaceKind, Run, known_lines, zones_by_key
from app.domain.takeoff.laid import WITH_PATTERN
from app.domain.takeoff.purchases import Purchase
from app.domain.takeoff.requirements import Requirement

CLASSES = 5  # of estimates, the first the roughest
FIRM = "known-firm"  # rule: the class from which a price may be firm
FIRM_FROM = 4  # where the basis holds no such rule
TOLD = frozenset({"known-priced", "known-answered"})  # by findings of their own, which are matters of money
NOT_PRICED = frozenset({"price-missing", "wage-missing"})


@dataclass(frozen=True, slots=True)
class Facts:
    """What an estimate knows when it asks how well it is known; `today` is the day at the site (None: not asked)."""

    job: Job
    basis: Basis
    needed: Sequence[Requirement]
    bought: Sequence[Purchase]
    findings: Sequence[Finding]
    today: date | None = None


@dataclass(frozen=True, slots=True)
class Lacking:
    """One thing that is not known yet: a sentence, and the place where it is settled."""

    what: str
    where: str


@dataclass(frozen=True, slots=True)
class Known:
    """One kind of thing to know: the class it is asked for from, and what is lacking of it."""

    key: str
    title: str
    asked_from: int
    lacking: tuple[Lacking, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """The class of an estimate, 1 to 5, and all that was asked, in the order of classes."""

    number: int
    firm_from: int
    known: tuple[Known, ...]

    @property
    def next_step(self) -> tuple[Known, ...]:
        """What keeps it from the next class."""
        return tuple(one for one in self.known if one.lacking and one.asked_from == self.number + 1)

    @property
    def may_be_firm(self) -> bool:
        """Whether the class allows a firm price."""
        return self.number >= self.firm_from


def standing(facts: Facts) -> Standing:
    """The class of an estimate: the last one all of whose things are known, and of the classes before it."""
    found = sorted((_asked(key, facts) for key in _ASKED), key=lambda one: one.asked_from)
    held_up = min((one.asked_from for one in found if one.lacking), default=CLASSES + 1)
    return Standing(min(CLASSES, max(1, held_up - 1)), firm_from(facts.basis), tuple(found))


def rough(facts: Facts) -> tuple[str, ...]:
    """What the class that allows a firm price still lacks, in sentences; what has no price is told by its finding."""
    most = firm_from(facts.basis)
    asked = [key for key in _ASKED if key not in TOLD and _from(facts.basis, key) <= most]
    return tuple(one.what for key in asked for one in _ASKED[key].look(facts))


def firm_from(basis: Basis) -> int:
    """The class from which a price may be firm."""
    rule = basis.rules.get(FIRM)
    return int(rule.value) if rule else FIRM_FROM


def _asked(key: str, facts: Facts) -> Known:
    asked = _ASKED[key]
    return Known(key, asked.title, max(2, _from(facts.basis, key)), tuple(asked.look(facts)))


def _from(basis: Basis, key: str) -> int:
    rule = basis.rules.get(key)
    return int(rule.value) if rule else _ASKED[key].asked_from


def _drawn(facts: Facts) -> Iterator[Lacking]:
    if not facts.job.works:
        yield Lacking("Nothing is drawn and built of something yet.", "plan")
    by_zone = facts.job.chosen_by_zone()
    for key, zone in zones_by_key(facts.job.zones).items():
        chosen = by_zone.get(zone.id)
        if chosen is None or chosen.outline is None:
            yield Lacking(f"{zone.letter} {zone.title} has no outline yet.", f"zone:{key}")


def _taped(facts: Facts) -> Iterator[Lacking]:
    by_zone = facts.job.chosen_by_zone()
    for key, zone in zones_by_key(facts.job.zones).items():
        chosen = by_zone.get(zone.id)
        if chosen is not None and chosen.outline is not None and chosen.measured is Measured.SKETCH:
            yield Lacking(f"{zone.letter} {zone.title} is a sketch; tape it.", f"zone:{key}")
    for run in priced_runs(facts.job):
        if run.measured is Measured.SKETCH:
            yield Lacking(f"{run.title or 'A run'} is a sketch; tape it.", f"run:{run.id}")


def priced_runs(job: Job) -> list[Run]:
    """The runs that something is built along."""
    placed = {work.place_id for work in job.works if work.place is PlaceKind.RUN}
    return [run for run in job.runs if run.id in placed]


def _seen(facts: Facts) -> Iterator[Lacking]:
    if facts.job.site.seen_on is None:
        yield Lacking("The site has not been seen yet.", "site")


def _priced(facts: Facts) -> Iterator[Lacking]:
    for one in facts.findings:
        if one.rule in NOT_PRICED and one.severity is Severity.STOP:
            yield Lacking(one.what, one.where)


def _finishes(facts: Facts) -> Iterator[Lacking]:
    """Finishes that the recipe chose, not the client."""
    materials = facts.basis.materials
    finishes = [one for one in facts.bought if (known := materials.get(one.material)) is not None and known.finish]
    if not finishes:
        return
    works = {work.id: work for work in facts.job.works}
    everywhere = {one.role for one in facts.job.choices if one.zone_id is None}
    here = {(str(one.zone_id), one.role) for one in facts.job.choices if one.zone_id is not None}
    open_roles: dict[tuple[str, str], None] = {}
    for one in (facts.needed[at] for bought in finishes for at in bought.requirements):
        work = works.get(one.work_id)
        chosen = (
            one.role in WITH_PATTERN
            or one.role in everywhere
            or (one.zone, one.role) in here
            or (work and one.role in work.finishes)
        )
        if not chosen:
            open_roles[one.role, materials[one.key].title] = None
    for role, title in open_roles:
        yield Lacking(f"The {role} is not chosen; {title} stands in for it.", "palette")


def _answered(facts: Facts) -> Iterator[Lacking]:
    for one in facts.findings:
        if one.rule == UNANSWERED:
            yield Lacking(one.what, one.where)


def _risks(facts: Facts) -> Iterator[Lacking]:
    if not facts.job.risks:
        yield Lacking("No risk of this job is listed yet.", "price")
    for one in facts.findings:
        if one.rule.startswith("risk-"):
            yield Lacking(one.what, "price")


def _quoted(facts: Facts) -> Iterator[Lacking]:
    """Subcontractors' work that is priced by a guess: no day until which they hold it."""
    work = [one.material for one in facts.bought if one.cost_class is CostClass.SUBCONTRACT and one.priced]
    for key in dict.fromkeys(work):
        price, material = facts.basis.prices.get(key), facts.basis.materials.get(key)
        if price is not None and price.valid_until is None:
            yield Lacking(
                f"{material.title if material else key} has no quote with a day.", f"supplier:{price.supplier}"
            )


_GROUND: Mapping[str, str] = {
    "access_width": "How wide the way in is",
    "haul_distance": "How far everything is carried",
    "slope": "How steep it is",
    "soil": "What soil it is",
}


def _ground(facts: Facts) -> Iterator[Lacking]:
    for name, what in _GROUND.items():
        if getattr(facts.job.site, name) in (None, ""):
            yield Lacking(f"{what} is not known.", "site")


def _lines(facts: Facts) -> Iterator[Lacking]:
    answers = known_lines(facts.job.site, facts.job.existing)
    unknown = [name for key, name in PRIVATE_LINES.items() if answers[key] is Answer.UNKNOWN]
    if unknown:
        named = "; ".join(unknown[:3]) + (f" and {len(unknown) - 3} more" if len(unknown) > 3 else "")
        yield Lacking(f"Not known whether they are there: {named}.", "site")


def _held(facts: Facts) -> Iterator[Lacking]:
    prices, no_longer_good = facts.basis.prices, stale_of(facts.bought, facts.basis, facts.today)
    undated: dict[str, int] = defaultdict(int)
    stale: dict[str, int] = defaultdict(int)
    for key in dict.fromkeys(one.material for one in facts.bought):
        price = prices.get(key)
        if price is None:
            continue
        if key in no_longer_good:
            stale[price.supplier] += 1
        elif not _has_day(price):
            undated[price.supplier] += 1
    for found, words in ((stale, "no longer good"), (undated, "without a day")):
        for supplier, count in sorted(found.items()):
            seller = facts.basis.suppliers.get(supplier)
            many = "1 price" if count == 1 else f"{count} prices"
            of = f" of {seller.title}" if seller else ""
            yield Lacking(f"{many}{of} {'is' if count == 1 else 'are'} {words}.", f"supplier:{supplier}")


def _has_day(price: Price) -> bool:
    return price.priced_on is not None or price.valid_until is not None


@dataclass(frozen=True, slots=True)
class _Asked:
    title: str
    asked_from: int  # where the basis holds no such rule
    look: Callable[[Facts], Iterator[Lacking]]


_ASKED: Mapping[str, _Asked] = {
    "known-drawn": _Asked("Every zone has an outline", 3, _drawn),
    "known-taped": _Asked("Zones and lines are taped", 4, _taped),
    "known-seen": _Asked("The site has been seen", 2, _seen),
    "known-priced": _Asked("Everything has a price", 3, _priced),
    "known-finishes": _Asked("Finishes are chosen", 5, _finishes),
    "known-ground": _Asked("Access, haul, slope and soil are known", 5, _ground),
    "known-lines": _Asked("Private buried lines are asked about", 5, _lines),
    "known-answered": _Asked("What is easily forgotten is answered", 4, _answered),
    "known-risks": _Asked("What may happen is listed", 5, _risks),
    "known-quoted": _Asked("Subcontractors' prices are quotes", 5, _quoted),
    "known-held": _Asked("Prices are held, or not too old", 5, _held),
}
