"""The firm's page: people with what an hour costs, margin with markup, terms and notices, the first-run walk."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from app.db.files import FileStore
from app.domain.basis import Firm, FirmPage, LaborClass
from app.domain.costing.crew_day import Day, counts_the_yard, day_of
from app.domain.costing.labor import cost_per_hour, has_cost, rates
from app.domain.costing.pay_rules import a_year, pay_words
from app.domain.costing.pay_year import year_cost
from app.domain.costing.price import markup_of
from app.domain.errors import NotFound
from app.domain.money import cents
from app.services import book, jobs
from app.services.book import Own
from app.services.jobs import Order
from app.services.office import Office
from app.worker import run_in_worker


@dataclass(frozen=True, slots=True, kw_only=True)
class People:
    """A class of people: what they are paid, what a billable hour costs; `starting` while the figures are ours."""

    key: str
    labor: LaborClass
    per_hour_cents: int | None
    burden_share: Decimal
    paid_hour: Decimal | None  # with what comes on top, where the worksheet is filled in
    billable: Decimal
    starting: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FirmSheet:
    """The firm's settings as the page shows them."""

    firm: Firm
    people: tuple[People, ...]
    markup: Decimal
    late_a_year: Decimal
    pay_words: tuple[str, ...]  # as the proposal prints them, before there are payments
    day: Day  # a paid day of the crew, at the firm's usual way from the yard
    kinds: tuple[str, ...]  # of work, as the library groups its recipes
    own: Own


def firm_sheet(office: Office) -> FirmSheet:
    """Read the firm's settings."""
    basis = office.basis()
    versions = book.own(office, "firm", "labor_class")
    counted = counts_the_yard(basis.firm, None)
    return FirmSheet(
        firm=basis.firm,
        people=tuple(
            _people(key, one, versions, counted=counted and not one.own)
            for key, one in sorted(basis.labor_classes.items())
        ),
        markup=markup_of(basis.firm.margin),
        late_a_year=a_year(basis.firm),
        pay_words=pay_words(basis.firm, ()),
        day=day_of(basis.firm, rates(basis, day_counts=counted)),
        kinds=tuple(sorted({one.group for one in basis.assemblies.values() if one.group})),
        own=versions,
    )


def _people(key: str, labor: LaborClass, versions: Own, *, counted: bool) -> People:
    """`counted`: the days of jobs pay for yard and road, so the year does not take them off again."""
    paid = has_cost(labor)
    worked = year_cost(labor.wage, labor.year, day_counts=counted) if paid and labor.year else None
    return People(
        key=key,
        labor=labor,
        per_hour_cents=cents(cost_per_hour(labor, day_counts=counted)) if paid else None,
        burden_share=sum(labor.burden.values(), Decimal(0)),
        paid_hour=worked.burdened if worked else None,
        billable=worked.billable if worked else labor.billable,
        starting=not versions.version("labor_class", key),
    )


def begin_firm(
    office: Office, firm_id: str, version: int, fields: Mapping[str, Any], wages: Mapping[str, Decimal], order: Order
) -> None:
    """The first-run walk saved as one change: the firm's fields, and the wages that differ from the starting ones."""
    basis = office.basis()
    edits = [book.edit_of(office, "firm", firm_id, version, fields)]
    edits += [
        book.edit_of(office, "labor_class", key, 0, {"wage": wage})
        for key, wage in wages.items()
        if basis.labor_classes[key].wage != wage
    ]
    jobs.save(office, None, tuple(edits), replace(order, what="The firm's first settings"))


async def set_mark(office: Office, version: int, content: bytes, order: Order) -> None:
    """Keep a picture as the firm's mark, written anew without anything but its pixels; none takes the mark away.

    Raises: BadValue on what is no picture.
    """
    cleaned = await run_in_worker("picture", content) if content else b""
    name = FileStore(office.settings.files).keep(cleaned) if cleaned else ""
    book.set_fields(office, "firm", office.firm_id, version, {"mark": name}, replace(order, what="The firm's mark"))


async def keep_page(office: Office, page: FirmPage, content: bytes) -> FirmPage:
    """A page of terms with its PDF kept, where one was sent. Raises: BadValue on what is no PDF we can print."""
    if not content:
        return page
    await run_in_worker("pages", content)
    return replace(page, file=FileStore(office.settings.files).keep(content))


async def set_terms(office: Office, version: int, page: FirmPage, content: bytes, order: Order) -> None:
    """The firm's terms: pasted text, or a PDF. A PDF that is there stays until another is sent or text is pasted."""
    now = office.firm().terms
    if now and now.file and not content and not page.text:
        page = replace(page, file=now.file)
    kept = await keep_page(office, page, content)
    book.set_fields(office, "firm", office.firm_id, version, {"terms": kept}, replace(order, what="Terms"))


async def add_notice(office: Office, version: int, page: FirmPage, content: bytes, order: Order) -> None:
    """A notice the region asks for, after the others."""
    kept = await keep_page(office, page, content)
    notices = (*office.firm().notices, kept)
    what = f"Notice: {page.title}"[:60]
    book.set_fields(office, "firm", office.firm_id, version, {"notices": notices}, replace(order, what=what))


def drop_notice(office: Office, version: int, place: int, order: Order) -> None:
    """Take the notice at a place (from 0) out. Raises: NotFound."""
    notices = office.firm().notices
    if not 0 <= place < len(notices):
        raise NotFound("There is no such notice (any more).")
    left = notices[:place] + notices[place + 1 :]
    book.set_fields(office, "firm", office.firm_id, version, {"notices": left}, replace(order, what="Notice taken out"))


def firm_file(office: Office, name: str) -> bytes:
    """A file of the firm: its mark, its terms, a notice. Raises: NotFound for any other."""
    firm = office.firm()
    known = {firm.mark, firm.terms.file if firm.terms else "", *(notice.file for notice in firm.notices)}
    if not name or name not in known:
        raise NotFound("The firm has no such file (any more).")
    return FileStore(office.settings.files).read(name)
