"""Signed copies: the offered bytes, untouched, one appended update with the signatures, and once all signed the lock.

The update adds pages after the offered ones: who signed, as what, with which words, when and on what; the strokes as
they were drawn; the fingerprint (SHA-256) of the offered file; scans where paper was signed. When one more person
signs, the one update is made anew from the offered bytes with all signatures so far; every copy is kept by the caller.
A drawn signature shows consent. It is no digital seal, and the page says so; what seals the file is its lock.
"""

from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from io import BytesIO
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import msgspec

from app.config import Settings
from app.documents.appending import append_pages
from app.documents.locking import LockKey, locked
from app.documents.pdf import Paper, html_to_pdf
from app.documents.pdf import get_ready as get_pdf_ready
from app.documents.strokes import Strokes, strokes_svg
from app.domain.contract.notice import CancellationNotice
from app.domain.errors import BadValue

PICTURE_STARTS = {b"\x89PNG\r\n\x1a\n": "image/png", b"\xff\xd8\xff": "image/jpeg"}
LONGEST_TEXT = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """One person's signature: typed name, the words agreed to, time with zone, and the strokes as drawn.

    `picture` (PNG or JPEG) stands in where there are no strokes; `on_paper` where the scan shows it.
    """

    name: str
    intent: str
    signed_at: datetime
    time_zone: str
    role: str = ""
    device: str = ""
    place: str = ""  # where, in words
    consent: str = ""  # when and how the person consented to an electronic record, in words
    strokes: Strokes = ()
    picture: bytes = b""
    on_paper: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """A scan of signed paper: a PDF, or a PNG or JPEG picture."""

    content: bytes
    caption: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signing:
    """All that a signed copy adds to the offered bytes. `waits_for` names who has yet to sign."""

    title: str
    firm: str
    signatures: tuple[Signature, ...]
    paper: Paper = "letter"
    language: str = "en"
    waits_for: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()  # papers the firm must add, in plain words
    scans: tuple[Scan, ...] = ()
    record: str = (
        ""  # the hash of the record's newest entry before this: printed, the paper tells a record cut off later
    )
    notice: CancellationNotice | None = None  # printed twice, where it was signed away from the firm's own place
    lock: LockKey | None = None  # the firm's own, once all have signed


def signed_copy(offered: bytes, signing: Signing) -> bytes:
    """The offered bytes plus one appended update, and its lock where there is a key to lock it with.

    Raises: BadValue, in a sentence, when nothing is signed, a name, the words or the strokes are missing, a time has no
    zone, a scan cannot be read, or the offered bytes are no PDF.
    """
    check_signing(signing)
    newest = max(signature.signed_at for signature in signing.signatures)
    added = html_to_pdf(
        _page(offered, signing),
        paper=signing.paper,
        title=f"Signatures: {signing.title}",
        language=signing.language,
        identifier=sha256(offered).hexdigest(),
        source_date=newest,
    )
    papers = [scan.content for scan in signing.scans if scan.content.startswith(b"%PDF-")]
    copy = append_pages(offered, added, papers, bookmark="Signatures")
    return locked(copy, signing.lock, newest) if signing.lock else copy


def check_signing(signing: Signing) -> None:
    """Refuse what cannot be printed as a signature. Cheap: the web process asks before it queues the work."""
    if not signing.signatures:
        raise BadValue("Nobody has signed yet.", field="signatures")
    for signature in signing.signatures:
        _check_signature(signature)
    if any(signature.on_paper for signature in signing.signatures) and not signing.scans:
        raise BadValue("A signature on paper needs the scan of the paper. Add it first.", field="scans")
    if signing.lock and signing.waits_for:
        raise BadValue("This copy waits for a signature. It is locked when all have signed.", field="signatures")
    for scan in signing.scans:
        if not scan.content.startswith(b"%PDF-") and not _picture_kind(scan.content):
            raise BadValue("A scan must be a PDF, PNG or JPEG file.", field="scans")


def sign_payload(offered: bytes, signing: Signing) -> Mapping[str, Any]:
    """The payload of the worker's task "sign"."""
    plain = msgspec.to_builtins(signing, builtin_types=(bytes,))
    return {"offered": offered, "signing": plain}


