"""An address search over all jobs: which brick, which batch, where the valve is."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from app.db.repositories import addresses as rows
from app.db.repositories.addresses import Found
from app.domain.looking_back.lies import Lies, batches_of, lies
from app.domain.looking_back.words import nearness, pieces_of
from app.domain.takeoff.requirements import requirements
from app.services.build import Stands, build_sheet
from app.services.office import Office
from app.services.sheets import sheet

SHOWN = 20
OPEN_AT_ONCE = 1  # of so few hits the answer stands on the page at once
LONGEST = 100  # letters of a search


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What is known of one job."""

    job_id: str
    stands: Stands
    lies: Lies


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """What was looked for and found; `more` were found beyond those shown."""

    words: str
    hits: tuple[Found, ...]
    more: int
    answer: Answer | None = None


def find(office: Office, words: str) -> tuple[Found, ...]:
    """Jobs in whose names and addresses every word or fragment stands: whole words before fragments, newest first."""
    pieces = pieces_of(words[:LONGEST])
    with office.database.read() as connection:
        found = rows.search(connection, office.firm_id, pieces)
    return tuple(sorted(found, key=lambda one: (*_far(pieces, one), -one.number)))


def _far(pieces: Sequence[str], one: Found) -> tuple[int, int]:
    whole, begun = nearness(pieces, one.words)
    return -whole, -begun


def search(office: Office, words: str, job_id: str = "") -> Search:
    """A search with its answer: of the job that is asked for, else of the only one that was found."""
    hits = find(office, words)
    asked = next((one.job_id for one in hits if one.job_id == job_id), "")
    if not asked and len(hits) == OPEN_AT_ONCE:
        asked = hits[0].job_id
    answer = answer_of(office, UUID(asked)) if asked else None
    return Search(words=words, hits=hits[:SHOWN], more=max(0, len(hits) - SHOWN), answer=answer)


def answer_of(office: Office, job_id: UUID) -> Answer:
    """What lies where on one job, as it was signed, else as it is drawn."""
    view = sheet(office, job_id)
    stands = build_sheet(office, view).stands
    needed, _ = requirements(stands.job, stands.basis)
    return Answer(job_id=str(job_id), stands=stands, lies=lies(stands.job, stands.basis, needed, batches_of(view.job)))
