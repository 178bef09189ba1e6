"""Consent to an electronic record, person by person and paper by paper, before anything is signed on a screen."""

from dataclasses import replace
from io import BytesIO
from typing import Any
from uuid import UUID

import msgspec

from app.db.repositories import revisions as rows
from app.db.repositories.revisions import CONTRACTOR, Revision, Signer
from app.domain.contract.consent import EDITION, SOURCE, consent_terms, is_word
from app.domain.errors import BadValue
from app.services import revisions
from app.services.jobs import Order
from app.services.office import Office
from app.services.revision_entries import on_record
from app.services.revisions import check_open
from app.services.sheets import Sheet

NOT_YET = (
    "Before signing on a screen, open the pages, type the word printed in them and consent to electronic records; or "
    "sign on paper."
)


def terms_of(view: Sheet, one: Revision) -> tuple[str, ...]:
    """What is told before somebody consents."""
    firm = view.basis.firm
    contact = ", ".join(part for part in (firm.phone, firm.email) if part)
    return consent_terms(f"{one.kind} {one.number}", firm.name or "the firm", contact)


def still_to_consent(one: Revision) -> tuple[str, ...]:
    """Clients who have neither signed nor consented."""
    return tuple(signer.name for signer in one.signers if not signer.signed_at and not _may(signer))


def may_sign(one: Revision) -> tuple[str, ...]:
    """Who may sign on a screen now: clients who consented, and the contractor."""
    return tuple(signer.name for signer in one.signers if not signer.signed_at and _may(signer))


def asks_for_pages(office: Office, one: Revision) -> bool:
    """Whether the number of pages is asked for, because a release that printed no word offered it."""
    return not _word(office, one)


def told_before(office: Office, view: Sheet, one: Revision) -> dict[str, Any]:
    """What the page to sign says of consent, and who may sign there now."""
    return {
        "consent_names": still_to_consent(one),
        "sign_names": may_sign(one),
        "consented": [signer for signer in one.signers if signer.consented_at and not signer.signed_at],
        "we_sign": any(signer.role == CONTRACTOR and not signer.signed_at for signer in one.signers),
        "consent_terms": terms_of(view, one),
        "consent_source": SOURCE,
        "asks_for_pages": asks_for_pages(office, one),
    }


def consent(office: Office, view: Sheet, revision_id: str, given: "Given", order: Order) -> Revision:
    """Keep that somebody consents, once they typed what only the opened file shows.

    Raises: BadValue beside `word` or `consent`; Refused when the paper is not open or the person not awaited.
    """
    one = revisions.read(office, revision_id)
    check_open(office, view, one, given.name)
    if not given.agrees:
        raise BadValue("Tick that you consent, or sign on paper instead.", field="consent")
    if not _opened(office, one, given.typed):
        what = "number of pages" if asks_for_pages(office, one) else "word printed at the end of its pages"
        raise BadValue(f"That is not the {what}. Open the pages on this device and look again.", field="word")
    now = office.clock().isoformat()
    signers = tuple(
        replace(signer, consented_at=now, consented_on=given.device, consent_to=EDITION)
        if signer.name == given.name and not signer.signed_at
        else signer
        for signer in one.signers
    )
    what = f"{given.name} consents to {one.kind} {one.number} as an electronic record"
    return _kept(office, one, signers, order, what)


def take_back(office: Office, view: Sheet, revision_id: str, name: str, order: Order) -> Revision:
    """Take a consent back before signing. Raises: Refused when the paper is not open or the person not awaited."""
    one = revisions.read(office, revision_id)
    check_open(office, view, one, name)
    signers = tuple(
        replace(signer, consented_at="", consented_on="", consent_to="") if signer.name == name else signer
        for signer in one.signers
    )
    return _kept(office, one, signers, order, f"{name} takes the consent to {one.kind} {one.number} back")


class Given(msgspec.Struct, kw_only=True, frozen=True):
    """A consent as it comes from the page."""

    name: str
    typed: str
    agrees: bool
    device: str = ""


def _may(signer: Signer) -> bool:
    return bool(signer.consented_at) or signer.role == CONTRACTOR


def _opened(office: Office, one: Revision, typed: str) -> bool:
    word = _word(office, one)
    return is_word(typed, word or str(_pages(revisions.hand_out(office, one.id, "offered"))))


def _word(office: Office, one: Revision) -> str:
    """The word that its pages print; empty where an earlier release offered it."""
    if "results" not in one.files:
        return ""
    held: dict[str, Any] = msgspec.json.decode(revisions.hand_out(office, one.id, "results"))
    return str(held.get("word", ""))


def _pages(content: bytes) -> int:
    from pypdf import PdfReader

    return len(PdfReader(BytesIO(content)).pages)


def _kept(office: Office, one: Revision, signers: tuple[Signer, ...], order: Order, what: str) -> Revision:
    with office.database.write() as connection:
        rows.set_signers(connection, one.id, signers, one.state)
        body = {"revision": one.id, "offered": one.files["offered"], "consent": EDITION}
        on_record(office, connection, "consent", order, UUID(one.job_id), what, body)
    return replace(one, signers=signers)
