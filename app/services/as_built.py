"""The as-built sheet: the plan as it stands with what lies in the ground, notes, batches, what differs from signed."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid5

from markupsafe import Markup

from app.documents.pages import document
from app.documents.pdf import PdfOrder, drawing_image
from app.documents.plan_drawing import describe, plan_svg
from app.domain.errors import BadValue, NotFound
from app.domain.handover.as_built import AsBuilt, as_built
from app.domain.handover.handing_over import refuse_day
from app.domain.job import WHOLE_JOB, BuiltNote
from app.domain.letterhead import letterhead
from app.services import jobs
from app.services.build import build_sheet
from app.services.changes import Applied
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.own_photo import with_photo
from app.services.proposals import mark_address
from app.services.sheets import Sheet

WIDTH = 1000  # px, as it is printed across a page


def as_built_of(office: Office, view: Sheet) -> AsBuilt:
    """What was built, from today's plan; against what was signed, where something was."""
    stands = build_sheet(office, view).stands
    return as_built(view.job, view.basis, stands.job if stands.signed else None, office.firm().system)


def drawing(view: Sheet) -> str:
    """The plan as it stands, with every line in the ground."""
    return plan_svg(view.job, view.basis, width_px=WIDTH, face="print")


def things_to_note(view: Sheet) -> tuple[tuple[str, str], ...]:
    """What a note may be about: lines, things, zones, the whole job."""
    job = view.job
    lines = [(str(one.id), f"{one.kind.value.capitalize()}: {one.title or 'a line'}") for one in job.runs]
    things = [(str(one.id), one.title or "A thing") for one in job.features]
    zones = [(str(one.id), f"Zone {one.letter} {one.title}".strip()) for one in job.zones]
    return (*lines, *things, *zones, (WHOLE_JOB, "The whole job"))


def materials_to_note(view: Sheet) -> tuple[tuple[str, str], ...]:
    """The materials a batch may be of: those that are bought for what was built."""
    basis = view.basis
    keys = {one.key for one in view.estimate.requirements if one.kind == "material" and one.key in basis.materials}
    chosen = ((key, basis.materials[key].title) for key in keys if basis.materials[key].finish)
    return tuple(sorted(chosen, key=lambda pair: pair[1]))


def noted_places(view: Sheet) -> Mapping[str, str]:
    """What every note is about, in words, by the id it names; what is gone by none."""
    return dict(things_to_note(view))


async def add_note(
    office: Office, view: Sheet, values: Mapping[str, Any], picture: bytes, order: Order
) -> Applied | None:
    """Write down how something was built that nobody sees any more. Raises: BadValue beside what is missing."""
    if jobs.is_saved(office, order.change_id):
        return None
    thing = values.get("thing") or ""
    known = dict(things_to_note(view))
    if thing not in known:
        raise BadValue("Choose what the note is about.", field="thing")
    material = values.get("material") or ""
    if material and material not in view.basis.materials:
        raise BadValue("Choose one of the list.", field="material")
    day = values["day"]
    refuse_day(day, view.today)
    depth, batch, words = values.get("depth"), values.get("batch") or "", values.get("words") or ""
    if depth is None and not batch and not words and not picture:
        raise BadValue("Type a depth, a batch or a few words, or add a picture.", field="words")
    if batch and not material:
        raise BadValue("Choose the material that this batch is of.", field="material")
    caption = f"{known[thing]}: {words}".strip(": ")
    photo, edits = await with_photo(office, picture, order, caption=caption, when="during", day=day)
    new = BuiltNote(
        id=uuid5(order.change_id, "note"),
        thing=thing,
        day=day,
        depth=depth,
        material=material,
        batch=batch,
        words=words,
        photo_id=photo,
        said_by=office.who(),
        said_at=office.clock(),
    )
    edits = (*edits, made("built_note", new))
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"As built: {known[thing]}"[:120]))


def take_out(office: Office, view: Sheet, note_id: UUID, order: Order) -> Applied | None:
    """Take out a note that was written by mistake. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    if not any(one.id == note_id for one in view.job.built_notes):
        raise NotFound("This note is not there (any more).")
    edits = jobs.removal(view.opened, "built_note", note_id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what="As built: a note taken out"))


def as_built_pdf(office: Office, view: Sheet) -> PdfOrder:
    """The as-built sheet on paper, for the client's folder."""
    firm, head = office.firm(), view.job.head
    act = letterhead(view.job, firm, number=0, made_on=view.today)
    title = f"As built, {head.title}"
    values = {
        "act": act,
        "built": as_built_of(office, view),
        "drawing": Markup(drawing_image(drawing(view), describe(view.job))),  # noqa: S704 - ours, escaped
        "datum": view.job.site.datum,
        "mark": mark_address(office, act.mark),
    }
    return PdfOrder(
        html=document(office.settings.templates, "as_built", firm, values),
        paper="a4" if (head.paper or firm.paper) == "a4" else "letter",
        title=title,
        language=firm.language,
        identifier=f"{head.id}-as-built",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
