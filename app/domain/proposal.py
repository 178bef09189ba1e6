"""The proposal: what the client reads and signs, as one value. It holds what a client may see and nothing else.

Cost, margin, wages, suppliers and private notes have no field here, so no page or file made of it can carry them.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from app.domain.allowances import true_up_rule
from app.domain.basis import Assembly, Basis, Firm
from app.domain.checks import every_caution
from app.domain.choices import Choices, choices
from app.domain.costing.client_prices import Amount, ClientPrices, client_prices, set_aside_by_work
from app.domain.costing.estimate import Estimate
from app.domain.costing.firmness import reasons_for_client
from app.domain.costing.forgotten import left_to_client
from app.domain.costing.lines import WHOLE_JOB
from app.domain.costing.pay_rules import pay_words
from app.domain.costing.payments import Due, schedule
from app.domain.errors import BadValue
from app.domain.job import Firmness, Job, Phase, PlaceKind, PriceShown, Work, Zone, only_included
from app.domain.letterhead import Letterhead, head_fields, letterhead
from app.domain.palette import Swatch, finishes_named, palette
from app.domain.plan.measures import area


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing built, in words, with its finishes; its price only where the proposal is shown by line."""

    title: str
    words: str
    finishes: tuple[str, ...] = ()
    price: Amount | None = None
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonePage:
    """A page about one zone."""

    letter: str
    title: str
    words: str
    size_sq_ft: float | None
    items: tuple[Item, ...]
    asked: tuple[str, ...]
    price: Amount | None
    phase: str
    zone_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseRow:
    """A phase with when it is built, what it costs and how that price holds."""

    number: int
    title: str
    when: str
    words: str
    price: Amount
    holds: str
    in_contract: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A need and the letters of the zones that meet it."""

    words: str
    must: bool
    letters: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """Money set aside, or a price agreed for what may be found: title, amount [cents], words.

    Of money set aside the words say what is in it; `settled` is the rule by which the difference is.
    """

    title: str
    cents: int
    words: str
    settled: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal(Letterhead):
    """Everything printed, in the order it is printed."""

    story: str
    shown: PriceShown
    price: Amount
    zones: tuple[ZonePage, ...]
    whole: tuple[Item, ...]
    whole_price: Amount | None
    choices: Choices
    asked: tuple[Asked, ...]
    palette: tuple[Swatch, ...]
    phases: tuple[PhaseRow, ...]
    payments: tuple[Due, ...]
    payments_wrong: str = ""  # why they do not add up: nothing is offered until they do
    pay_words: tuple[str, ...]  # the firm's rules for cards, paying early and late; none where it has none
    left_to_pay: int | None = None  # cents, where a paid design fee comes off the payments
    exclusions: tuple[str, ...]
    allowances: tuple[Promise, ...]
    unit_prices: tuple[Promise, ...]
    cautions: tuple[tuple[str, str], ...]  # title, words
    terms: str
    terms_reviewed: str
    notices: tuple[tuple[str, str], ...]  # title, words as the firm pasted them
    papers_missing: tuple[str, ...]
    reasons: tuple[str, ...]  # why the price is a band, in words for the client


NOT_PRICED = "Not everything is priced yet."


def proposal(
    job: Job, basis: Basis, worked: Estimate, *, number: int, made_on: date, cautions: Mapping[str, tuple[str, str]]
) -> Proposal:
    """Gather the proposal of a job. `cautions` gives title and words by key."""
    offered = choices(job, basis, worked)
    job = only_included(job)
    prices = client_prices(job, worked)
    firm, head = basis.firm, job.head
    payments, wrong = _payments(job, firm, prices)
    shown = head.price_shown
    return Proposal(
        **head_fields(letterhead(job, firm, number=number, made_on=made_on)),
        story=head.story,
        shown=shown,
        price=prices.together,
        zones=tuple(_zone_page(job, basis, worked, prices, zone) for zone in job.zones),
        whole=_items(job, basis, worked, prices, [w for w in job.works if _zone_of(job, w) is None]),
        whole_price=prices.amount(prices.zones.get(WHOLE_JOB)) if shown in _BY_ZONE else None,
        choices=offered,
        asked=tuple(
            Asked(words=need.words, must=need.must, letters=_letters(job, need.zone_ids)) for need in job.needs
        ),
        palette=palette(job, basis, worked),
        phases=tuple(_phase_row(phase, prices, made_on) for phase in sorted(job.phases, key=lambda one: one.number)),
        payments=payments,
        payments_wrong=wrong,
        pay_words=pay_words(firm, payments),
        left_to_pay=sum(one.left for one in payments) if any(one.paid for one in payments) else None,
        exclusions=_exclusions(job, basis, worked),
        allowances=_allowances(job, basis, worked),
        unit_prices=tuple(
            Promise(title=one.title, cents=one.cents, words=one.unit)
            for one in sorted(job.unit_prices, key=lambda one: one.title)
        ),
        cautions=tuple(cautions[key] for key in every_caution(job, basis) if key in cautions),
        terms=firm.terms.text if firm.terms else "",
        terms_reviewed=_reviewed(basis),
        notices=tuple((page.title, page.text) for page in firm.notices if page.text and not page.file),
        papers_missing=_missing_papers(basis),
        reasons=() if prices.firm else reasons_for_client(job) if prices.known else (NOT_PRICED,),
    )


def _payments(job: Job, firm: Firm, prices: ClientPrices) -> tuple[tuple[Due, ...], str]:
    """The payments; none, and the sentence that says why, where they pass the contract sum."""
    try:
        return schedule(job, firm, prices), ""
    except BadValue as wrong:
        return (), wrong.sentence


def _exclusions(job: Job, basis: Basis, worked: Estimate) -> tuple[str, ...]:
    """What is not included: the job's own list, else the firm's, and what is left to the client; each once."""
    own = job.head.exclusions or basis.firm.standard_exclusions
    return tuple(dict.fromkeys((*own, *left_to_client(job, basis, worked.requirements))))


_BY_ZONE = {PriceShown.ZONE, PriceShown.LINE}


def _letters(job: Job, zone_ids: Iterable[object]) -> tuple[str, ...]:
    wanted = set(zone_ids)
    return tuple(zone.letter for zone in job.zones if zone.id in wanted)


def _zone_page(job: Job, basis: Basis, worked: Estimate, prices: ClientPrices, zone: Zone) -> ZonePage:
    chosen = job.chosen(zone)
    works = [work for work in job.works if _zone_of(job, work) == zone.id]
    phase = next((phase for phase in job.phases if phase.id == zone.phase_id), None)
    return ZonePage(
        letter=zone.letter,
        title=zone.title,
        words=zone.words,
        size_sq_ft=area(chosen.outline) if chosen and chosen.outline else None,
        items=_items(job, basis, worked, prices, works),
        asked=tuple(need.words for need in job.needs if zone.id in need.zone_ids),
        price=prices.amount(prices.zones.get(str(zone.id))) if job.head.price_shown in _BY_ZONE else None,
        phase=f"Phase {phase.number}" if phase and len(job.phases) > 1 else "",
        zone_id=str(zone.id),
    )


def _zone_of(job: Job, work: Work) -> object:
    """The zone a work belongs to; None for the whole job, and for what is not chosen."""
    if work.place is PlaceKind.ALTERNATIVE:
        own = next((one for one in job.alternatives if one.id == work.place_id), None)
        zone = next((zone for zone in job.zones if own and zone.id == own.zone_id), None)
        return zone.id if zone and job.chosen(zone) is own else "not chosen"
    zones: dict[UUID, UUID | None] = {run.id: run.zone_id for run in job.runs}
    zones |= {feature.id: feature.zone_id for feature in job.features}
    zones |= {edge.id: edge.zone_id for edge in job.edges}
    return zones.get(work.place_id) if work.place_id else None


def _items(job: Job, basis: Basis, worked: Estimate, prices: ClientPrices, works: Sequence[Work]) -> tuple[Item, ...]:
    """What is built, in the order in which it is read; the same thing in the same words is said once."""
    by_line = job.head.price_shown is PriceShown.LINE
    items = []
    for work in _as_read(job, works):
        assembly = basis.assemblies.get(work.assembly)
        if assembly is None or (not assembly.words and work.place is PlaceKind.JOB):
            continue
        title, count = work_name(job, work, assembly)
        items.append(
            Item(
                title=title,
                count=count,
                words=assembly.words,
                finishes=finishes_named(basis, worked, work),
                price=prices.amount(prices.works.get(str(work.id))) if by_line else None,
            )
        )
    return _alike_together(items)


def _alike_together(items: Sequence[Item]) -> tuple[Item, ...]:
    """Items of the same words and finishes as one, with their count and the sum of their prices."""
    together: dict[tuple[str, str, tuple[str, ...]], Item] = {}
    for item in items:
        key = (item.title, item.words, item.finishes)
        known = together.get(key)
        together[key] = (
            replace(known, count=known.count + item.count, price=_added(known.price, item.price)) if known else item
        )
    return tuple(together.values())


def _added(one: Amount | None, other: Amount | None) -> Amount | None:
    if one is None or other is None:
        return None
    pairs = ((one.firm, other.firm), (one.low, other.low), (one.high, other.high))
    firm, low, high = (a + b if a is not None and b is not None else None for a, b in pairs)
    return Amount(firm=firm, low=low, high=high)


def _as_read(job: Job, works: Sequence[Work]) -> list[Work]:
    """Surfaces first, then what stands on them, lines and edges, each as the job lists it; the job's own works last."""
    listed = (job.alternatives, job.features, job.runs, job.edges, job.existing)
    ids = [thing.id for things in listed for thing in things]
    places: dict[UUID | None, int] = {thing_id: at for at, thing_id in enumerate(ids)}
    return sorted(works, key=lambda work: places.get(work.place_id, len(places)))


