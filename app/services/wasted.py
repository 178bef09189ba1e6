"""What closed jobs taught of what is lost of a material: shown with its jobs, and taken by the owner one by one."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from app.db.repositories import looking_back as names_of
from app.db.repositories import materials_used as rows
from app.db.repositories.materials_used import MeasuredRow
from app.domain.basis import Basis, Material
from app.domain.errors import NotFound, Refused
from app.domain.job import CountedMaterial
from app.domain.looking_back.explain_waste import explain_waste
from app.domain.looking_back.waste import MaterialJob, ToldWaste, WasteLesson, Way, as_before, lessons
from app.domain.ordering.standing import came_whole, standings
from app.domain.takeoff.trace import Trace
from app.interchange.cells_out import csv_table
from app.services import book, jobs
from app.services.changes import Applied
from app.services.jobs import Order
from app.services.lessons import Lessons, refuse_other
from app.services.moved_drafts import MovedDraft, moved_drafts
from app.services.office import Office
from app.services.receivables import today_of

Came = tuple[Mapping[str, float], frozenset[str]]  # of one job: what came whole, and what something else came for


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A counted material of a closed job that tells nothing, and why."""

    job_id: str
    material: str
    title: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wasted(Lessons[WasteLesson]):
    """All that closed jobs taught of what is lost, and what they could not tell."""

    left_out: tuple[LeftOut, ...]
    uncounted: int  # closed jobs with orders of which nothing was counted

    def left_out_of(self, material: str) -> tuple[LeftOut, ...]:
        """Jobs that could not tell of a material."""
        return tuple(one for one in self.left_out if one.material == material)


def wasted(office: Office) -> Wasted:
    """What the firm's closed jobs say of what is lost of its materials."""
    with office.database.read() as connection:
        measured = rows.measured(connection, office.firm_id)
        counted = rows.counted(connection, office.firm_id)
        there = {one.job_id for one in measured}
        ids = sorted({job_id for job_id, _ in counted if job_id in there})
        orders = rows.orders_of(connection, office.firm_id, ids)
        uncounted = rows.closed_without_count(connection, office.firm_id)
        names = names_of.job_names(connection, office.firm_id, ids)
    materials = office.basis().materials
    came = {job_id: came_whole(standings(one)) for job_id, one in orders.items()}
    told = list(_told(measured, counted, came, materials))
    jobs_of: dict[tuple[str, Way], list[MaterialJob]] = {}
    for one in told:
        if not isinstance(one, LeftOut):
            jobs_of.setdefault(one[0], []).append(one[1])
    return Wasted(
        lessons=lessons(materials, jobs_of),
        left_out=tuple(one for one in told if isinstance(one, LeftOut)),
        uncounted=uncounted,
        names=names,
        own=book.own(office, "material"),
    )


Told = tuple[tuple[str, Way], MaterialJob] | LeftOut


def _told(
    measured: list[MeasuredRow],
    counted: Mapping[tuple[str, str], CountedMaterial],
    came: Mapping[str, Came],
    materials: Mapping[str, Material],
) -> Iterator[Told]:
    """Each count as a job that tells of its material, or why it tells nothing."""
    by_material: dict[tuple[str, str], list[MeasuredRow]] = {}
    for row in measured:
        by_material.setdefault((row.job_id, row.material), []).append(row)
    for at, held in by_material.items():
        if at in counted:
            job = _one(held[0], counted[at], came[at[0]])
            why = _untold(held, at[1] in came[at[0]][1]) or ("more was left than came" if job.went_in <= 0 else "")
            title = materials[at[1]].title if at[1] in materials else at[1]
            told = ((at[1], Way(held[0].way)), job)
            yield LeftOut(job_id=at[0], material=at[1], title=title, why=why) if why else told


def _one(row: MeasuredRow, count: CountedMaterial, came: Came) -> MaterialJob:
    return MaterialJob(
        job_id=row.job_id,
        number=row.number,
        measured=row.measured,
        planned=row.lost / row.measured if row.measured else 0.0,
        came=came[0].get(row.material, 0.0),
        beside=count.beside,
        returned=count.returned,
        left_over=count.left_over,
        counted_on=count.day,
    )