def sign_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "sign"."""
    tell(0.1, "Setting the signature page")
    return signed_copy(payload["offered"], msgspec.convert(payload["signing"], Signing, builtin_types=(bytes,)))


def get_ready() -> None:
    """Load the libraries of printing and appending."""
    import pyhanko.pdf_utils.incremental_writer
    import pyhanko.sign.signers  # noqa: F401

    get_pdf_ready()


def moment_in_words(moment: datetime, time_zone: str) -> str:
    """A moment with its zone, for print.

    >>> moment_in_words(datetime.fromisoformat("2027-03-09T20:04:05Z"), "America/New_York")
    'March 9, 2027, 3:04:05 PM EST (UTC-05:00, America/New_York)'
    """
    local = moment.astimezone(ZoneInfo(time_zone))
    hour = local.hour % 12 or 12
    offset = f"{local:%z}"
    return (
        f"{local:%B} {local.day}, {local.year}, {hour}:{local:%M:%S %p %Z} (UTC{offset[:3]}:{offset[3:5]}, {time_zone})"
    )


def _check_signature(signature: Signature) -> None:
    if not signature.name.strip():
        raise BadValue("Type the name of the person who signs.", field="name")
    if not signature.intent.strip():
        raise BadValue("The words that are agreed to are missing.", field="intent")
    if (
        max(map(len, (signature.name, signature.role, signature.device, signature.intent, signature.consent)))
        > LONGEST_TEXT
    ):
        raise BadValue(f"A name, role or sentence is longer than {LONGEST_TEXT} letters.", field="name")
    if signature.signed_at.tzinfo is None:
        raise BadValue("The time of signing has no time zone.", field="signed_at")
    _check_zone(signature.time_zone)
    if signature.picture and not _picture_kind(signature.picture):
        raise BadValue("The picture of the signature must be a PNG or JPEG file.", field="picture")
    if not signature.on_paper and not signature.picture:
        strokes_svg(signature.strokes)


def _check_zone(name: str) -> None:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as unknown:
        raise BadValue(
            f"“{name}” is no time zone we know. One looks like America/New_York.", field="time_zone"
        ) from unknown


def _page(offered: bytes, signing: Signing) -> str:
    """The added page as HTML."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    templates = Environment(
        loader=FileSystemLoader(Settings().templates), autoescape=True, undefined=StrictUndefined, trim_blocks=True
    )
    templates.filters["css"] = _css_text
    pictures = [scan for scan in signing.scans if not scan.content.startswith(b"%PDF-")]
    return templates.get_template("documents/signatures.html").render(
        act=signing,
        pages=_pages_of(offered),
        size=len(offered),
        fingerprint=sha256(offered).hexdigest(),
        drawn=[_drawn(signature) for signature in signing.signatures],
        moments=[moment_in_words(one.signed_at, one.time_zone) for one in signing.signatures],
        pictures=[
            {"caption": scan.caption or f"sheet {number}", "address": _address(scan.content)}
            for number, scan in enumerate(pictures, 1)
        ],
    )


def _pages_of(offered: bytes) -> int:
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    try:
        return len(PdfReader(BytesIO(offered)).pages)
    except (PyPdfError, ValueError, KeyError, TypeError) as unreadable:
        raise BadValue("The offered document is not a PDF that can be read.") from unreadable


def _drawn(signature: Signature) -> str:
    if signature.on_paper:
        return ""
    if signature.picture:
        return _address(signature.picture)
    return f"data:image/svg+xml;base64,{b64encode(strokes_svg(signature.strokes).encode()).decode()}"


def _address(picture: bytes) -> str:
    return f"data:{_picture_kind(picture)};base64,{b64encode(picture).decode()}"


def _picture_kind(content: bytes) -> str:
    return next((kind for start, kind in PICTURE_STARTS.items() if content.startswith(start)), "")


def _css_text(text: str) -> str:
    """A text as the inside of a CSS string."""
    from markupsafe import Markup

    plain = "".join(f"\\{ord(letter):x} " if not letter.isalnum() and letter != " " else letter for letter in text)
    return Markup(plain)  # noqa: S704  every letter that could end the string is escaped