def work_name(job: Job, work: Work, assembly: Assembly) -> tuple[str, int]:
    """A work as the client knows it, and how many: its own title, else what stands there, else the recipe's."""
    feature = next((one for one in job.features if one.id == work.place_id), None)
    if feature is None:
        return work.title or assembly.title, 1
    return work.title or feature.title or assembly.title, feature.count


def _allowances(job: Job, basis: Basis, worked: Estimate) -> tuple[Promise, ...]:
    """All money set aside in the price: the job's own allowances, and what works hold at the book's allowance."""
    held = set_aside_by_work(worked)
    promises = [
        Promise(title=one.title, cents=one.cents, words=one.words, settled=true_up_rule(one)) for one in job.allowances
    ]
    for work in _as_read(job, job.works):
        assembly = basis.assemblies.get(work.assembly)
        if assembly and held.get(str(work.id)):
            promises.append(
                Promise(
                    title=work_name(job, work, assembly)[0], cents=held[str(work.id)], words="", settled=true_up_rule()
                )
            )
    return tuple(promises)


def _phase_row(phase: Phase, prices: ClientPrices, made_on: date) -> PhaseRow:
    cents = prices.phases.get(str(phase.id), 0)
    in_contract = phase.firmness is not Firmness.RANGE
    low, high = prices.band(cents)
    priced = Amount(firm=cents) if prices.firm and in_contract else Amount(low=low, high=high)
    priced = priced if prices.known else Amount()
    return PhaseRow(
        number=phase.number,
        title=phase.title,
        when=_when(phase),
        words=phase.words,
        price=priced,
        holds=_holds(phase, made_on),
        in_contract=in_contract,
    )


