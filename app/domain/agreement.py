"""The design agreement: what the client pays for a design before anything is built, as one value to print and sign.

The house way of the trade: the fee is small, paid first, and may count toward the build (common practice, no source).
"""

from dataclasses import dataclass
from datetime import date

from app.domain.basis import Basis
from app.domain.costing.payments import fee_counts
from app.domain.errors import Refused
from app.domain.job import Job
from app.domain.letterhead import Letterhead, head_fields, letterhead

USUAL = (
    "A measured plan of your yard to scale, with zones, edges and levels.",
    "A palette of finishes with samples to hold in your hand.",
    "A price for building it, in phases if you like.",
)
OURS_UNTIL_PAID = "The drawings stay with us until the fee is paid; then you may use them for this yard, with anybody."


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement(Letterhead):
    """Everything the design agreement prints."""

    fee_cents: int
    gets: tuple[str, ...]
    revisions: int
    owner_of_drawings: str
    credit: bool
    asked: tuple[str, ...]


def design_agreement(job: Job, basis: Basis, *, number: int, made_on: date) -> Agreement:
    """Gather the design agreement: the job's own words and fee, else the firm's.

    Raises: Refused when neither the job nor the firm names a fee.
    """
    firm, head = basis.firm, job.head
    fee = head.design_fee_cents if head.design_fee_cents is not None else firm.design_fee_cents
    if not fee:
        raise Refused("The design agreement has no fee yet. Type it on the Client sheet, or once for all on Firm.")
    words = head.design_words or firm.design_words
    return Agreement(
        **head_fields(letterhead(job, firm, number=number, made_on=made_on)),
        fee_cents=fee,
        gets=tuple(line.strip() for line in words.splitlines() if line.strip()) or USUAL,
        revisions=head.design_revisions if head.design_revisions is not None else firm.design_revisions,
        owner_of_drawings=head.drawings_owner or firm.drawings_owner or OURS_UNTIL_PAID,
        credit=fee_counts(head, firm),
        asked=tuple(need.words for need in job.needs),
    )
