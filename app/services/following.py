"""What was drawn through marks follows them: a tape that is corrected moves the corners of zones in the same change."""

from collections.abc import Iterator, Sequence

from app.domain.change import Edit
from app.domain.codec import from_plain, to_plain
from app.domain.errors import OutlayError
from app.domain.job import Job, Mark, Site
from app.domain.plan.following import Moves, line_following, moves_between, outline_following
from app.domain.plan.outline import Outline
from app.domain.takeoff.ground import survey_of, survey_of_marks
from app.services.jobs import OpenJob, changed

KINDS = (("alternative", "alternatives"), ("existing", "existing"))


def with_followers(opened: OpenJob, edits: Sequence[Edit]) -> tuple[Edit, ...]:
    """Edits of marks or of their tapes, and of the outlines and lines that were drawn through marks they move."""
    moves = _moves(opened.job, edits)
    return (*edits, *_followers(opened, moves)) if moves.pairs else tuple(edits)


def _moves(job: Job, edits: Sequence[Edit]) -> Moves:
    """Where the taped marks lay and lie once the edits are made; a place that is typed moves nothing drawn."""
    site = _site(job.site, edits)
    before = survey_of(job).places
    after = survey_of_marks(tuple(_edited(job, edits)), site.house, site.tape_kind, site.tape_within).places
    taped = (key for key, mark in before.items() if not mark.typed and key in after)
    return moves_between((before[key].at, after[key].at) for key in taped)


def _site(site: Site, edits: Sequence[Edit]) -> Site:
    after = next((edit.after for edit in edits if edit.kind == "site" and edit.after is not None), {})
    return from_plain({**to_plain(site), **after}, Site)


def _edited(job: Job, edits: Sequence[Edit]) -> Iterator[Mark]:
    """The marks as the edits leave them."""
    by_id = {edit.thing_id: edit for edit in edits if edit.kind == "mark"}
    for mark in job.marks:
        edit = by_id.get(str(mark.id))
        if edit is None:
            yield mark
        elif edit.after is not None:
            yield from_plain({**to_plain(mark), **edit.after}, Mark)


def _followers(opened: OpenJob, moves: Moves) -> Iterator[Edit]:
    for kind, field in KINDS:
        for thing in getattr(opened.job, field):
            outline = _followed(thing.outline, moves) if thing.outline else None
            if outline is not None:
                yield changed(kind, thing.id, opened.version(kind, thing.id), {"outline": to_plain(outline)})
    for run in opened.job.runs:
        points = line_following(run.points, moves)
        if points != run.points:
            yield changed("run", run.id, opened.version("run", run.id), {"points": to_plain(points)})


def _followed(outline: Outline, moves: Moves) -> Outline | None:
    """An outline moved along; None where it stays, or would cross itself."""
    try:
        found = outline_following(outline, moves)
    except OutlayError:
        return None
    return None if found == outline else found
