"""A packet on paper for those who quote: the scope in the recipes' words and amounts, without any money of ours."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from uuid import UUID

from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.basis import Assembly
from app.domain.job import Packet
from app.domain.takeoff.cautions import caution_keys
from app.interchange.crew_words import Step, crew_words
from app.interchange.library_file import Caution
from app.services.checks import told
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.subs import ScopeRow, scope_rows
from app.services.zones import find


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One work of a scope: where it is, what the recipe says of it, its lines; further lines have no place.

    `waits` names the step of ours that waits for the trade; empty where none does.
    """

    place: str
    words: str
    rows: Sequence[ScopeRow]
    waits: str = ""


def packet_pdf(office: Office, view: Sheet, packet_id: UUID) -> PdfOrder:
    """A packet on paper, the same for everybody who quotes.

    Raises: NotFound.
    """
    packet: Packet = find(view.job.packets, packet_id, "packet")
    firm, head = view.basis.firm, view.job.head
    rows = scope_rows(view, packet)
    title = f"Request for a quote, {packet.title}"
    values = {
        "job": view.job,
        "firm": firm,
        "packet": packet,
        "parts": _parts(view, rows, crew_words(office.settings.library).steps),
        "cautions": _cautions(office, view, rows),
        "title": title,
    }
    return PdfOrder(
        html=document(office.settings.templates, "packet", firm, values),
        paper="a4" if (head.paper or firm.paper) == "a4" else "letter",
        title=title,
        language=firm.language,
        identifier=f"{head.id}-packet-{packet.id}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )


def _parts(view: Sheet, rows: Sequence[ScopeRow], steps: Mapping[str, Step]) -> list[Part]:
    recipes = _recipes(view)
    grouped = ((work, list(own)) for work, own in groupby(rows, key=_work_of))
    return [_part(view.basis.assemblies.get(recipes.get(work, "")), own, steps) for work, own in grouped]


def _part(recipe: Assembly | None, rows: Sequence[ScopeRow], steps: Mapping[str, Step]) -> Part:
    if recipe is None:
        return Part(place=rows[0].place, words="", rows=rows)
    waits = steps.get(recipe.build.waits_for_trade)
    return Part(place=rows[0].place, words=recipe.words, rows=rows, waits=waits.title if waits else "")


def _work_of(row: ScopeRow) -> str:
    """The id of the work a line belongs to; what is none of ours reads as no work."""
    return row.key.partition(":")[0]


def _recipes(view: Sheet) -> Mapping[str, str]:
    return {str(work.id): work.assembly for work in view.job.works}


def _cautions(office: Office, view: Sheet, rows: Sequence[ScopeRow]) -> tuple[Caution, ...]:
    """The usual cautions of the works in a scope, in full words."""
    recipes = _recipes(view)
    found = {recipes[work] for row in rows if (work := _work_of(row)) in recipes}
    known = (view.basis.assemblies[key] for key in found if key in view.basis.assemblies)
    return told(office, tuple(key for recipe in known for key in caution_keys(recipe, view.basis)))