def _when(phase: Phase) -> str:
    days = [f"{day:%B} {day.day}, {day.year}" for day in (phase.start, phase.done) if day]
    return " to ".join(days) if days else "to be agreed"


def _holds(phase: Phase, made_on: date) -> str:
    until = phase.firm_until or phase.start
    by = f" if started by {until:%B} {until.day}, {until.year}" if until and until > made_on else ""
    if phase.firmness is Firmness.FIRM:
        return f"firm{by}"
    if phase.firmness is Firmness.RISE:
        return f"firm{by}; after that it rises by {float(phase.rise):.1%}".replace(".0%", "%")
    return "a range, outside the contract sum; priced firm before it starts"


def _reviewed(basis: Basis) -> str:
    terms = basis.firm.terms
    if terms is None or not terms.reviewed_by:
        return ""
    day = f" on {terms.reviewed_on:%B} {terms.reviewed_on.day}, {terms.reviewed_on.year}" if terms.reviewed_on else ""
    return f"Terms reviewed by {terms.reviewed_by}{day}."


def _missing_papers(basis: Basis) -> tuple[str, ...]:
    """The papers the firm must add itself: nothing is claimed about them here."""
    firm = basis.firm
    missing = []
    if firm.terms is None or not (firm.terms.text or firm.terms.file):
        missing.append("The firm’s own terms of contract are not attached yet.")
    if not firm.notices:
        missing.append(
            "Notices that your state may require with a signature, such as of liens, are not part of these pages; the "
            "firm adds them. The federal notice of cancellation is added when this is signed at home."
        )
    return tuple(missing)
