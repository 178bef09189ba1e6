"""Revisions: offered as bytes, signed by one appended update, handed out again as the same bytes.

Making a PDF happens in the worker; the rows and the record are written in one transaction after it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from hashlib import sha256
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import msgspec

from app.db.files import FileStore
from app.db.repositories import record, revisions
from app.db.repositories.invoices import INVOICE
from app.db.repositories.revisions import CONTRACTOR, Revision, Signer
from app.documents.pages import with_word
from app.documents.pdf import PdfOrder, pdf_payload
from app.documents.signing import Scan, Signature, Signing, check_signing, sign_payload
from app.domain.codec import canonical_bytes
from app.domain.contract.cancelling import PLACE_WORDS, SignedAt
from app.domain.contract.consent import word_of
from app.domain.errors import NotFound, Refused
from app.domain.job import Stage
from app.interchange.job_file import write_job_file
from app.interchange.trimming import trimmed
from app.services.jobs import Order
from app.services.locks import lock_key
from app.services.notices import consent_words, notice_of
from app.services.office import Office
from app.services.revision_entries import awaited, move_stage, on_record
from app.services.sheets import Sheet
from app.worker.running import run_in_worker

PROPOSAL = "proposal"
DESIGN = "design agreement"
CHANGE = "change"  # options taken after the proposal was signed
CHANGE_ORDER = "change order"
COMPLETION = "completion"  # of a yard that is handed over: no agreement, so nothing to cancel
INTENT = "I have read these pages and agree to them."


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What is to be offered: its kind, its PDF order, its price and how long it holds, who signs."""

    kind: str
    pdf: PdfOrder
    price_cents: int | None
    holds_until: date | None
    signers: tuple[str, ...]
    results: Mapping[str, Any]
    contractor: str = ""  # who signs for the firm, where it signs too


def files_of(office: Office) -> FileStore:
    """The store of files by content."""
    return FileStore(office.settings.files)


def today_at(office: Office, zone: str) -> date:
    """Today at the site."""
    return office.clock().astimezone(ZoneInfo(zone)).date()


async def issue(office: Office, view: Sheet, offer: Offer, order: Order) -> Revision:
    """Offer: keep job file, results and PDF as bytes, supersede earlier offers of the kind, put it on record.

    Raises: Refused where the same change id was used for something else; what the worker refuses.
    """
    known = issued_by(office, order.change_id)
    if known is not None:
        return known
    word = word_of(str(order.change_id))
    pdf = await run_in_worker("pdf", pdf_payload(with_word(office.settings.templates, offer.pdf, word)))
    contents = {
        "job": write_job_file(view.job, trimmed(view.basis, view.job)),
        "results": canonical_bytes({**offer.results, "word": word}),
        "offered": pdf,
    }
    store = files_of(office)
    files = {role: store.keep(content) for role, content in contents.items()}
    head = view.job.head
    now = office.clock()
    agreed = [] if offer.kind in (PROPOSAL, DESIGN) else of_job(office, head.id)
    with office.database.write() as connection:
        one = Revision(
            id=str(order.change_id),
            job_id=str(head.id),
            number=revisions.next_number(connection, str(head.id), offer.kind),
            kind=offer.kind,
            state="offered",
            issued_at=now.isoformat(),
            holds_until=offer.holds_until,
            price_cents=offer.price_cents,
            job_counter=view.opened.counter,
            signers=awaited(offer.signers, offer.contractor, agreed),
            files=files,
        )
        revisions.supersede(connection, str(head.id), offer.kind, now.isoformat())
        revisions.insert_revision(connection, office.firm_id, one, {role: len(c) for role, c in contents.items()})
        what = f"{offer.kind.capitalize()} {one.number} offered"
        if offer.kind == PROPOSAL and head.stage in {Stage.LEAD, Stage.DESIGN}:
            move_stage(office, connection, head.id, view, Stage.OFFERED, now)
        on_record(office, connection, "issue", order, head.id, what, {"revision": one.id, "files": files})
    return one


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One person's signing as it comes from the page, or from paper."""

    name: str
    strokes: tuple[tuple[tuple[float, float], ...], ...] = ()
    picture: bytes = b""
    device: str = ""
    place: str = ""  # one of `SignedAt`
    role: str = ""  # as what a client signs; the firm's own stays as it is
    scan: bytes = b""

    @property
    def on_paper(self) -> bool:
        """Signed on paper, with a scan attached."""
        return bool(self.scan)


async def sign(office: Office, view: Sheet, revision_id: str, act: Act, order: Order) -> Revision:
    """Sign an offer for one of its signers: a new signed copy that begins with the offered bytes, put on record.

    The copy that the last of them signs is locked with the firm's own key.
    Raises: Refused when it is not open, has run out, or the person is not (or no longer) awaited.
    """
    one = read(office, revision_id)
    signers = _signed_by(office, view, one, act)
    store = files_of(office)
    offered = store.read(one.files["offered"])
    kept, signing = _signing(office, view, one, act, signers)
    done = all(signer.signed_at for signer in signers)
    with office.database.read() as connection:
        signing = replace(signing, record=record.head(connection), lock=lock_key(office) if done else None)
    check_signing(signing)
    signed = await run_in_worker("sign", sign_payload(offered, signing))
    if not signed.startswith(offered):
        raise Refused("The signed copy does not begin with the offered pages. Nothing was kept; try again.")
    count = sum(1 for signer in signers if signer.signed_at)
    contents = {f"signed-{count}": signed, f"signature-{count}": msgspec.json.encode(kept)}
    if act.scan:
        contents[f"scan-{count}"] = act.scan
    files = {role: store.keep(content) for role, content in contents.items()}
    with office.database.write() as connection:
        for role, content in contents.items():
            revisions.add_file(connection, one.id, role, files[role], len(content))
        revisions.set_signers(connection, one.id, signers, "signed" if done else "offered")
        what = f"{one.kind.capitalize()} {one.number} signed by {act.name}"
        body = {"revision": one.id, "files": files, "offered": sha256(offered).hexdigest()}
        if signing.lock:
            body["lock"] = signing.lock.fingerprint
        if done and one.kind == PROPOSAL:
            move_stage(office, connection, view.job.head.id, view, Stage.SIGNED, office.clock())
        on_record(office, connection, "sign", order, view.job.head.id, what, body)
    return replace(one, signers=signers, state="signed" if done else "offered", files={**one.files, **files})


