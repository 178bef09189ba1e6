"""The first call: an early range from ticks, what people usually ask for, and the plan begun from the ticks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from app.documents.pages import document
from app.documents.pdf import PdfOrder, pdf_payload
from app.domain.costing.early import Band, EarlyRange, Wish, early_range
from app.domain.costing.explain_early import explain_early
from app.domain.costing.lines import Line
from app.domain.errors import NotFound, Refused
from app.domain.findings import Stop
from app.domain.job import Need, ZoneKind
from app.domain.takeoff.trace import Trace
from app.interchange.first_call_lists import FirstCallLists, first_call_lists
from app.services.jobs import OpenJob
from app.services.office import Office
from app.services.prices import Waiting
from app.services.proposals import mark_address
from app.services.sheets import Sheet, kept, sheet
from app.worker import run_in_worker

ACCESS = "easy"  # until the caller says otherwise


@dataclass(frozen=True, slots=True, kw_only=True)
class WishRow:
    """One kind of zone as the page shows it: size is small, medium, large or empty; `area` sq ft where typed."""

    kind: str
    title: str
    size: str = ""
    area: float | None = None
    usual: Mapping[str, float]
    band: Band | None = None

    @property
    def shown_area(self) -> float:
        """The area the range goes by [sq ft]."""
        return self.area if self.area is not None else self.usual[self.size or "medium"]

    @property
    def wanted(self) -> bool:
        """Whether it is ticked."""
        return bool(self.size) or self.area is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstCall:
    """The early range of a job: a row for each kind of zone, the total, and what it leaves out.

    `missing` is how many materials or wages have no price yet: bands are then told as a least.
    """

    rows: tuple[WishRow, ...]
    access: str
    ways: tuple[tuple[str, str], ...]
    total: Band | None
    unpriced: tuple[str, ...]
    missing: int = 0

    @property
    def wanted(self) -> tuple[WishRow, ...]:
        """The rows that are ticked."""
        return tuple(row for row in self.rows if row.wanted)


def lists_of(office: Office) -> FirstCallLists:
    """The library's lists for the first call."""
    return first_call_lists(office.settings.library)


def first_call(office: Office, view: Sheet) -> FirstCall:
    """The early range of a job as its ticks stand; nothing ticked gives rows without bands."""
    lists = lists_of(office)
    found = _found(office, view)
    bands = dict(zip(_wishes(view.opened), found.zones, strict=True)) if found else {}
    zones: Mapping[str, Any] = lists.early["zone"]
    return FirstCall(
        rows=tuple(_row(kind.value, zones, view.opened, bands) for kind in ZoneKind if kind.value in zones),
        access=view.job.site.access or ACCESS,
        ways=tuple((key, way["title"]) for key, way in lists.early["access"].items()),
        total=found.total if found else None,
        unpriced=tuple(one.what for one in found.findings if one.stop is not Stop.NONE) if found else (),
        missing=found.unpriced if found else 0,
    )


def early_lines(office: Office, view: Sheet) -> Sequence[Line]:
    """The lines of the typical yard that the early range lies around; none while nothing is ticked."""
    found = _found(office, view)
    return found.lines if found else ()


def _found(office: Office, view: Sheet) -> EarlyRange | None:
    lists = lists_of(office)
    return kept(office, ("early", view.job.head.id), view.opened, lambda: _range(view.opened, lists))


def waiting_for_prices(office: Office, job_id: UUID) -> Waiting:
    """The materials a job has no price of: those of its estimate, and of its early range until a zone is drawn."""
    view = sheet(office, job_id)
    found = _found(office, view)
    early = found is not None and not view.job.zones
    return Waiting(
        job_id=job_id,
        who=view.job.client.name or view.job.head.title,
        sheet="client" if early else "estimate",
        materials=view.estimate.materials_unpriced | (found.to_price if found and early else frozenset()),
    )


def _wishes(opened: OpenJob) -> tuple[str, ...]:
    return tuple(kind.value for kind in ZoneKind if kind.value in opened.job.head.early)


def _wish(kind: str, size: str) -> Wish:
    return Wish(kind=ZoneKind(kind), size=size if size.isalpha() else float(size))


