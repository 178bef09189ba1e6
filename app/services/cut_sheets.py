"""Cut sheets: a maker's own sheets that go with an application to a town or an association, behind our papers."""

from base64 import b64encode
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid5

from app.db.files import FileStore
from app.domain.errors import BadValue, NotFound
from app.domain.job import CutSheet
from app.services import jobs
from app.services.application_finishes import finishes_of
from app.services.changes import Applied
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.sub_papers import MOST_BYTES, PDF
from app.services.zones import find
from app.worker.running import run_in_worker

MOST = 30  # with one approval


def sheets_of(view: Sheet, approval_id: UUID) -> tuple[CutSheet, ...]:
    """The cut sheets that go with an approval, in the order they came."""
    mine = (one for one in view.job.cut_sheets if one.approval_id == approval_id)
    return tuple(sorted(mine, key=lambda one: (one.position, str(one.id))))


async def add(
    office: Office, view: Sheet, approval_id: UUID, values: Mapping[str, Any], content: bytes, order: Order
) -> Applied | None:
    """Put a sheet with an approval: a PDF as it is, a picture drawn anew.

    Raises: NotFound; BadValue for a finish that is not on the plan, too many, or a file that cannot be printed.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    find(view.job.approvals, approval_id, "approval")
    there = sheets_of(view, approval_id)
    if len(there) >= MOST:
        raise BadValue(f"{MOST} sheets go with this already. Take some out first.", field="file")
    material = values.get("sheet_material") or ""
    titles = {one.material: one.title for one in finishes_of(view)}
    if material and material not in titles:
        raise BadValue("Choose one of the list.", field="sheet_material")
    title = values.get("sheet_title") or titles.get(material, "")
    if not title:
        raise BadValue("Type what it is of, or choose the finish.", field="sheet_title")
    new = CutSheet(
        id=uuid5(order.change_id, "cut sheet"),
        approval_id=approval_id,
        title=title,
        material=material,
        file=await _kept(office, content),
        position=max((one.position for one in there), default=-1) + 1,
    )
    what = f"Cut sheet: {title}"[:120]
    return jobs.save(office, view.job.head.id, (made("cut_sheet", new),), replace(order, what=what))


async def _kept(office: Office, content: bytes) -> str:
    """The file by its content, once it is known to print. Raises: BadValue."""
    if not content:
        raise BadValue("Choose the sheet as a PDF or a picture.", field="file")
    if len(content) > MOST_BYTES:
        raise BadValue(f"This file is larger than {MOST_BYTES // 1_000_000} MB. Send a smaller one.", field="file")
    try:
        if content.startswith(PDF):
            await run_in_worker("pages", content)
            return FileStore(office.settings.files).keep(content)
        return FileStore(office.settings.files).keep(await run_in_worker("picture", content))
    except BadValue as wrong:
        raise BadValue(wrong.sentence, field="file") from wrong


def take_out(office: Office, view: Sheet, sheet_id: UUID, order: Order) -> Applied | None:
    """Take a sheet out again. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    gone = _sheet(view, sheet_id)
    edits = jobs.removal(view.opened, "cut_sheet", sheet_id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Cut sheet taken out: {gone.title}"[:120]))


def content_of(office: Office, view: Sheet, sheet_id: UUID) -> bytes:
    """The file of a sheet. Raises: NotFound."""
    return FileStore(office.settings.files).read(_sheet(view, sheet_id).file)


def printed(office: Office, sheets: Sequence[CutSheet]) -> tuple[list[tuple[str, str]], tuple[tuple[str, bytes], ...]]:
    """What is printed of sheets: pictures (title, address) on pages of ours, PDFs (title, content) behind them."""
    store, pictures, pages = FileStore(office.settings.files), [], []
    for one in sheets:
        if not store.has(one.file):  # a job opened from its file alone
            continue
        content = store.read(one.file)
        if content.startswith(PDF):
            pages.append((one.title, content))
        else:
            kind = "png" if content.startswith(b"\x89PNG") else "jpeg"
            pictures.append((one.title, f"data:image/{kind};base64,{b64encode(content).decode()}"))
    return pictures, tuple(pages)


def _sheet(view: Sheet, sheet_id: UUID) -> CutSheet:
    found = next((one for one in view.job.cut_sheets if one.id == sheet_id), None)
    if found is None:
        raise NotFound("This cut sheet is not there (any more).")
    return found
