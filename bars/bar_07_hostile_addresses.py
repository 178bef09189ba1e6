"""Hostile addresses in what becomes a PDF: whether printing fetches one, or puts what lies there into the PDF.

Three ways in. Whole hostile pages given to the printing library, as if a hole let them through. Hostile texts in every
text of a job and of the firm, and hostile pictures and PDFs for the firm's mark, photos, terms and notices; then every
paper that the routes hand out is asked for. A server here counts who comes, a file holds a secret, and every PDF is
searched object by object for both, for attachments and for what acts.
"""

import asyncio
import tempfile
import typing
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field, fields, replace
from datetime import UTC, datetime
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from app.db.repositories.things import read_thing
from app.db.tables.things import KINDS
from app.documents.pdf import html_to_pdf
from app.domain.basis import Basis, FirmPage
from app.domain.errors import OutlayError
from app.domain.job import JOB_THINGS, Packet
from app.services import firm_page, jobs, photos, proposals
from app.services.jobs import changed, made
from app.services.office import Office
from app.services.sheets import sheet
from bars import Figure, going_on
from tests.hostile import PAGES, SECRET, TEXTS, Listener, hostile_drawing, hostile_pdf, hostile_png, met_in, words_of
from tests.offering import offer, sign
from tests.releases.keeping import order, small_yard
from tests.stocked import stocked_basis, stocked_office
from tests.web.conftest import Browser
from tests.web.test_access import routes
from tests.web.test_every_page import filled, known_words

MADE = datetime(2027, 3, 9, 15, 0, tzinfo=UTC)
# turns, and how many texts further each begins: at every turn another text and address in every place
FULL, STEP = (
    10,
    4,
)  # turns, and how many texts further each begins: in every place another text and address at every turn
# texts by which something is found, not words that are read
NAMES = {"id", "key", "file", "basis_file", "mark", "time_zone", "currency", "language", "paper", "region", "assembly"}


@dataclass
class Seen:
    """What was planted and printed, and what was met in the papers."""

    embedded: list[str] = field(default_factory=list)
    papers: int = 0
    routes: set[str] = field(default_factory=set)
    texts: int = 0


def printed_pages(addresses: tuple[str, ...], seen: Seen) -> None:
    """Each hostile page with each address, printed."""
    for name, page in PAGES.items():
        for address in addresses:
            html = page.format(**words_of(address))
            made_of = partial(html_to_pdf, html, paper="letter", title="Hostile", language="en-US")
            note(seen, name, made_of(identifier="hostile", source_date=MADE), addresses)


def note(seen: Seen, what: str, content: bytes, addresses: tuple[str, ...]) -> None:
    """Look into a PDF."""
    seen.papers += 1
    seen.embedded += [f"{what}: {one}" for one in met_in(content, *addresses)]


Next = Callable[[], str]


def texts_from(turn: int, addresses: tuple[str, ...]) -> Next:
    """The hostile texts in turn, from another one on at every turn."""
    filled_in = [text.format(**words_of(address)) for text in TEXTS for address in addresses]
    numbers = count(turn)
    return lambda: filled_in[next(numbers) % len(filled_in)]


def hostile_book(text: Next) -> Basis:
    """A stocked book whose materials and recipes have hostile titles and words."""
    basis = stocked_basis()
    return replace(
        basis,
        materials={key: replace(one, title=text()) for key, one in basis.materials.items()},
        assemblies={key: replace(one, title=text(), words=text()) for key, one in basis.assemblies.items()},
    )


def things_of(office: Office, job_id: UUID) -> Iterator[tuple[UUID | None, str, Any]]:
    """Every thing of the job, and the firm: where it is changed, its kind and id."""
    job = jobs.open_job(office, job_id).job
    for kind, (_, place) in JOB_THINGS.items():
        value = getattr(job, place)
        for one in value if isinstance(value, tuple) else (value,):
            yield job_id, kind, one.id
    yield None, "firm", office.firm_id


def plant(office: Office, job_id: UUID, text: Next) -> int:
    """Put a hostile text into every text of every thing that takes one and can still be offered; how many took it."""
    taken = 0
    for where, kind, thing_id in list(things_of(office, job_id)):
        hints = typing.get_type_hints(KINDS[kind])
        for one in fields(KINDS[kind]):
            if hints[one.name] is str and one.name not in NAMES:
                taken += took(office, job_id, (where, kind, thing_id), {one.name: text()})
    return taken


