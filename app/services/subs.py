"""Work given to subcontractors: packets with their scope, quotes side by side, the one that is accepted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID

from app.db.files import FileStore
from app.documents.formats import Formats
from app.domain.basis import CostClass, Subcontractor
from app.domain.costing.lines import labor_line
from app.domain.costing.quoted import Deal, book_cents, deals, extra_key, in_packet, scope_amounts, scope_key
from app.domain.errors import BadValue, NotFound
from app.domain.job import Packet, Quote, Stands
from app.domain.takeoff.requirements import Requirement
from app.services import book, jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.points import place_of
from app.services.prices import free_key
from app.services.sheets import Sheet, estimate_of, kept
from app.services.sub_papers import keep_paper
from app.services.zones import find


@dataclass(frozen=True, slots=True, kw_only=True)
class ScopeRow:
    """One line of a scope: what, where, how much; a further line has words only."""

    key: str
    title: str
    place: str = ""
    amount: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a quote says of one line of the scope."""

    stands: str = ""
    added_cents: int | None = None
    elsewhere: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One quote beside the others."""

    quote: Quote
    who: str
    total_cents: int | None
    holds: bool  # on the day it is looked at
    said: Mapping[str, Said]  # of every line of the scope

    @property
    def open_count(self) -> int:
        """How many lines it does not say clearly."""
        return sum(1 for one in self.said.values() if one.stands not in (Stands.IN.value, Stands.OUT.value))


@dataclass(frozen=True, slots=True, kw_only=True)
class PacketView:
    """A packet with its scope and its quotes, the lowest first."""

    packet: Packet
    rows: Sequence[ScopeRow]
    columns: Sequence[Column]
    book_cents: int

    @property
    def accepted(self) -> Column | None:
        """The quote that is priced."""
        return next((one for one in self.columns if one.quote.accepted_on), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Subs:
    """All that the page shows."""

    packets: Sequence[PacketView]
    unquoted: Sequence[str]  # titles of trades priced from the book
    trades: Sequence[tuple[str, str]]  # trades of the job by key
    works: Sequence[tuple[str, str]]  # works that may be given away whole
    book: Sequence[Subcontractor]


def subs_page(office: Office, view: Sheet) -> Subs:
    """What the page shows; kept while the job and its basis stand and the day is the same."""
    today = office.today()
    return kept(office, ("subs", view.job.head.id, today), view.opened, lambda: _page(office, view))


def _page(office: Office, view: Sheet) -> Subs:
    job, basis, worked = view.job, view.basis, view.estimate
    made = deals(job)
    hired = {
        one.key: None
        for one, line in zip(worked.requirements, worked.lines, strict=False)
        if line.cost_class is CostClass.SUBCONTRACT and one.amount > 0 and one.kind == "material"
    }
    open_keys = {one.key for one in worked.requirements if one.key in hired and not (made and made.of(one))}
    titles = {key: basis.materials[key].title for key in hired if key in basis.materials}
    return Subs(
        packets=[packet_view(office, view, one) for one in job.packets],
        unquoted=[title for key, title in titles.items() if key in open_keys],
        trades=sorted(titles.items(), key=lambda pair: pair[1]),
        works=_works(view),
        book=sorted(basis.subcontractors.values(), key=lambda one: (one.trade, one.title)),
    )


def _works(view: Sheet) -> list[tuple[str, str]]:
    """Works on the plan that come to something, with their place."""
    priced = {one.work_id for one in view.estimate.requirements if one.amount > 0}
    found = []
    for work in view.job.works:
        recipe = view.basis.assemblies.get(work.assembly)
        if recipe and work.id in priced and work.place_id is not None:
            place = place_of(view.job, f"work:{work.id}")[0]
            found.append((str(work.id), f"{place}: {work.title or recipe.title}"))
    return sorted(found, key=lambda pair: pair[1])


def packet_view(office: Office, view: Sheet, packet: Packet) -> PacketView:
    """A packet with its scope and quotes."""
    worked, basis = view.estimate, view.basis
    own = [one for one in worked.requirements if one.amount > 0 and in_packet(one, packet)]
    rows = scope_rows(view, packet)
    today = office.today()
    columns = [_column(view, one, packet, rows, today) for one in view.job.quotes if one.packet_id == packet.id]
    return PacketView(
        packet=packet,
        rows=rows,
        columns=sorted(columns, key=lambda one: (one.total_cents is None, one.total_cents or 0, one.who)),
        book_cents=sum(
            book_cents(one, basis, labor_line(one, worked.paying) if one.kind == "task" else None) for one in own
        ),
    )


def scope_rows(view: Sheet, packet: Packet) -> list[ScopeRow]:
    """The lines of a scope: from the recipes with their amounts, then the further ones."""
    fmt = Formats(view.basis.firm.system, view.basis.firm.currency)
    lines = {(line.work_id, line.index): line for line in view.estimate.lines if line.kind in ("material", "task")}
    rows: dict[str, ScopeRow] = {}
    amounts: dict[str, float] = {}
    for one in view.estimate.requirements:
        if one.amount <= 0 or not in_packet(one, packet):
            continue
        key, line = scope_key(one), lines.get((str(one.work_id), one.index))
        amounts[key] = amounts.get(key, 0.0) + (line.amount if line else 0.0)
        rows[key] = ScopeRow(
            key=key,
            title=line.title if line else one.label,
            place=_place(view, one),
            amount=fmt.as_bought(amounts[key], line.unit) if line else "",
        )
    return [*rows.values(), *(ScopeRow(key=extra_key(words), title=words) for words in packet.extras)]


def _place(view: Sheet, one: Requirement) -> str:
    work = next((it for it in view.job.works if it.id == one.work_id), None)
    recipe = view.basis.assemblies.get(one.assembly)
    title = (work.title if work else "") or (recipe.title if recipe else one.assembly)
    place = place_of(view.job, one.place)[0]
    return title if place == "The whole job" else f"{place}: {title}"


def _column(view: Sheet, quote: Quote, packet: Packet, rows: Sequence[ScopeRow], today: date) -> Column:
    sub = view.basis.subcontractors.get(quote.subcontractor)
    return Column(
        quote=quote,
        who=sub.title if sub else quote.subcontractor,
        total_cents=Deal(packet, quote).cents if quote.cents is not None else None,
        holds=quote.valid_until is not None and quote.valid_until >= today,
        said={row.key: _said(quote, row.key) for row in rows},
    )


def _said(quote: Quote, key: str) -> Said:
    stands = quote.scope.get(key)
    return Said(
        stands=stands.value if stands else "",
        added_cents=quote.added.get(key),
        elsewhere=quote.elsewhere.get(key, ""),
    )


def add_subcontractor(office: Office, values: Mapping[str, Any], order: Order) -> str:
    """Put somebody new into the book; returns the key."""
    key = free_key(values["title"], office.basis().subcontractors)
    new = Subcontractor(key=key, **values)
    book.make(office, "subcontractor", key, new, replace(order, what=f"New subcontractor: {new.title}"))
    return key


def say_scope(office: Office, job_id: UUID, quote_id: UUID, said: Mapping[str, Said], order: Order) -> Applied:
    """Write down line by line what is in a quote, out of it, or unclear; amounts added; where else it is priced.

    Raises: NotFound; BadValue for a word that is none of the three.
    """
    opened = jobs.open_job(office, job_id)
    find(opened.job.quotes, quote_id, "quote")
    known = {one.value for one in Stands}
    if any(one.stands not in {"", *known} for one in said.values()):
        raise BadValue("Choose in, out or unclear for each line.")
    fields = {
        "scope": {key: Stands(one.stands) for key, one in said.items() if one.stands},
        "added": {key: one.added_cents for key, one in said.items() if one.added_cents},
        "elsewhere": {key: one.elsewhere for key, one in said.items() if one.elsewhere},
    }
    edit = changed("quote", quote_id, opened.version("quote", quote_id), fields)
    return jobs.save(office, job_id, (edit,), replace(order, what="What is in a quote"))


def accept(office: Office, job_id: UUID, quote_id: UUID, order: Order, *, on: bool) -> Applied:
    """Accept a quote: it is priced from now on, in place of any other of its packet; or take that back.

    Raises: NotFound; BadValue for a quote without an amount.
    """
    opened = jobs.open_job(office, job_id)
    quote: Quote = find(opened.job.quotes, quote_id, "quote")
    packet: Packet = find(opened.job.packets, quote.packet_id, "packet")
    if on and quote.cents is None:
        raise BadValue("A quote needs its amount before it can be accepted. Type it first.", field="cents")
    needed = estimate_of(office, opened).requirements
    fields = {
        "accepted_on": office.today() if on else None,
        "amounts": scope_amounts(packet, needed) if on else {},
    }
    edits = [changed("quote", quote_id, opened.version("quote", quote_id), fields)]
    edits += [
        changed("quote", one.id, opened.version("quote", one.id), {"accepted_on": None, "amounts": {}})
        for one in opened.job.quotes
        if on and one.packet_id == packet.id and one.id != quote_id and one.accepted_on
    ]
    what = f"{'Accepted' if on else 'Not accepted any more'}: quote for {packet.title}"
    return jobs.save(office, job_id, tuple(edits), replace(order, what=what))


def attach(office: Office, job_id: UUID, quote_id: UUID, content: bytes, order: Order) -> Applied:
    """Keep the paper a quote came on. Raises: NotFound; BadValue for what is no PDF or picture, or too large."""
    opened = jobs.open_job(office, job_id)
    find(opened.job.quotes, quote_id, "quote")
    edit = changed("quote", quote_id, opened.version("quote", quote_id), {"file": keep_paper(office, content)})
    return jobs.save(office, job_id, (edit,), replace(order, what="The paper of a quote"))


def paper_of(office: Office, job_id: UUID, quote_id: UUID) -> bytes:
    """The paper a quote came on. Raises: NotFound."""
    quote: Quote = find(jobs.open_job(office, job_id).job.quotes, quote_id, "quote")
    if not quote.file:
        raise NotFound("This quote has no paper with it.")
    return FileStore(office.settings.files).read(quote.file)
