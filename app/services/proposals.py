"""The proposal: gathered, shown, offered."""

from base64 import b64encode
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from markupsafe import Markup

from app.db.repositories.revisions import Revision, next_number
from app.documents.bloom_dabs import dab_svg
from app.documents.lying_drawing import boards_svg
from app.documents.pages import document
from app.documents.pdf import PdfOrder, drawing_image
from app.documents.plan_drawing import describe, plan_svg
from app.documents.plan_parts import drawn_zones
from app.documents.swatches import Swatch, palette_of, palette_svg, swatch_svg
from app.domain.basis import Basis
from app.domain.codec import to_plain
from app.domain.costing.client_prices import Amount, tax_in
from app.domain.errors import Refused
from app.domain.job import Job, only_included
from app.domain.palette import Swatch as Finish
from app.domain.palette.bloom_colors import bloom_hexes
from app.domain.palette.seasons import Showing, by_season
from app.domain.palette.seen_in import LOOKS
from app.domain.palette.tiles import tiles_of
from app.domain.proposal import Proposal, proposal
from app.services import revisions
from app.services.bed_care import bloom_chart, grown_harm
from app.services.beds import RowLine, lines_of_beds
from app.services.held_offers import held_now, printed_rows
from app.services.jobs import Order
from app.services.office import Office
from app.services.plan_print import paper_of, plan_pages
from app.services.revisions import PROPOSAL, Offer
from app.services.sheets import Sheet
from app.services.yard_view import drawn_yard, looked_of

COUNTED = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve")


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """The proposal as it would be offered now: its value and its HTML."""

    offer: Proposal
    html: str
    price_cents: int | None


def draft(office: Office, view: Sheet, *, number: int, made_on: date, holds_until: date | None = None) -> Draft:
    """The proposal of a job as it stands; it holds as long as the job says, or until the day that is given."""
    cautions = {key: (one.title, one.words) for key, one in office.cautions.items() if not one.crew_only}
    offer = proposal(view.job, view.basis, view.estimate, number=number, made_on=made_on, cautions=cautions)
    firm, job = view.basis.firm, view.job
    swatches = palette_of(job, view.basis)
    offer = replace(offer, palette=in_order_of(swatches, offer.palette), holds_until=holds_until or offer.holds_until)
    cover = plan_svg(job, view.basis, width_px=760, height_px=575, face="cover")
    values = {
        "offer": offer,
        "plan": Markup(drawing_image(cover, describe(job))),  # noqa: S704 - made here, escaped there
        "to_scale": plan_pages(view, f"Proposal {number}", made_on),
        "plan_page": f"plan-{paper_of(view)}",
        "strip": _strip(swatches),
        "boards": _boards(job, view.basis),
        "yard": _yard(office, view),
        "dabs": [_dab(place, finish) for place, finish in enumerate(offer.palette)],
        "places": places(job, view.basis),
        "beds": planted_beds(view, job),
        "seasons": printed_seasons(job, view.basis),
        "mark": mark_address(office, offer.mark),
        "zone_count": counted(len(offer.zones)),
        "phase_count": counted(len(offer.phases)).lower(),
        "outside": any(not phase.in_contract for phase in offer.phases),
    }
    html = document(office.settings.templates, "proposal", firm, values)
    return Draft(offer=offer, html=html, price_cents=offer.price.firm)


def places(job: Job, basis: Basis) -> Mapping[str, Markup]:
    """Each zone that is drawn, by id: a drawing of it with what lies around it."""
    found = {}
    for zone, _outline in drawn_zones(only_included(job)):
        drawn = plan_svg(job, basis, width_px=600, height_px=380, highlight=zone.id, face="place")
        said = f"{zone.letter} {zone.title} and what lies around it, to scale".strip()
        found[str(zone.id)] = Markup(drawing_image(drawn, said))  # noqa: S704 - made here, escaped there
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantedPage:
    """A bed on the proposal: its letter and title, its plants with their letters, its bloom as a picture. No money."""

    letter: str
    title: str
    lines: Sequence[RowLine]
    chart: Markup
    harm: Sequence[str]


