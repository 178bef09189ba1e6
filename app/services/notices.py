"""Notices that go with a signature: the federal one with its computed last day; what the state is known to ask for."""

from collections.abc import Sequence
from datetime import date, datetime

from app.db.repositories.revisions import Signer
from app.documents.signing import moment_in_words
from app.domain.basis import Basis, Firm
from app.domain.contract.cancelling import Cancelling, SignedAt, cancels_until, may_cancel
from app.domain.contract.notice import CancellationNotice, cancellation_notice
from app.domain.contract.regions import Asked, asked_in, days_to_cancel
from app.domain.moments import day_at
from app.interchange.contract_papers import asked_by_states, cancellation_wording
from app.interchange.public_holidays import federal_holidays_of
from app.services.office import Office

NO_ADDRESS = "(the firm's address is missing: type it on the Firm sheet)"


def window_of(signers: Sequence[Signer], zone: str, basis: Basis) -> Cancelling | None:
    """The days to cancel what was signed so far; None where nobody signed, or all did at the firm's own place."""
    acts = [
        (day_at(one.signed_at, zone), SignedAt(one.place))
        for one in signers
        if one.signed_at and one.role != "contractor"
    ]
    return cancels_until(acts, _holidays([day for day, _ in acts]), days=days_to_cancel(basis))


def notice_of(office: Office, signers: Sequence[Signer], zone: str, basis: Basis) -> CancellationNotice | None:
    """The notice for what was signed so far; None where there are no days to cancel."""
    window = window_of(signers, zone, basis)
    return _notice(office, window, basis) if window else None


def notice_if_signed(office: Office, day: date, basis: Basis) -> CancellationNotice:
    """The notice as it will be when everybody signs at home on that day: shown and printed beforehand."""
    return _notice(office, may_cancel(day, _holidays([day]), days=days_to_cancel(basis)), basis)


def asked_here(office: Office, named: str) -> tuple[Asked, ...]:
    """What the library knows that a region asks of the writing."""
    return asked_in(asked_by_states(office.settings.library), named)


def consent_words(signer: Signer, zone: str) -> str:
    """What the signature page says of a consent; empty where there is none."""
    if not signer.consented_at:
        return ""
    when = moment_in_words(datetime.fromisoformat(signer.consented_at), zone)
    return (
        f"Consented to electronic records ({signer.consent_to}) on {when}, {signer.consented_on}: opened these pages "
        "there and typed the word they print."
    )


def address_of(firm: Firm) -> str:
    """Where a client writes to, in one line; empty where the firm has typed no street."""
    place = " ".join(part for part in (f"{firm.town}," if firm.town else "", firm.state, firm.postal_code) if part)
    return ", ".join(part for part in (firm.street, place) if part) if firm.street else ""


def _notice(office: Office, window: Cancelling, basis: Basis) -> CancellationNotice:
    return cancellation_notice(
        cancellation_wording(office.settings.library),
        window,
        days=days_to_cancel(basis),
        seller=basis.firm.name or "the firm",
        address=address_of(basis.firm) or NO_ADDRESS,
    )


def _holidays(days: Sequence[date]) -> frozenset[date]:
    return federal_holidays_of({day.year + more for day in days for more in (0, 1)})