def took(office: Office, job_id: UUID, thing: tuple[UUID | None, str, Any], values: dict[str, Any]) -> bool:
    """Whether a thing took a text; one with which no proposal is drawn any more is taken back."""
    where, kind, thing_id = thing
    with office.database.read() as connection:
        row = read_thing(connection, office.firm_id, kind, str(thing_id))
    try:
        version = row.version if row else 0
        jobs.save(office, where, (changed(kind, thing_id, version, values),), order("hostile"))
    except OutlayError:
        return False
    try:
        proposals.next_draft(office, sheet(office, job_id))
    except Exception:  # noqa: BLE001 - a text that is no word but a name of something
        jobs.undo(office, where, order("back").change_id)
        return False
    return True


async def upload(office: Office, job_id: UUID, text: Next, addresses: tuple[str, ...]) -> None:
    """Send hostile files for all that takes one; what is refused is well."""
    for address in addresses:
        for content in (hostile_drawing(address), hostile_png(address)):
            with suppress(OutlayError):
                await photos.add_photo(office, job_id, content, {}, order("photo"))
            with suppress(OutlayError):
                await firm_page.set_mark(office, _version(office), content, order("mark"))
        pages = hostile_pdf(address, addresses[-1])
        page = FirmPage(title=text(), text="", reviewed_by="R. Alder", reviewed_on=MADE.date(), file="")
        with suppress(OutlayError):
            await firm_page.set_terms(office, _version(office), page, pages, order("terms"))
        with suppress(OutlayError):
            await firm_page.add_notice(office, _version(office), page, pages, order("notice"))


def _version(office: Office) -> int:
    with office.database.read() as connection:
        row = read_thing(connection, office.firm_id, "firm", office.firm_id)
    return row.version if row else 0


def printed_papers(office: Office, job_id: UUID, seen: Seen, addresses: tuple[str, ...]) -> None:
    """Offer and sign, then ask for every paper that a route hands out."""
    revision = offer(office, job_id)
    for signer in revision.signers:
        with suppress(OutlayError):  # a name longer than a signature takes
            sign(office, job_id, revision.id, signer.name)
    offer(office, job_id)
    words = {
        **known_words(office, job_id, str(revision.id)),
        "packet_id": str(jobs.open_job(office, job_id).job.packets[0].id),
    }
    paths = {route.path for route in routes(office) if "GET" in route.methods and route.path.endswith(".pdf")}
    browser = Browser(office)
    with browser.client:
        for path in sorted(paths):
            answer = browser.get(filled(path, words))
            if answer.content.startswith(b"%PDF-"):
                seen.routes.add(path)
                note(seen, path, answer.content, addresses)


def prepared(folder: Path, text: Next) -> tuple[Office, UUID]:
    """An office with a hostile book and a yard that has a packet and wishes."""
    office = stocked_office(folder, hostile_book(text))
    job_id = small_yard(office)
    packet = Packet(id=uuid4(), title="Walls", trade="masonry", extras=(text(),), words=text())
    jobs.save(office, job_id, (made("packet", packet),), order("Packet"))
    head = jobs.open_job(office, job_id)
    early = changed("job", job_id, head.version("job", job_id), {"early": {"dining": "medium"}})
    jobs.save(office, job_id, (early,), order("Wishes"))
    return office, job_id


def turn(number: int, folder: Path, seen: Seen, addresses: tuple[str, ...]) -> None:
    """One office with hostile texts everywhere, and all its papers."""
    text = texts_from(number * STEP, addresses)
    office, job_id = prepared(folder / str(number), text)
    seen.texts += plant(office, job_id, text)
    asyncio.run(upload(office, job_id, text, addresses))
    printed_papers(office, job_id, seen, addresses)
    office.database.close()


def measure(few: bool) -> tuple[Figure, ...]:
    """Visits of the server, and what was met in papers that must not be there."""
    seen, listener = Seen(), Listener()
    with tempfile.TemporaryDirectory() as name:
        secret = Path(name) / "secret.png"
        secret.write_text(SECRET)
        addresses = (listener.address, f"file://{secret}")
        printed_pages(addresses, seen)
        for number in range(1 if few else FULL):
            going_on(number, FULL, "turns")
            turn(number, Path(name), seen, addresses)
    visits = listener.visits
    listener.close()
    papers = f"{seen.papers} PDFs, {len(seen.routes)} papers of the program, {seen.texts} texts of users"
    return (
        Figure(what="hostile addresses fetched by printing", value=visits, limit=0, note=papers),
        Figure(
            what="PDFs with what lies there, or that act",
            value=len(seen.embedded),
            limit=0,
            note="; ".join(seen.embedded[:4]),
        ),
        Figure(
            what="papers of the program that were printed so",
            value=len(seen.routes),
            limit=8,
            at_least=True,
            note=", ".join(sorted(seen.routes)),
        ),
    )