def planted_beds(view: Sheet, job: Job) -> Sequence[PlantedPage]:
    """The beds of what is offered that have a plant list."""
    found = []
    for bed in lines_of_beds(only_included(job), view.basis):
        rows = [line.row for line in bed.lines if line.row.plant and line.row.count]
        if rows:
            said = f"Bloom and height through the year, {bed.zone.title}"
            chart = Markup(drawing_image(bloom_chart(bed.zone.title, rows, view.basis.firm.system), said))  # noqa: S704 - made here, escaped there
            lines = [line for line in bed.lines if line.row in rows]
            page = PlantedPage(
                letter=bed.zone.letter, title=bed.zone.title, lines=lines, chart=chart, harm=grown_harm(rows)
            )
            found.append(page)
    return found


def printed_seasons(job: Job, basis: Basis) -> Sequence[tuple[str, Sequence[tuple[Markup, Showing]]]]:
    """What blooms by season, each with a dab of its colors, for print."""
    return [(season, [(_bloom_dab(one), one) for one in shown]) for season, shown in by_season(job, basis)]


def _bloom_dab(one: Showing) -> Markup:
    drawn = dab_svg(bloom_hexes(one.colors))
    return Markup(drawing_image(drawn, one.words)) if drawn else Markup("")  # noqa: S704 - made here


def _strip(swatches: Sequence[Swatch]) -> Markup:
    """The palette as a picture, or nothing."""
    said = "The palette in the shares in which it lies"
    return Markup(drawing_image(palette_svg(swatches), said)) if swatches else Markup("")  # noqa: S704 - made here


def _boards(job: Job, basis: Basis) -> Markup:
    """The palette as it will lie, dry and wet by day; or nothing."""
    drawn = boards_svg(tiles_of(job, basis), looks=LOOKS[:2])
    said = "The surfaces as large as the ground each covers, against what they touch; dry and wet"
    return Markup(drawing_image(drawn, said)) if drawn else Markup("")  # noqa: S704 - made here


def _yard(office: Office, view: Sheet) -> Markup:
    """The yard seen from aside, where the job says that its proposal shows it."""
    asked = view.job.head.yard_view
    drawn = drawn_yard(office, view, looked_of(asked), width_px=760) if asked else ""
    said = "The yard seen from above and aside, to scale"
    return Markup(drawing_image(drawn, said)) if drawn else Markup("")  # noqa: S704 - made here


def _dab(place: int, finish: Finish) -> Markup:
    """A finish as a small swatch beside its title."""
    swatch = Swatch(title=finish.title, color=finish.color, hatch=finish.hatch)
    drawn = swatch_svg(swatch, f"dab-{place}", width_px=44, height_px=24)
    return Markup(drawing_image(drawn, f"Swatch of {finish.title}"))  # noqa: S704 - made here


def in_order_of(strip: Sequence[Swatch], finishes: Sequence[Finish]) -> tuple[Finish, ...]:
    """The finishes in the order of the strip above them; what only edges or stands there follows."""
    places = {swatch.title: place for place, swatch in enumerate(strip)}
    return tuple(sorted(finishes, key=lambda finish: places.get(finish.title, len(places))))


def counted(number: int) -> str:
    """A small number in words.

    >>> counted(5), counted(40)
    ('Five', '40')
    """
    return COUNTED[number] if number < len(COUNTED) else str(number)


