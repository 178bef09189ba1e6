"""Two standings of a job side by side: the draft and every proposal that was handed out, as kept with its bytes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

import msgspec

from app.db.repositories.revisions import Revision
from app.domain.basis import Basis
from app.domain.costing.compared import Comparison, Sold, compared, sold_of
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.explain import explain
from app.domain.costing.lines import WHOLE_JOB
from app.domain.errors import NotFound
from app.domain.job import Job
from app.domain.moments import day_at
from app.domain.takeoff.trace import Trace
from app.domain.units import format_day
from app.interchange.job_file import read_job_file
from app.interchange.past_in import lines_of
from app.services import revisions
from app.services.office import Office
from app.services.revisions import PROPOSAL
from app.services.sheets import Sheet, kept

DRAFT = "draft"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """One standing: the draft, or a proposal by its id."""

    key: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneTitle:
    """A zone in words."""

    letter: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareView:
    """Two standings compared; None where there is only one."""

    stands: Sequence[Stand]
    before: Stand
    after: Stand
    comparison: Comparison | None
    zones: Mapping[str, ZoneTitle]

    def figure(self, rest: str) -> str:
        """The name by which a figure of this comparison is explained."""
        return f"compared:{self.before.key}:{self.after.key}:{rest}"


def stands_of(office: Office, view: Sheet) -> list[Stand]:
    """The draft, then every proposal of the job, the newest first."""
    found = [Stand(key=DRAFT, title="The draft as it is now")]
    for one in revisions.of_job(office, view.job.head.id):
        if one.kind == PROPOSAL:
            day = format_day(day_at(one.issued_at, view.basis.firm.time_zone))
            found.append(Stand(key=one.id, title=f"Proposal {one.number}, {one.state}, {day}"))
    return found


def compare_view(office: Office, view: Sheet, before: str = "", after: str = "") -> CompareView:
    """Two standings of a job line by line; neither named: the newest proposal and the draft. Raises: NotFound."""
    stands = stands_of(office, view)
    by_key = {one.key: one for one in stands}
    if len(stands) == 1:
        return CompareView(stands=stands, before=stands[0], after=stands[0], comparison=None, zones={})
    first, second = by_key.get(before or stands[1].key), by_key.get(after or DRAFT)
    if first is None or second is None:
        raise NotFound("This job has no such proposal. Choose two of the list.")
    one, other = (_sold(office, view, stand.key) for stand in (first, second))
    jobs = [_job(office, view, stand.key)[0] for stand in (first, second)]
    zones = {str(zone.id): ZoneTitle(letter=zone.letter, title=zone.title) for job in jobs for zone in job.zones}
    zones[WHOLE_JOB] = ZoneTitle(letter="", title="The job as a whole")
    return CompareView(
        stands=stands, before=first, after=second, comparison=compared(one, other, [*zones]), zones=zones
    )


def explain_compared(office: Office, view: Sheet, rest: str) -> Trace:
    """A figure on both sides: `BEFORE:AFTER:FIGURE`, each side opened as it stands. Raises: NotFound."""
    before, _, rest = rest.partition(":")
    after, _, figure = rest.partition(":")
    steps = [found for key in (before, after) if (found := _side(office, view, key, figure)) is not None]
    if not steps:
        raise NotFound("This figure is on neither side (any more). Compare again.")
    return Trace(
        label="Moved by",
        expression="after − before",
        filled="",
        result=_worth(office, view, after, figure) - _worth(office, view, before, figure),
        unit=view.basis.firm.currency,
        steps=tuple(steps),
    )


def _side(office: Office, view: Sheet, key: str, figure: str) -> Trace | None:
    job, basis, worked = _worked(office, view, key)
    title = next((one.title for one in stands_of(office, view) if one.key == key), "")
    try:
        inner = explain(job, basis, figure, worked)
    except NotFound:
        return None
    worth = _worth(office, view, key, figure)
    return Trace(
        label=title,
        expression="what it sells for: direct cost with its share of overhead, contingency, profit and tax",
        filled="",
        result=worth,
        unit=basis.firm.currency,
        steps=(inner,),
    )


def _worth(office: Office, view: Sheet, key: str, figure: str) -> float:
    """What a line, a zone or everything sells for on one side [whole money]."""
    sold = _sold(office, view, key)
    pairs = zip(sold.lines, sold.selling, strict=True)
    kind, _, rest = figure.partition(":")
    if kind == "price":
        return sold.price_cents / 100
    if kind == "zone":
        return sum(cents for line, cents in pairs if line.zone == rest) / 100
    return sum(cents for line, cents in pairs if line.figure == figure) / 100


def _sold(office: Office, view: Sheet, key: str) -> Sold:
    """The lines as they were kept with what was offered; where it keeps none, as its job file works out."""
    if key == DRAFT:
        return sold_of(view.estimate)
    return kept(office, ("sold", key), view.opened, lambda: _kept_lines(office, view, key))


def _kept_lines(office: Office, view: Sheet, key: str) -> Sold:
    one = revisions.of_this_job(office, view.job.head.id, key)
    found = lines_of(msgspec.json.decode(revisions.files_of(office).read(one.files["results"])))
    return found or sold_of(_worked(office, view, key)[2])


def _job(office: Office, view: Sheet, key: str) -> tuple[Job, Basis]:
    if key == DRAFT:
        return view.job, view.basis

    def read() -> tuple[Job, Basis]:
        one: Revision = revisions.of_this_job(office, view.job.head.id, key)
        found = read_job_file(revisions.files_of(office).read(one.files["job"]))
        return found.job, found.basis

    return kept(office, ("revision job", key), view.opened, read)


def _worked(office: Office, view: Sheet, key: str) -> tuple[Job, Basis, Estimate]:
    if key == DRAFT:
        return view.job, view.basis, view.estimate
    job, basis = _job(office, view, key)
    return job, basis, kept(office, ("revision estimate", key), view.opened, lambda: estimate(job, basis))


def compared_ids(text: str) -> str:
    """A standing's key as it may stand in an address: the draft, or an id; else empty."""
    try:
        return text if text == DRAFT else str(UUID(text))
    except ValueError:
        return ""