def wished(opened: OpenJob) -> list[Wish]:
    """What the caller would like, as ticked."""
    return [_wish(kind, opened.job.head.early[kind]) for kind in _wishes(opened)]


def _range(opened: OpenJob, lists: FirstCallLists) -> EarlyRange | None:
    wishes = wished(opened)
    if not wishes:
        return None
    known = [key for key in lists.works if key in opened.basis.assemblies]
    return early_range(wishes, opened.job.site.access or ACCESS, opened.basis, data=lists.early, works=known)


def _row(kind: str, zones: Mapping[str, Any], opened: OpenJob, bands: Mapping[str, Band]) -> WishRow:
    said = opened.job.head.early.get(kind, "")
    own = said and not said.isalpha()
    return WishRow(
        kind=kind,
        title=zones[kind]["title"],
        size="" if own else said,
        area=float(said) if own else None,
        usual={size: float(zones[kind][size]) for size in ("small", "medium", "large")},
        band=bands.get(kind),
    )


def explain_band(office: Office, view: Sheet, kind: str) -> Trace:
    """Where a band of the early range comes from; `kind` is a kind of zone, or `all`.

    Raises: NotFound for what is not ticked (any more).
    """
    lists, wishes = lists_of(office), _wishes(view.opened)
    found = _found(office, view)
    if found is None or kind not in (*wishes, "all"):
        raise NotFound("This is not ticked any more. Open the Client sheet again.")
    titles = tuple(str(lists.early["zone"][one]["title"]) for one in wishes)
    at = None if kind == "all" else wishes.index(kind)
    return explain_early(found, titles, at, view.basis.firm.currency)


async def early_page(office: Office, view: Sheet) -> bytes:
    """The early range as one printed page (PDF) for the caller.

    Raises: Refused when nothing is ticked, or while something in it has no price: the range would be too low.
    """
    job, firm = view.job, view.basis.firm
    order = PdfOrder(
        html=early_html(office, view),
        paper="a4" if (job.head.paper or firm.paper) == "a4" else "letter",
        title="Early range, not an offer",
        language=firm.language,
        identifier=f"early {job.head.id} {view.opened.counter}",
        source_date=office.clock(),
    )
    return await run_in_worker("pdf", pdf_payload(order))


def early_html(office: Office, view: Sheet) -> str:
    """The page before it is printed. Raises: Refused, as `early_page`."""
    early = first_call(office, view)
    if early.total is None:
        raise Refused("Tick what the caller would like first; then there is a range to print.")
    if early.unpriced:
        raise Refused(f"The range would be too low: {early.unpriced[0]} Type the missing prices first.")
    job, firm, now = view.job, view.basis.firm, office.clock()
    who = " and ".join(name for name in (job.client.name, job.client.second_name) if name)
    ways = dict(early.ways)
    values = {
        "early": early,
        "mark": mark_address(office, firm.mark),
        "job": job,
        "firm": firm,
        "who": who,
        "way": ways[early.access].partition(":")[0].lower(),
        "made_on": now.astimezone(ZoneInfo(job.head.time_zone)).date(),
    }
    return document(office.settings.templates, "early-range", firm, values)


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """What people usually ask for around one kind of zone, without what this client already asked for."""

    kind: str
    title: str
    words: tuple[str, ...]
    zone_ids: tuple[UUID, ...]


def suggestions(office: Office, view: Sheet) -> tuple[Suggestion, ...]:
    """Usual needs by kind of zone: the kinds in this job and the ticked ones first."""
    lists = lists_of(office)
    asked = {need.words for need in view.job.needs}
    near = {zone.kind.value for zone in view.job.zones} | set(view.job.head.early)
    found = [
        Suggestion(
            kind=kind,
            title=lists.early["zone"][kind]["title"],
            words=tuple(one for one in words if one not in asked),
            zone_ids=tuple(zone.id for zone in view.job.zones if zone.kind.value == kind),
        )
        for kind, words in lists.needs.items()
    ]
    return tuple(sorted(found, key=lambda one: one.kind not in near))


def fitting(office: Office, view: Sheet, need: Need) -> frozenset[UUID]:
    """The zones that a need's words speak of, by their kind."""
    kind = lists_of(office).kind_of(need.words)
    return frozenset(zone.id for zone in view.job.zones if zone.kind.value == kind)