def pdf_order(office: Office, view: Sheet, made: Draft) -> PdfOrder:
    """What the printed proposal depends on; terms that are a PDF follow its pages."""
    firm = view.basis.firm
    pages = [firm.terms] if firm.terms and firm.terms.file else []
    pages += [notice for notice in firm.notices if notice.file]
    store = revisions.files_of(office)
    paper = view.job.head.paper or firm.paper
    return PdfOrder(
        html=made.html,
        paper="a4" if paper == "a4" else "letter",
        title=f"Proposal {made.offer.number}, {view.job.head.title}",
        language=firm.language,
        identifier=f"{view.job.head.id}-{made.offer.number}-{view.opened.counter}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
        pages=tuple((page.title, store.read(page.file)) for page in pages),
    )


def next_draft(office: Office, view: Sheet) -> Draft:
    """The draft of the next proposal, made today at the site, at the prices an open offer holds."""
    with office.database.read() as connection:
        number = next_number(connection, str(view.job.head.id), PROPOSAL)
    today = revisions.today_at(office, view.job.head.time_zone)
    held = held_now(office, view)
    if held is None:
        return draft(office, view, number=number, made_on=today)
    return draft(office, held.view, number=number, made_on=today, holds_until=held.printed.holds_until)


async def offer(office: Office, view: Sheet, order: Order, *, contractor: str = "") -> Revision:
    """Offer the proposal as it stands; `contractor` signs it for the firm, too.

    Raises: Refused while the price is a range or a point that stops is open.
    """
    held = held_now(office, view)
    made = next_draft(office, view)
    view = held.view if held else view
    if view.estimate.firm_price_cents is None:
        why = " ".join(view.estimate.reasons[:3])
        raise Refused(f"The price is still a range, so it cannot be signed. {why}")
    if stops := view.readiness.signing_stops:
        first = "; ".join(one.what.rstrip(".") for one in stops[:3])
        many = "One open point keeps" if len(stops) == 1 else f"{len(stops)} open points keep"
        raise Refused(f"{many} it from being signed: {first}. What may be done about it stands on Checks.")
    results = {
        "price_cents": view.estimate.price_cents,
        "contract_cents": made.price_cents,
        "by_zone": dict(view.estimate.price_by_zone),
        "by_phase": dict(view.estimate.price_by_phase),
        "steps": {step.name: step.cents for step in view.estimate.build_up.steps},
        "lines": [to_plain(line) for line in view.estimate.lines],
        "selling": list(view.estimate.selling),
        "options": printed_rows(made.offer),
        "payments": [to_plain(one) for one in made.offer.payments],
        "contract_tax_cents": tax_in(view.job, view.estimate),
    }
    return await revisions.issue(
        office,
        view,
        Offer(
            kind=PROPOSAL,
            pdf=pdf_order(office, view, made),
            price_cents=made.price_cents,
            holds_until=made.offer.holds_until,
            signers=made.offer.signers,
            results=results,
            contractor=contractor,
        ),
        order,
    )


def mark_address(office: Office, name: str) -> str:
    """The firm's mark as a data address, or empty."""
    store = revisions.files_of(office)
    if not name or not store.has(name):
        return ""
    content = store.read(name)
    kind = "image/png" if content.startswith(b"\x89PNG") else "image/jpeg"
    return f"data:{kind};base64,{b64encode(content).decode()}"


def covered(offer: Proposal) -> Proposal:
    """The proposal with its price under cover: no figure of money is left in it."""
    nothing = Amount()
    return replace(
        offer,
        price=nothing,
        whole_price=None,
        choices=offer.choices.covered,
        zones=tuple(
            replace(zone, price=None, items=tuple(replace(item, price=None) for item in zone.items))
            for zone in offer.zones
        ),
        whole=tuple(replace(item, price=None) for item in offer.whole),
        phases=tuple(replace(phase, price=nothing) for phase in offer.phases),
        payments=(),
        pay_words=(),
        allowances=tuple(replace(one, cents=0) for one in offer.allowances),
        unit_prices=(),
        reasons=(),
    )


def body_of(html: str) -> str:
    """What stands between the body tags of a document, to be shown within a page of ours."""
    return html.partition("<body")[2].partition(">")[2].partition("</body>")[0]
