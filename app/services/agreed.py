"""The contract of a job as it stands: what was signed, in the order it was signed, with its sum by date.

It reads what the signed papers kept beside them, never the draft: what an invoice or an order list asks of the contract
is answered here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import msgspec

from app.db.files import FileStore
from app.db.repositories import revisions
from app.db.repositories.revisions import Revision
from app.domain.codec import from_plain
from app.domain.contract.change_order import ChangeOrder, Contract, own_payment
from app.domain.contract.contract_sum import ContractSum, SignedChange, in_order_signed
from app.domain.contract.standing import Parts, Standing, standing_of, with_parts
from app.domain.contract.taken_later import with_taken_later
from app.domain.keeping import KeptByInputs
from app.domain.moments import day_at
from app.interchange.job_file import read_job_file
from app.interchange.past_in import lines_of
from app.services.office import Office

PROPOSAL, CHANGE, CHANGE_ORDER = "proposal", "change", "change order"
KEPT = 16  # contracts


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """A contract with the papers that make it: the proposal, then what was signed after it, in that order."""

    contract: Contract
    papers: tuple[Revision, ...]

    @property
    def newest(self) -> Revision:
        """The paper that was signed last."""
        return self.papers[-1]


def agreed_of(office: Office, job_id: UUID) -> Agreed | None:
    """The contract of a job as it stands; None while no proposal with a firm price is signed by all."""
    with office.database.read() as connection:
        known = revisions.revisions_of(connection, str(job_id))
    papers = signed_papers(known)
    if not papers or papers[0].price_cents is None:
        return None
    memory: KeptByInputs[Agreed] = office.database.memory.setdefault("agreed", KeptByInputs(KEPT, each=1))
    rests_on = tuple((one.id, one.files["job"]) for one in papers)
    return memory.get_or_make(job_id, rests_on, lambda: _agreed(office, papers))


def signed_changes(office: Office, job_id: UUID) -> ContractSum | None:
    """The contract sum of a job by date, with every signed change; None while nothing is signed."""
    found = agreed_of(office, job_id)
    return found.contract.summed if found else None


def signed_papers(known: list[Revision]) -> tuple[Revision, ...]:
    """The newest proposal that all signed, then what all signed to it after that, by when the last of them did."""
    signed = [one for one in known if one.state == "signed"]
    first = next((one for one in signed if one.kind == PROPOSAL), None)
    if first is None:
        return ()
    later = (one for one in signed if one.kind in (CHANGE, CHANGE_ORDER) and one.issued_at > first.issued_at)
    return (first, *sorted(later, key=signed_at))


def signed_at(one: Revision) -> str:
    """When the last of its signers signed."""
    return max((signer.signed_at for signer in one.signers), default="")


def results_of(office: Office, one: Revision) -> Mapping[str, Any]:
    """What was kept beside a paper."""
    found: Mapping[str, Any] = msgspec.json.decode(FileStore(office.settings.files).read(one.files["results"]))
    return found


def printed_prices(office: Office, proposal: Revision) -> Mapping[UUID, int]:
    """What each option left open was printed at in a proposal [cents]; none where it kept none."""
    rows = results_of(office, proposal).get("options", ()) if "results" in proposal.files else ()
    return {UUID(row["id"]): int(row["cents"]) for row in rows if row["cents"] is not None}


def _agreed(office: Office, papers: tuple[Revision, ...]) -> Agreed:
    first, *later = papers
    standing = _of_proposal(office, first)
    zone = standing.job.head.time_zone
    rows: list[SignedChange] = []
    for one in later:
        before = standing.sum_cents
        standing = _after(office, standing, one)
        rows.append(_row(office, one, zone, standing.sum_cents - before))
    summed = ContractSum(
        signed_on=day_at(signed_at(first), zone), signed_cents=first.price_cents or 0, changes=in_order_signed(rows)
    )
    return Agreed(contract=Contract(standing=standing, summed=summed, proposal=first.number), papers=papers)


def _of_proposal(office: Office, one: Revision) -> Standing:
    held = read_job_file(FileStore(office.settings.files).read(one.files["job"]))
    sold = lines_of(results_of(office, one)) if "results" in one.files else None
    return standing_of(held.job, held.basis, one.price_cents or 0, sold)


def _after(office: Office, standing: Standing, one: Revision) -> Standing:
    held = read_job_file(FileStore(office.settings.files).read(one.files["job"]))
    results = results_of(office, one)
    if one.kind == CHANGE_ORDER:
        return with_parts(held.job, held.basis, from_plain(results["standing"], Parts))
    taken = [(int(row["cents"]), str(row["paid_with"])) for row in results["change"]["options"]]
    return with_taken_later(standing, held.job, taken)


def _row(office: Office, one: Revision, zone: str, cents: int) -> SignedChange:
    made = order_of(office, one) if one.kind == CHANGE_ORDER else None
    return SignedChange(
        revision_id=one.id,
        kind=one.kind,
        number=one.number,
        title=made.words or made.reason if made else "Options taken",
        signed_on=day_at(signed_at(one), zone),
        cents=cents,
        half_days=made.days.half_days if made else 0,
        own_payment=own_payment(made) if made else "",
    )


def order_of(office: Office, one: Revision) -> ChangeOrder:
    """A change order as it was printed."""
    return from_plain(results_of(office, one)["change_order"], ChangeOrder)
