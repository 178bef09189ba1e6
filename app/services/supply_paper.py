"""One order on paper, for its supplier: what was sent, or what would be; no money, of the client only where."""

from dataclasses import replace
from uuid import UUID

from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.documents.plan_drawing import plan_svg
from app.domain.job import Note, SentLine
from app.domain.ordering import OrderStanding, StandingLine
from app.domain.ordering.spots import Spot
from app.domain.units import format_day
from app.interchange.order_sheets import sent_words
from app.interchange.supply_sheet import SupplyLine, SupplyPaper
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.supply import Supply, supply


def supply_sheet(office: Office, view: Sheet, order_id: UUID) -> SupplyPaper:
    """An order in words. Raises: NotFound."""
    found = supply(office, view)
    standing = found.order(order_id)
    one, firm, head, client = standing.order, view.basis.firm, view.job.head, view.job.client
    street, town = head.street or client.street, head.town or client.town
    return SupplyPaper(
        number=f"{head.number}-{one.number}",
        firm=firm.name,
        phone=firm.phone,
        supplier=one.supplier_title,
        state=_state(standing),
        waits="" if one.sent_on else found.waits,
        address=", ".join(part for part in (street, town) if part),
        deliver_on=one.deliver_on,
        spot=found.spot(one).told,
        batch=one.batch,
        words=one.words,
        confirmation=one.confirmation,
        promised_on=one.promised_on,
        lines=_lines(found, standing),
    )


def _state(standing: OrderStanding) -> str:
    one = standing.order
    if one.called_off_on:
        return f"Called off on {format_day(one.called_off_on)}."
    if one.sent_on:
        return f"Ordered on {format_day(one.sent_on)} by {one.sent_by}."
    return "Not ordered yet."


def _lines(found: Supply, standing: OrderStanding) -> tuple[SupplyLine, ...]:
    if standing.lines:
        return tuple(_standing_line(line) for line in standing.lines if not line.off)
    draft = found.draft(standing.order)
    return (
        tuple(SupplyLine(amount=sent_words(one), title=one.title, notes=_notes(one)) for one in draft.lines)
        if draft
        else ()
    )


def _standing_line(line: StandingLine) -> SupplyLine:
    instead = (f"in place of {line.sent.title}",) if line.replaced else ()
    return SupplyLine(amount=sent_words(line.sent), title=line.title, notes=(*instead, *_notes(line.sent)))


def _notes(one: SentLine) -> tuple[str, ...]:
    beside = f" together with {', '.join(one.together)}" if one.together else ""
    told = (
        (f"{one.loads:,} {'load' if one.loads == 1 else 'loads'}{beside}", one.loads > 0),
        ("all from one batch, its number on the delivery slip", one.one_batch),
        ("special order", one.special),
        (f"{one.pallets:,} {'pallet goes' if one.pallets == 1 else 'pallets go'} back", one.pallets > 0),
        (f"for {' '.join(one.letters)}", bool(one.letters)),
    )
    return tuple(words for words, is_so in told if is_so)


def spot_drawing(found: Supply, spot: Spot) -> str:
    """The plan as it is built, with the spot an order is put down at and nothing else written on it (SVG)."""
    if spot.point is None:
        return ""
    job = found.build.stands.job
    here = Note(id=job.head.id, x=spot.point[0], y=spot.point[1], words="Put down here")
    drawn = replace(job, notes=(here,), dimensions=())
    return plan_svg(drawn, found.build.stands.basis, width_px=700, face="print")


def supply_pdf(office: Office, view: Sheet, order_id: UUID) -> PdfOrder:
    """An order on paper. Raises: NotFound."""
    paper = supply_sheet(office, view, order_id)
    firm, head = view.basis.firm, view.job.head
    title = f"Order {paper.number}"
    return PdfOrder(
        html=document(office.settings.templates, "supply_order", firm, {"order": paper, "title": title}),
        paper="a4" if (head.paper or firm.paper) == "a4" else "letter",
        title=title,
        language=firm.language,
        identifier=f"{head.id}-order-{order_id}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
