"""A job brought back by command: looked into, told in lines, and taken in where nothing is left to ask."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from app.documents.formats import Formats
from app.services import bringing_back, jobs
from app.services.bringing_back import Look
from app.services.jobs import Order
from app.services.office import Office
from app.web.change_words import Telling, Told
from app.web.merge_words import ToldMerge, names_in, told_merge

KEEP = ("", "here", "away")  # which value is kept where both changed something


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtBack:
    """What came of it: the job, whether it was taken in, how many questions wait for a choice, all of it in lines."""

    job_id: str
    taken: bool
    asked: int
    lines: tuple[str, ...]


def told_of(office: Office, job_id: UUID, found: Look) -> ToldMerge:
    """A merge in the words of this office."""
    opened = jobs.open_job(office, job_id)
    firm = opened.basis.firm
    fmt = Formats(firm.system, firm.currency)
    return told_merge(found.merge, Telling(fmt=fmt, basis=opened.basis, names=names_in(found.merge, opened.basis)))


async def bring_back(office: Office, content: bytes, keep: str, order: Order, *, look: bool = False) -> BroughtBack:
    """Look into a file that brings a job back and, unless one only looks, take it in.

    Where both changed the same, `keep` says whose value stays; without it nothing is taken in, and that is told.
    Raises: BadValue, Refused, in a sentence.
    """
    job_id, name = await bringing_back.receive(office, content)
    found = bringing_back.look(office, job_id, name)
    told = told_of(office, job_id, found)
    waits = bool(found.merge.questions) and not keep
    if not (look or waits or found.already):
        picks = {one.id: keep for one in found.merge.questions}
        bringing_back.take_in(office, job_id, name, picks, found.opened.counter, order)
    taken = not (look or waits or found.already)
    lines = tuple(_lines(found, told, keep))
    return BroughtBack(job_id=str(job_id), taken=taken, asked=len(told.asked) if waits else 0, lines=lines)


def _lines(found: Look, told: ToldMerge, keep: str) -> Iterator[str]:
    place = found.taking.name
    if found.already:
        yield f"All of it came back from {place} before. Nothing would change."
        return
    for one in told.asked:
        kept = {"here": one.here, "away": one.away}.get(keep)
        yield f"Changed at both: {one.about}: here {one.here}; {place} {one.away}" + (f"; kept: {kept}" if kept else "")
    yield from (line for thing in told.comes_in for line in _thing(thing))
    for zone in found.relettered:
        yield f"Zone “{zone.title}” gets the letter {zone.after}: {zone.before} is another zone's here"
    for issued in found.issued:
        revision = issued.revision
        by = f"signed by {' and '.join(issued.signed_away)}" if issued.signed_away else revision.state
        yield f"{revision.kind.capitalize()} {revision.number}: {by}"
    if found.new_files:
        yield f"New photos or pages: {found.new_files}"
    if found.lacking:
        yield f"Not in your book: {', '.join(found.lacking)}. It is priced once you add that."


def _thing(one: Told) -> Sequence[str]:
    called = f"{one.kind} “{one.name}”" if one.name else one.kind
    if not one.fields:
        return [f"{called} {one.happened}"]
    return [f"{called}: {label}: {before} → {after}" for label, before, after in one.fields]
