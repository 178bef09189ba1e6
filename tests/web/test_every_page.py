"""Every page opens on a job with everything in it; nonsense on any form is a sentence, changes nothing, never breaks."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from sqlalchemy import inspect

from app.services.jobs import changed, open_job, save
from app.services.office import Office
from app.web.sheet_pages import index
from tests.offering import offer, order, sign
from tests.web.conftest import Browser
from tests.web.test_access import routes

# where an office without a name begins; what shows only once a picture, a PDF or the wishes of a first call were put in
NEED_MORE = {
    "/firm/first",
    "/firm/file/{name}",
    "/subcontractors/{key}/papers/{name}",  # once a paper was sent
    "/jobs/{job_id}/site/photos/{photo_id}",
    "/jobs/{job_id}/photos/{photo_id}",
    "/jobs/{job_id}/photos/{photo_id}/small",
    "/jobs/{job_id}/palette/photo/{photo_id}",
    "/jobs/{job_id}/client/early-range.pdf",
    "/jobs/{job_id}/sun/hours.svg",  # once the site says where it lies
    "/jobs/{job_id}/plan/drawing",  # the canvas asks for it, at the width it is seen
    "/jobs/{job_id}/plan/underlay/{underlay_id}",
    "/jobs/{job_id}/choices/next",  # a part that the Estimate and Client sheets ask for
    "/jobs/{job_id}/plan/stretch",  # the canvas asks for it, with what was typed
    "/jobs/{job_id}/sub-packets/lien-release/{release_id}/paper",  # once a release came on paper
    "/jobs/{job_id}/days/{day}.pdf",  # once a phase has its days
    "/jobs/{job_id}/days/{day}/{person}.pdf",
    "/jobs/{job_id}/change-orders/draft",  # once the plan is not what was signed
    "/jobs/{job_id}/compare.pdf",  # once something was offered
    "/jobs/{job_id}/past/read",  # once other jobs were signed
    "/jobs/{job_id}/estimate/lines",  # a folded group of a large estimate asks for it
    "/firm/erased/{revision_id}/paper",  # signed papers of a client who was erased
    "/jobs/{job_id}/money/invoice/{invoice_id}.pdf",  # once one was issued
    "/jobs/{job_id}/money/received/{payment_id}.pdf",  # once something was paid
    "/jobs/{job_id}/orders/{order_id}.pdf",  # once an order was prepared
    "/jobs/{job_id}/orders/{order_id}.txt",
    "/jobs/{job_id}/after/completion.pdf",  # once every test is signed
    "/jobs/{job_id}/after/release.pdf",  # once the yard is handed over
    "/jobs/{job_id}/after/shown.pdf",  # once the client gave a permission
    "/jobs/{job_id}/money/statement.pdf",  # a form asks for it, with a day
    "/pieces/{name}",  # the script that sends large pictures asks it
    "/worker.js",  # the script that keeps pages asks for it
    "/contact",  # a device asks it, with changes that had no answer
    "/pair",  # the door of a new device: its camera leads there
    "/pair/waiting",
    "/feed/{token}.ics",  # a calendar program asks it, by an address that is shown once
    "/face/leave",  # from the head of every page of a paired device
    "/face/ours",  # where a tablet that was handed over asks for the passcode
    "/trust",  # the other device's, and once sharing is on
    "/firm/devices/pairing",  # a part, asked for while a code waits to be typed
    "/prices/machine/{key}",  # an opened row of a machine leads there
    "/prices/machine/{key}/why/{figure}",
    "/jobs/{job_id}/phases/approval/{approval_id}.pdf",  # once something is asked for
    "/jobs/{job_id}/phases/cut-sheet/{sheet_id}/paper",  # once a maker's sheet goes with it
    "/jobs/{job_id}/subs/packet/{packet_id}.pdf",  # once a packet was put together
    "/jobs/{job_id}/subs/quote/{quote_id}/paper",  # once a quote came on paper
    "/prices/history/{key}",  # an opened row of the price book leads there, and the page of a material
    "/jobs/{job_id}/along/{taking_id}.zip",  # once the job was taken along
    "/jobs/{job_id}/along/{taking_id}/back.zip",  # on the machine it was taken to
    "/jobs/{job_id}/along/brought/{name}",  # once a file came back
    "/trust/authority.crt",  # while the pages are shared
    "/firm/known/{name}.csv",  # once there is something to list
    "/firm/known/why/{figure}",
    "/firm/known/read",  # a page that waits for papers asks it
    "/firm/taught/table.csv",  # once a finished task was logged
    "/firm/taught/{key}",  # once a finished task was logged
    "/firm/taught/{key}/drafts",
    "/firm/taught/why/{figure}",
    "/firm/waste/table.csv",  # once a material of a closed job was counted
    "/firm/waste/{way}/{key}",
    "/firm/waste/{way}/{key}/drafts",
    "/firm/waste/why/{figure}",
    "/prices/changes/{change_id}",  # where a list ends when it is taken, and from the history of a price
}
NONSENSE = {
    "empty": "",
    "huge": "9" * 8_000,
    "long words": "terrace " * 1_200,
    "emoji": "🪴🧱",
    "markup": "<script>alert(1)</script>\"'>",
    "control": "12\x00\x07\x1b[2J\u202e ft",
    "negative": "-12' 6\"",
    "not a number": "NaN",
    "endless": "Infinity",
    "beyond": "1e999",
    "fraction of nothing": "12/0",
    "no id": "00000000-0000-0000-0000-00000000000g",
    "strange id": "6f9619ff-8b86-d011-b42d-00c04fc964ff",
    "raised": "²",  # a digit to some, a number to nobody
    "braces": "{{ 7*7 }}{% raw %}${7*7}",
    "sql": "'; DROP TABLE job; --",
    "surrogate": "\ud800",
    "points": "0,0; 1,1; 0,0",
    "list": '[[[1e308,"x"]]]',
}


@pytest.fixture
def signed(stocked: Office, ready: UUID) -> str:
    """The revision of the ready job, signed by both; the job has a fee for its design."""
    opened = open_job(stocked, ready)
    fee = changed("job", ready, opened.version("job", ready), {"design_fee_cents": 90_000})
    save(stocked, ready, (fee,), order())
    revision = offer(stocked, ready)
    for name in ("Linnea Whitlock", "Joss Whitlock"):
        sign(stocked, ready, str(revision.id), name)
    return str(revision.id)


@pytest.fixture
def here(stocked: Office, ready: UUID) -> Iterator[Browser]:
    opened = Browser(stocked)
    with opened.client:
        yield opened


def known_words(office: Office, job_id: UUID, revision: str = "") -> Mapping[str, str]:
    """For each name that stands in an address: one that is there."""
    job = open_job(office, job_id).job
    zone = job.zones[0]
    basis = office.basis()
    return {
        "job_id": str(job_id),
        "zone_id": str(zone.id),
        "alternative_id": str(zone.chosen_id),
        "work_id": str(job.works[0].id),
        "phase_id": str(uuid4()),
        "settlement_id": str(uuid4()),
        "revision_id": revision or str(uuid4()),
        "thing_id": str(zone.id),
        "kind": "zone",
        "sheet": "plan",
        "key": "all",
        "role": "signed" if revision else "offered",
        "rule_id": next(iter(basis.rules)),
        "figure": "price",
        "assembly": "unit-pavers",
        "material": next(iter(basis.materials)),
        "supplier": next(iter(basis.suppliers), "none"),
        "task": next(iter(basis.tasks)),
    }


def filled(path: str, words: Mapping[str, str]) -> str:
    return re.sub(r"\{(\w+)(?::\w+)?\}", lambda found: words.get(found[1], "none"), path)


def paths(office: Office, *, changing: bool) -> list[str]:
    wanted = [r for r in routes(office) if bool(r.methods - {"GET", "HEAD"}) == changing]
    return sorted({route.path for route in wanted if not route.path.startswith("/built")})


def links(text: str, *names: str) -> set[str]:
    """The addresses of this program that a page leads to, by the attributes they stand in."""
    without_posts = re.sub(r'<form[^>]*method="post"[^>]*>', "", text)
    found = re.findall(rf'\s(?:{"|".join(names or ("href",))})="(/[^"#]*)', without_posts)
    return {one.replace("&amp;", "&") for one in found if not one.startswith("/built/")}


@pytest.mark.usefixtures("signed")
@pytest.mark.slow
def test_every_page_that_is_linked_opens_and_nothing_runs_in_it(here: Browser, ready: UUID) -> None:
    """From home and from each sheet, along every link on our face; a page more is a page more."""
    of_its_kind: Counter[str] = Counter()
    asked: set[str] = set()  # by forms, parts of pages and pictures
    waiting, seen = ["/", *[f"/jobs/{ready}/{page.key}" for page in index()]], {}
    refused = {f"/jobs/{ready}/proposal/design"}  # a sentence, until the fee of the design is typed
    while waiting and len(seen) < 600:
        path = waiting.pop()
        of_its_kind[shape(path)] += path not in seen
        if path in seen or path.startswith("/show/") or of_its_kind[shape(path)] > 8:
            continue
        answer = here.get(path)
        seen[path] = answer.status_code
        if answer.headers["content-type"].startswith("text/html"):
            nothing_inline(path, answer.text)
            waiting += sorted(links(answer.text) - seen.keys())
            asked |= links(answer.text, "hx-get", "action", "src")
    wrong = {path: status for path, status in seen.items() if status != 200 and path not in refused}
    assert wrong == {}
    met = {path.partition("?")[0] for path in (*seen, *asked)} | {
        "/firm/first"
    }  # where an office without a name begins
    alone = [path for path in paths(here.office, changing=False) if not any(_matches(path, one) for one in met)]
    alone = [path for path in alone if not path.startswith(("/show/", "/field")) and path not in NEED_MORE]
    assert alone == [], "no link leads there: " + ", ".join(alone)


def shape(path: str) -> str:
    """Pages of which there are many alike go by a common name; of these only a few are looked at."""
    bare = re.sub(r"[0-9a-f-]{36}", "ID", path.partition("?")[0])
    if "?" in path:  # a sheet with something opened on it
        return bare + "?"
    many = path.startswith(("/library/", "/quick")) or "/why/" in path
    return bare.rpartition("/")[0] if many else path


def _matches(route: str, path: str) -> bool:
    return re.fullmatch(re.sub(r"\{[^}]*\}", "[^/]+", route.replace(".", r"\.")), path) is not None


def nothing_inline(path: str, text: str) -> None:
    assert not re.search(r"\sstyle=", text), path
    assert not re.search(r"\son(click|change|load|input|submit)=", text), path
    assert not re.search(r"<script(?![^>]*\ssrc=)", text), path
    assert "javascript:" not in text, path
    assert "StrictUndefined" not in text, path


def test_every_address_answers_with_a_page_or_a_sentence(here: Browser, stocked: Office, ready: UUID, signed: str):
    """Each GET route filled with what there is; then with what there is not."""
    known = known_words(stocked, ready, signed)
    broken = {}
    for path in paths(stocked, changing=False):
        for words in (known, dict.fromkeys(known, "none"), {**known, "job_id": str(uuid4())}):
            answer = here.get(filled(path, words))
            if answer.status_code >= 500:
                broken[filled(path, words)] = answer.status_code
            if answer.headers.get("content-type", "").startswith("text/html"):
                nothing_inline(path, answer.text)
    assert broken == {}


@pytest.mark.parametrize(
    "query",
    [
        *("focus=zone:none", "focus=%00", "focus=" + "x" * 5_000, "at=-1", "at=1e9", "search=%ff"),
        "before=²&width=²&focus=opening:²",
    ],
)
def test_nonsense_behind_the_question_mark_never_breaks_a_page(here: Browser, stocked: Office, ready: UUID, query: str):
    known = known_words(stocked, ready)
    for path in paths(stocked, changing=False):
        if not path.endswith((".pdf", ".zip")):
            assert here.get(f"{filled(path, known)}?{query}").status_code < 500, path


def fields_of(office: Office) -> tuple[str, ...]:
    """Every name a form may send: of the things, of the forms written in the routes, of the hidden fields."""
    from app.web.forms.things import FORMS

    own = {one.name for fields in FORMS.values() for one in fields}
    source = "".join(one.read_text() for one in sorted(Path(__file__).parents[2].joinpath("app/web").rglob("*.py")))
    own |= set(
        re.findall(
            r'\b(?:text|length|area|slope|money|share|count|day|choice|yes|some|thing|things)\(\s*"(\w+)"', source
        )
    )
    own |= set(re.findall(r'form\.get\("(\w+)"', source)) | set(re.findall(r'name="(\w+)"', source))
    outline = {f"outline.{part}" for part in ("shape", "width", "depth", "radius", "left", "front", "turn", "points")}
    return tuple(sorted((own | outline) - {"token", "change_id", "follows"}))


def stored(office: Office, job_id: UUID) -> tuple[Any, ...]:
    with office.database.read() as connection:
        tables = inspect(connection).get_table_names()
        sizes = {name: connection.exec_driver_sql(f'SELECT count(*) FROM "{name}"').scalar() for name in tables}
    opened = open_job(office, job_id)
    return opened.counter, opened.job, sizes


ROUNDS = ("emoji", "raised", "markup", "strange id", "turned 0", "turned 1", "turned 2")


def typed_in(what: str, at: int) -> bytes:
    """What goes into the field of a number: the same everywhere, or each kind of nonsense in turn."""
    kinds = list(NONSENSE)
    kind = kinds[(at + 7 * int(what.split()[1])) % len(kinds)] if what.startswith("turned") else what
    return NONSENSE[kind].encode("utf-8", "surrogatepass")


@pytest.mark.parametrize("what", ROUNDS)
def test_nonsense_on_every_form_is_refused_in_words_and_changes_nothing(
    here: Browser, stocked: Office, ready: UUID, what: str
):
    """Each changing route with nonsense in every field it might have."""
    names = fields_of(stocked)
    assert len(names) > 80
    words = known_words(stocked, ready)
    body = b"&".join(name.encode() + b"=" + _quoted(typed_in(what, at)) for at, name in enumerate(names))
    before = stored(stocked, ready)
    for path in paths(stocked, changing=True):
        answer = here.post(
            filled(path, words),
            content=body,
            htmx=True,
            headers={"content-type": "application/x-www-form-urlencoded"},
        )
        assert answer.status_code < 500, (path, answer.status_code)
        assert NONSENSE["markup"] not in answer.text, path
        after = stored(stocked, ready)
        assert after == before or answer.status_code < 400, path
        before = after
        if "/face" in path:
            here.client.cookies.delete("outlay_face")


@pytest.mark.usefixtures("signed")
def test_a_sheet_there_is_not_is_refused_before_anything_is_saved(here: Browser, stocked: Office, ready: UUID):
    job = open_job(stocked, ready).job
    before = stored(stocked, ready)
    for path, form in (
        ("undo", {"sheet": "nowhere"}),
        ("nowhere/need/new", {"words": "Shade"}),
        (f"nowhere/zone/{job.zones[0].id}", {"title": "Court", "version": "1"}),
        (f"nowhere/zone/{job.zones[0].id}/remove", {}),
        ("nowhere/work/new", {"place": "job", "assembly": "cleanup"}),
    ):
        answer = here.post(f"/jobs/{ready}/{path}", form)
        assert answer.status_code == 404, path
        assert "Nothing was changed" in answer.text
        assert stored(stocked, ready) == before, path


def _quoted(raw: bytes) -> bytes:
    from urllib.parse import quote_from_bytes

    return quote_from_bytes(raw).encode()
