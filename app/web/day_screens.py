"""A day's sheet on a screen and on paper, as the office and the field both open it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from fastapi import Request
from fastapi.responses import Response
from markupsafe import Markup

from app.documents.crew_symbols import of_caution, symbol_svg
from app.documents.pdf import NO_PANGO, PdfOrder, drawing_image, pdf_available
from app.documents.qr_codes import qr_svg
from app.domain.errors import NotFound
from app.domain.sharing import Over
from app.services.build import named, paper_of, signed_words
from app.services.day_pages import DayPage, PartPage, day_page
from app.services.day_sheets import NO_SUCH_DAY, day_sheet
from app.services.field import BUILT
from app.services.office import Office
from app.services.sharing import shared_name
from app.services.sheets import Sheet
from app.services.waiting import free_on, holds
from app.web.crew_screens import printed
from app.web.forms.saving import Saved
from app.web.rendering import page, svg
from app.web.sheet_pages import NOTHING_SENT

CODE_PX = 150


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which day, whose, in which language where it is everybody's, and below which address it hangs."""

    day: date
    home: str
    person: str = ""
    language: str = "en"

    @property
    def address(self) -> str:
        """The page of it."""
        return f"{self.home}/days/{self.day}" + (f"/{self.person}" if self.person else "")


def day_of_address(text: str) -> date:
    """The day that an address names. Raises: NotFound."""
    try:
        return date.fromisoformat(text)
    except ValueError as wrong:
        raise NotFound(NO_SUCH_DAY) from wrong


def day_screen(
    request: Request, office: Office, view: Sheet, asked: Asked, saved: Saved[Any] = NOTHING_SENT
) -> Response:
    """A day: no bar, no price, nothing of ours."""
    made = day_page(office, view, day_sheet(office, view, asked.day, asked.person), asked.language)
    context = {
        "job": made.stands.job,
        "one": made,
        "said": made.say,
        "asked": asked,
        "home": asked.home,
        "saved": saved,
        "symbol": lambda name: svg(symbol_svg(name)),
        "of_caution": of_caution,
        "drawn": {at: svg(part.drawing) for at, part in _first_of_place(made)},
        "no_pdf": "" if pdf_available() else NO_PANGO,
        "language": made.say.language,
        "free_on": free_on(holds(office, view)),
        "paper": False,
    }
    return page(request, "field/sheet.html", context, status=saved.status)


async def day_on_paper(request: Request, office: Office, view: Sheet, asked: Asked) -> Response:
    """The same on paper, with the code that leads from it to its page."""
    made = day_page(office, view, day_sheet(office, view, asked.day, asked.person), asked.language)
    order = _paper(office, view, made, asked)
    return await printed(request, order, f"day-{asked.day}.pdf")


def _paper(office: Office, view: Sheet, made: DayPage, asked: Asked) -> PdfOrder:
    say, stands = made.say, made.stands
    address = shared_name(office).link(Over.SECURE) + asked.address
    code = drawing_image(
        qr_svg(address, say("The page of this sheet"), width_px=CODE_PX), say("The page of this sheet")
    )
    drawn = {
        at: Markup(drawing_image(part.drawing, part.page.drawing_words))  # noqa: S704 - ours, escaped
        for at, part in _first_of_place(made)
        if part.page
    }
    values = {
        "job": stands.job,
        "firm_name": office.firm().name,
        "one": made,
        "said": say,
        "symbol": lambda name: svg(symbol_svg(name)),
        "of_caution": of_caution,
        "drawn": drawn,
        "code": Markup(code),  # noqa: S704 - ours, escaped
        "address": address if view.job.head.stage in BUILT else "",
        "signed": signed_words(stands, say),
        "free_on": free_on(holds(office, view)),
        "paper": True,
        "asked": asked,
        "home": asked.home,
    }
    title = f"{say('Day sheet')} {asked.day}, {named(stands.job)}"
    return paper_of(office, stands, "day_sheet", title, values, f"{asked.day}-{asked.person}", say)


def _first_of_place(made: DayPage) -> Iterator[tuple[int, PartPage]]:
    """The parts that are drawn: the first of each place, whose drawing serves those that follow."""
    seen = set()
    for at, part in enumerate(made.parts):
        place = part.part.row.planned.place
        if part.drawing and place not in seen:
            seen.add(place)
            yield at, part
