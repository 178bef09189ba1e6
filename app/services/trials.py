"""The range of a job as drawn in the worker: in closed form at once, ten thousand trials when they are there."""

from dataclasses import dataclass

from app.domain.costing.estimate import Estimate
from app.domain.costing.movers import Mover, movers
from app.domain.costing.outlook import Outlook, outlook
from app.domain.costing.simulation import Simulated
from app.domain.keeping import BoundedByIdentity
from app.services.office import Office
from app.services.sheets import Sheet
from app.worker import run_in_worker
from app.worker.running import Progress
from app.worker.trials import trials_of, trials_payload

SECONDS = 20.0
KEPT = 40  # jobs whose trials are remembered


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeView:
    """The range in figures; `drawn` is the number of trials, 0 while it is the closed form."""

    outlook: Outlook
    movers: tuple[Mover, ...]
    drawn: int

    @property
    def moves(self) -> bool:
        """Whether there is anything that moves the price."""
        return bool(self.movers)


def range_view(office: Office, view: Sheet) -> RangeView:
    """The range of a job: as drawn where that is known, else in closed form."""
    found = _drawn(office).get(view.estimate)
    cases = found or view.estimate.inputs.distribution
    return RangeView(
        outlook=outlook(view.estimate, cases),
        movers=movers(view.estimate, view.basis, cases.parts),
        drawn=found.trials if found else 0,
    )


async def draw(office: Office, view: Sheet, told: Progress | None = None) -> Simulated:
    """Draw the range of a job in the worker; what was drawn for this estimate is not drawn again."""
    known = _drawn(office).get(view.estimate)
    if known is not None:
        return known
    payload = trials_payload(view.estimate.inputs)
    found = trials_of(await run_in_worker("trials", payload, deadline=SECONDS, progress=told))
    _drawn(office).keep(view.estimate, found)
    return found


def _drawn(office: Office) -> BoundedByIdentity[Estimate, Simulated]:
    kept: BoundedByIdentity[Estimate, Simulated] = office.database.memory.setdefault("trials", BoundedByIdentity(KEPT))
    return kept