def read(office: Office, revision_id: str) -> Revision:
    """A revision by id. Raises: NotFound."""
    with office.database.read() as connection:
        one = revisions.read_revision(connection, office.firm_id, revision_id)
    if one is None:
        raise NotFound("There is no such revision.")
    return one


def of_job(office: Office, job_id: UUID) -> list[Revision]:
    """All that was offered to be signed in a job, the newest first; invoices are none of it."""
    with office.database.read() as connection:
        return [one for one in revisions.revisions_of(connection, str(job_id)) if one.kind != INVOICE]


def hand_out(office: Office, revision_id: str, role: str) -> bytes:
    """A kept file of a revision, checked against its hash. `signed` is the newest signed copy.

    Raises: NotFound, FileDamaged.
    """
    one = read(office, revision_id)
    name = one.signed_file if role == "signed" else one.files.get(role, "")
    if not name:
        raise NotFound("This revision has no such file.")
    return files_of(office).read(name)


def has_run_out(office: Office, one: Revision, zone: str) -> bool:
    """Whether the day it holds until has passed at the site."""
    return one.holds_until is not None and today_at(office, zone) > one.holds_until


def issued_by(office: Office, change_id: UUID) -> Revision | None:
    """What a change id issued before; None where it did not."""
    with office.database.read() as connection:
        return revisions.read_revision(connection, office.firm_id, str(change_id))


def check_open(office: Office, view: Sheet, one: Revision, name: str) -> None:
    """Whether a paper can be signed now by this person. Raises: Refused, saying why not."""
    if one.state != "offered":
        raise Refused(f"This {one.kind} is {one.state}; it cannot be signed any more.")
    if has_run_out(office, one, view.job.head.time_zone):
        raise Refused(
            f"This {one.kind} held until {one.holds_until:%B %-d}. Look at the prices again and offer it anew; "
            "then it can be signed."
        )
    if name not in one.waits_for:
        waits = ", ".join(one.waits_for)
        raise Refused(f"{name or 'Nobody'} is not awaited here. It waits for {waits}.", field="name")


def _signed_by(office: Office, view: Sheet, one: Revision, act: Act) -> tuple[Signer, ...]:
    """The signers once this act is done."""
    check_open(office, view, one, act.name)
    now = office.clock().isoformat()
    done = {"signed_at": now, "how": "on paper" if act.on_paper else "drawn", "device": act.device}
    return tuple(
        replace(signer, **done, place=SignedAt(act.place).value, role=_role(signer, act))
        if signer.name == act.name and not signer.signed_at
        else signer
        for signer in one.signers
    )


def _role(signer: Signer, act: Act) -> str:
    return signer.role if signer.role == CONTRACTOR else act.role or signer.role


def _signing(office: Office, view: Sheet, one: Revision, act: Act, signers: Sequence[Signer]) -> tuple[Any, Signing]:
    """The signature as it is kept, and the whole update with all signatures so far."""
    zone = view.job.head.time_zone
    newest = next(signer for signer in signers if signer.name == act.name)
    own = Signature(
        name=act.name,
        intent=INTENT,
        signed_at=datetime.fromisoformat(newest.signed_at),
        time_zone=zone,
        role=newest.role,
        device=act.device,
        place=PLACE_WORDS[SignedAt(act.place)],
        strokes=act.strokes,
        picture=act.picture,
        on_paper=act.on_paper,
        consent=consent_words(newest, zone),
    )
    earlier = [_kept_signature(office, one, role) for role in sorted(one.files) if role.startswith("signature-")]
    scans = [Scan(content=files_of(office).read(one.files[r])) for r in sorted(one.files) if r.startswith("scan-")]
    scans += [Scan(content=act.scan, caption=act.name)] if act.scan else []
    firm = view.basis.firm
    paper = view.job.head.paper or firm.paper
    signing = Signing(
        title=f"{one.kind.capitalize()} {one.number}, {view.job.head.title}",
        firm=firm.name or "the firm",
        signatures=(*earlier, own),
        paper="a4" if paper == "a4" else "letter",
        waits_for=tuple(signer.name for signer in signers if not signer.signed_at),
        notice=None if one.kind == COMPLETION else notice_of(office, signers, zone, view.basis),
        scans=tuple(scans),
    )
    return own, signing


def _kept_signature(office: Office, one: Revision, role: str) -> Signature:
    return msgspec.json.decode(files_of(office).read(one.files[role]), type=Signature)


def of_this_job(office: Office, job_id: UUID, revision_id: str) -> Revision:
    """A revision by id that belongs to the job. Raises: NotFound."""
    one = read(office, revision_id)
    if one.job_id != str(job_id):
        raise NotFound("There is no such revision in this job.")
    return one