def _untold(held: list[MeasuredRow], replaced: bool) -> str:
    if replaced:
        return "something else came in its place"
    if len(held) > 1:
        return "measured in two ways on one job, which cannot be told apart"
    return "its recipe says its own loss" if held[0].way == Way.RECIPE else ""


def lesson_of(office: Office, way: str, key: str) -> tuple[Wasted, WasteLesson]:
    """What jobs make of what is lost of one material. Raises: NotFound."""
    known = wasted(office)
    found = next((one for one in known.lessons if one.material.key == key and one.way.value == way), None)
    if found is None:
        raise NotFound("No closed job says anything of what is lost of this material (any more).")
    return known, found


async def moved_by(office: Office, one: WasteLesson) -> list[MovedDraft]:
    """Drafts whose price this would move, the furthest first."""
    now, key = office.basis(), one.material.key
    return await moved_drafts(office, _after(now, key, becomes(office, one)), "material", (key,))


def becomes(office: Office, one: WasteLesson) -> Material:
    """The material as it would stand."""
    return replace(one.material, **dict(one.fields(today_of(office))))  # type: ignore[arg-type]


def _after(now: Basis, key: str, material: Material) -> Basis:
    return replace(now, materials={**now.materials, key: material})


def take(office: Office, at: tuple[str, str], version: int, mark: str, order: Order) -> Applied | None:
    """Make what was shown the firm's own, in one change that can be undone; sent twice it is the same change.

    Raises: NotFound, Stale; Refused where jobs say something else by now than what was shown, or are too few.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    _, found = lesson_of(office, *at)
    refuse_other(found, found.material.title, mark)
    if found.held:
        raise Refused(
            f"{found.material.title}: fewer than three closed jobs never lower what is ordered. Nothing was changed."
        )
    what = f"Waste from own jobs: {found.material.title}"[:60]
    fields = dict(found.fields(today_of(office)))
    return book.set_fields(office, "material", found.material.key, version, fields, replace(order, what=what))


def give_back(office: Office, at: tuple[str, str], version: int, order: Order) -> Applied | None:
    """Go back to what stood before own jobs were taken: the share, or the firm's custom. Raises: NotFound, Stale."""
    if jobs.is_saved(office, order.change_id):
        return None
    material = office.basis().materials.get(at[1])
    fields = as_before(material, Way(at[0])) if material and at[0] in list(Way) else None
    if material is None or fields is None:
        raise NotFound("Nothing is taken from own jobs here (any more).")
    what = f"Waste as before: {material.title}"[:60]
    return book.set_fields(office, "material", material.key, version, fields, replace(order, what=what))


def explained(office: Office, figure: str) -> Trace:
    """How a figure came about: `WHAT:WAY:MATERIAL`. Raises: NotFound."""
    what, _, rest = figure.partition(":")
    way, _, key = rest.partition(":")
    known, found = lesson_of(office, way, key)
    trace = explain_waste(found, what, lambda told: known.name(told.job.job_id, told.job.number))
    if trace is None:
        raise NotFound("This figure is not on the page any more. Open it again.")
    return trace


TABLE = (
    "Material", "Bought by", "Share lost of", "Share now", "Share from jobs", "Weight of the jobs", "Job number", "Job",
    "Measured", "Came whole", "Bought beside", "Sent back", "Left over", "Share lost", "Bid with", "Counts",
)  # fmt: skip


def table(office: Office) -> bytes:
    """Every material with every job behind it, as a table."""
    known = wasted(office)
    return csv_table(TABLE, (_cells(known, one, told) for one in known.lessons for told in one.jobs))


def _cells(known: Wasted, one: WasteLesson, told: ToldWaste) -> list[object]:
    job, now = told.job, "" if one.now is None else round(one.now, 4)
    shares = (one.way.value, now, one.after, round(one.moved.rate_weight, 3))
    amounts = (round(job.measured, 2), job.came, job.beside, job.returned, job.left_over)
    told_of = (round(job.lost, 4), round(job.planned, 4), round(told.counts, 3))
    named = (job.number, known.name(job.job_id, job.number))
    return [one.material.title, one.material.buy, *shares, *named, *amounts, *told_of]
