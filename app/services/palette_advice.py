"""What is pointed out about the colors of a job, as the palette sheet shows it; ours alone."""

from app.domain.errors import NotFound
from app.domain.palette.advice import Advice, advice
from app.domain.palette.mending import explain_mend
from app.domain.palette.tiles import Tile, tiles_of
from app.domain.takeoff.trace import Trace
from app.services.office import Office
from app.services.sheets import Sheet, kept

GONE = "This is not pointed out any more. Open the palette again."


def advice_of(office: Office, view: Sheet) -> Advice:
    """The advice on a job; kept while the job and its basis stand."""
    name = ("palette", view.job.head.id)
    return kept(office, name, view.opened, lambda: advice(view.job, view.basis, view.estimate))


def tiles_on(office: Office, view: Sheet) -> tuple[Tile, ...]:
    """The swatches of a job as they will lie; kept while the job and its basis stand."""
    return kept(office, ("tiles", view.job.head.id), view.opened, lambda: tiles_of(view.job, view.basis))


def explain_difference(office: Office, view: Sheet, figure: str) -> Trace:
    """`FROM:TO`: what one material in place of another costs more or less. Raises: NotFound."""
    now, _, then = figure.partition(":")
    members = {one.key: one for one in advice_of(office, view).members}
    if not {now, then} <= view.basis.materials.keys() or now not in members:
        raise NotFound(GONE)
    found = explain_mend(members[now], then, view.basis)
    if found is None:
        raise NotFound(GONE)
    return found
