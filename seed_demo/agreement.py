"""What was signed: a design agreement; the Whitlocks' proposal, and a newer draft after it."""

from collections.abc import Mapping
from math import cos, pi, sin
from typing import Any
from uuid import UUID

from app.db.repositories.revisions import Revision
from app.services import agreements, jobs, proposals, revisions
from app.services.jobs import changed
from app.services.office import Office
from app.services.revisions import Act
from app.services.sheets import sheet
from seed_demo.telling import order

Stroke = tuple[tuple[float, float], ...]
PEN_POINTS = 48


async def sign_design(office: Office, job_id: UUID) -> None:
    """Offer the design agreement, let every signer sign it, and take the fee."""
    await _signed(office, job_id, await agreements.offer_design(office, sheet(office, job_id), order()))
    opened = jobs.open_job(office, job_id)
    paid = changed(
        "job", job_id, opened.version("job", job_id), {"design_fee_paid_cents": opened.basis.firm.design_fee_cents}
    )
    jobs.save(office, job_id, (paid,), order("Design fee paid"))


async def sign_proposal(office: Office, job_id: UUID, *, contractor: str = "") -> None:
    """Offer the proposal and let every signer sign it, the firm too where a name of it is given."""
    await _signed(office, job_id, await proposals.offer(office, sheet(office, job_id), order(), contractor=contractor))


async def _signed(office: Office, job_id: UUID, offered: Revision) -> None:
    for place, signer in enumerate(offered.signers):
        act = Act(name=signer.name, strokes=drawn_name(place), device="with the demo's own pen")
        await revisions.sign(office, sheet(office, job_id), offered.id, act, order())


def newer_draft(office: Office, job_id: UUID, told: Mapping[str, Any]) -> None:
    """What they asked for after signing: another way for one zone. The signed copy stays as it is."""
    opened = jobs.open_job(office, job_id)
    way = next(one for one in opened.job.alternatives if one.title == told["take"])
    zone = changed("zone", way.zone_id, opened.version("zone", way.zone_id), {"chosen_id": way.id})
    day = {"next_step": told["next_step"]}
    head = changed("job", job_id, opened.version("job", job_id), day)
    jobs.save(office, job_id, (zone, head), order(told["what"]))


def drawn_name(person: int) -> tuple[Stroke, ...]:
    """A made-up signature: a few loops and a line below, different for each person. It is nobody's hand."""
    loops, lean = 5 + 2 * person, 9.0 - 4.0 * person
    steps = [at / PEN_POINTS for at in range(PEN_POINTS + 1)]
    word = tuple(
        (
            20 + 190 * at + lean * sin(2 * pi * loops * at),
            60 - 16 * at - (26 - 14 * at) * cos(2 * pi * loops * at + person) * (1.2 if at < 0.2 else 0.7),
        )
        for at in steps
    )
    below = tuple((30 + 170 * at, 88 - 10 * at + 3 * sin(pi * at)) for at in steps[::4])
    return word, below
