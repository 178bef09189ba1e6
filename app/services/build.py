"""What the crew builds and what is bought: from what was signed where something was, else from the draft, marked so."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from markupsafe import Markup

from app.db.repositories.revisions import Revision
from app.documents.pages import document
from app.documents.pdf import PdfOrder, drawing_image
from app.documents.tongues import ENGLISH, Tongue
from app.domain.basis import Assembly, Basis
from app.domain.checks.engine import check
from app.domain.costing.estimate import Estimate, estimate
from app.domain.crew import CrewSheet, crew_sheets
from app.domain.errors import NotFound
from app.domain.findings import Finding, Severity
from app.domain.job import PRIVATE_LINES, Answer, Job
from app.domain.orders import OrderList, order
from app.interchange.job_file import read_job_file
from app.interchange.order_sheets import LISTS, NOBODY, bought_words, heading, notes_of
from app.services import revisions
from app.services.crew_pages import GENERAL, CrewPage, crew_page
from app.services.layout_pages import LayoutPage, layout_page
from app.services.office import Office
from app.services.revisions import CHANGE, CHANGE_ORDER, PROPOSAL
from app.services.sheets import Sheet, kept
from app.services.waiting import Hold, holds, not_before

SOON = timedelta(days=7)
AGREED = (PROPOSAL, CHANGE, CHANGE_ORDER)
FOUND_OUT = ("private_lines", "private_lines_note", "ticket", "ticket_until")  # of the site, whenever that is
CALL_FIRST = "call-before-you-dig"
BEFORE_DIGGING = frozenset({CALL_FIRST, "licensed-trade"})  # said here whatever their severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Stands:
    """What orders and crew sheets stand on: the signed revision, or the draft. `apart`: the draft orders otherwise."""

    job: Job
    basis: Basis
    signed: Revision | None
    apart: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildSheet:
    """The build sheet: what it stands on, what is ordered, what the crew gets, what must be true before."""

    stands: Stands
    orders: tuple[OrderList, ...]
    crews: tuple[CrewSheet, ...]
    late: tuple[OrderList, ...]  # with something on it that should have been ordered by today
    soon: tuple[OrderList, ...]  # with something that is due within a week
    unscheduled: tuple[str, ...]  # phases without a start
    stops: tuple[Finding, ...]  # what must be so before the crew starts
    unasked: tuple[str, ...]  # private lines that nobody asked about
    holds: tuple[Hold, ...] = ()  # what the client may still cancel
    planned: tuple[OrderList, ...] = ()  # what today's plan, not signed, would order

    @property
    def not_before(self) -> str:
        """What stands on papers that must wait; empty where nothing does."""
        return not_before(self.holds)


def build_sheet(office: Office, view: Sheet) -> BuildSheet:
    """Gather the build sheet of a job as it stands today at the site."""
    made: BuildSheet = kept(
        office, ("build", view.job.head.id, _newest_signed(office, view)), view.opened, lambda: _gathered(office, view)
    )
    today = revisions.today_at(office, view.job.head.time_zone)
    return replace(
        made,
        late=_due(made.orders, today, timedelta(0)),
        soon=_due(made.orders, today, SOON, today),
        holds=holds(office, view),
    )


def built_estimate(office: Office, view: Sheet) -> Estimate:
    """The estimate of what Build stands on: of what was signed, where something was, else of the draft."""
    stands = build_sheet(office, view).stands
    if stands.signed is None:
        return view.estimate
    key = ("signed estimate", view.job.head.id, stands.signed.id)
    return kept(office, key, view.opened, lambda: estimate(stands.job, stands.basis))


def orders_of(office: Office, view: Sheet, key: str = "") -> tuple[BuildSheet, tuple[OrderList, ...]]:
    """All order lists, or the one with this key.

    Raises: NotFound.
    """
    made = build_sheet(office, view)
    lists = tuple(one for one in made.orders if key in ("", list_key(one)))
    if key and not lists:
        raise NotFound("There is no such order list (any more).")
    return made, lists


def order_pdf(office: Office, view: Sheet, key: str = "") -> PdfOrder:
    """The order lists on paper: all of them for the office, or one for its supplier; what must wait says so."""
    made, lists = orders_of(office, view, key)
    stands = made.stands
    values = {
        "not_before": made.not_before,
        "job": stands.job,
        "firm": stands.basis.firm,
        "heads": [_listed(one) for one in lists],
        "nobody": NOBODY,
        "is_signed": stands.signed is not None,
        "signed": signed_words(stands),
    }
    return paper_of(office, stands, "order_list", f"Order list, {named(stands.job)}", values, key or "all")


def crew_pages(office: Office, view: Sheet, key: str, say: Tongue = ENGLISH) -> tuple[Stands, tuple[CrewPage, ...]]:
    """The crew sheets ready to be shown: `all`, `general`, or a zone's id.

    Raises: NotFound.
    """
    made = build_sheet(office, view)
    sheets = [one for one in made.crews if key in ("all", crew_key(one)) and not one.empty]
    if not sheets:
        raise NotFound("There is no such crew sheet: nothing is placed there yet.")
    stands = made.stands
    folder = office.settings.library
    return stands, tuple(crew_page(one, stands.job, stands.basis, folder, say) for one in sheets)


def crew_pdf(office: Office, view: Sheet, key: str, say: Tongue = ENGLISH) -> PdfOrder:
    """Crew sheets on paper."""
    stands, pages = crew_pages(office, view, key, say)
    drawn = [(one, Markup(drawing_image(one.drawing, one.drawing_words))) for one in pages]  # noqa: S704 - ours, escaped
    values = {
        "job": stands.job,
        "firm_name": stands.basis.firm.name,
        "pages": drawn,
        "signed": signed_words(stands, say),
    }
    values["not_before"] = not_before(holds(office, view))
    return paper_of(office, stands, "crew_sheet", f"{say('Crew sheets')}, {named(stands.job)}", values, key, say)


def layout_sheet(office: Office, view: Sheet) -> tuple[Stands, LayoutPage]:
    """The stake-out of what the crew builds: of what was signed, else of the draft."""
    stands = build_sheet(office, view).stands
    return stands, layout_page(stands.job, stands.basis, office.settings.library)


def layout_pdf(office: Office, view: Sheet) -> PdfOrder:
    """The layout sheet on paper."""
    stands, made = layout_sheet(office, view)
    drawing = Markup(drawing_image(made.drawing, made.drawing_words)) if made.drawing else ""  # noqa: S704 - ours, escaped
    values = {
        "job": stands.job,
        "firm_name": stands.basis.firm.name,
        "one": made,
        "drawing": drawing,
        "signed": signed_words(stands),
    }
    paper = paper_of(office, stands, "layout_sheet", f"Layout sheet, {named(stands.job)}", values, "layout")
    return replace(paper, landscape=True)


def list_key(one: OrderList) -> str:
    """Names a list in an address: its phase, kind and supplier."""
    return "-".join(part for part in (str(one.phase_number), one.kind.value.replace(" ", "-"), one.supplier) if part)


def crew_key(one: CrewSheet) -> str:
    """Names a crew sheet in an address."""
    return str(one.zone_id) if one.zone_id else GENERAL


def _gathered(office: Office, view: Sheet) -> BuildSheet:
    stands = _stands(office, view)
    orders = planned = order(stands.job, stands.basis)
    if stands.signed:
        planned = order(view.job, view.basis)
        stands = replace(stands, apart=orders != planned)
    crews = crew_sheets(stands.job, crew_basis(stands, view.basis))
    settled = {one.finding.key for one in view.readiness.settled}
    found = [one for one in check(stands.job, stands.basis) if one.key not in settled]
    return BuildSheet(
        stands=stands,
        orders=orders,
        planned=planned,
        crews=crews,
        late=(),
        soon=(),
        unscheduled=tuple(
            f"{phase.number} {phase.title}".strip() for phase in stands.job.phases if phase.start is None
        ),
        stops=tuple(one for one in found if one.severity is Severity.STOP or one.rule in BEFORE_DIGGING),
        unasked=tuple(PRIVATE_LINES[name] for name in _unasked(crews)),
    )


def _listed(one: OrderList) -> tuple[Any, ...]:
    """A list with its words, as it is printed."""
    rows = [(bought_words(line), line, notes_of(line)) for line in one.lines]
    return LISTS[one.kind], heading(one), one, rows


def _unasked(crews: Sequence[CrewSheet]) -> tuple[str, ...]:
    """Private lines whose answer is not known, where any sheet has something to build."""
    here = next((one for one in crews if not one.empty), None)
    return tuple(name for name, said in here.private_lines if said is Answer.UNKNOWN) if here else ()


def _newest_signed(office: Office, view: Sheet) -> str:
    known = revisions.of_job(office, view.job.head.id)
    agreed = (one for one in known if one.kind in AGREED and one.state == "signed")
    return next((one.id for one in agreed), "")


def _stands(office: Office, view: Sheet) -> Stands:
    signed_id = _newest_signed(office, view)
    if not signed_id:
        return Stands(job=view.job, basis=view.basis, signed=None)
    signed = revisions.read(office, signed_id)
    held = read_job_file(revisions.hand_out(office, signed.id, "job"))
    return Stands(job=_brought_up_to_day(held.job, view.job), basis=held.basis, signed=signed)


def crew_basis(stands: Stands, live: Basis) -> Basis:
    """What the crew builds by: as signed, but that a recipe without tools, pictures and checks says those of today."""
    recipes = {key: _with_words(one, live.assemblies.get(key)) for key, one in stands.basis.assemblies.items()}
    return replace(stands.basis, assemblies=recipes)


def _with_words(signed: Assembly, live: Assembly | None) -> Assembly:
    own = signed.build
    if live is None or own.tools or own.photos or own.photos_after or own.checks:
        return signed
    now = live.build
    return replace(
        signed, build=replace(own, tools=now.tools, photos=now.photos, checks=now.checks, photos_after=now.photos_after)
    )


def _brought_up_to_day(signed: Job, live: Job) -> Job:
    """The job as signed, with what changes no agreement: days planned now, the stage, answers on buried lines."""
    days: Mapping[UUID, tuple[date | None, date | None]] = {one.id: (one.start, one.done) for one in live.phases}
    phases = (
        replace(one, start=days[one.id][0], done=days[one.id][1]) if one.id in days else one for one in signed.phases
    )
    asked = {name: getattr(live.site, name) for name in FOUND_OUT}
    return replace(
        signed,
        head=replace(signed.head, stage=live.head.stage),
        site=replace(signed.site, **asked),
        phases=tuple(phases),
    )


def _due(lists: Sequence[OrderList], today: date, ahead: timedelta, after: date | None = None) -> tuple[OrderList, ...]:
    """Lists that are due by `today + ahead`, but for those due by `after`."""
    days = ((one, one.order_by) for one in lists)
    return tuple(one for one, day in days if day and day <= today + ahead and (after is None or day > after))


def signed_words(stands: Stands, say: Tongue = ENGLISH) -> str:
    """Which paper a sheet stands on."""
    if stands.signed is None:
        return say("Draft, not signed")
    return f"{say(f'From signed {stands.signed.kind}')} {stands.signed.number}"


def named(job: Job) -> str:
    """What a job goes by on paper."""
    return job.head.title or job.client.name or "job"


def paper_of(
    office: Office,
    stands: Stands,
    template: str,
    title: str,
    values: Mapping[str, Any],
    key: str,
    say: Tongue | None = None,
) -> PdfOrder:
    """A paper of what is built; `say`: in that language, else in the firm's."""
    firm = stands.basis.firm
    return PdfOrder(
        html=document(office.settings.templates, template, firm, {**values, "title": title}, say),
        paper="a4" if (stands.job.head.paper or firm.paper) == "a4" else "letter",
        title=title,
        language=say.language if say else firm.language,
        identifier=f"{stands.job.head.id}-{template}-{key}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
