"""The client's face: what it lacks is absent from the answer; the price only when its cover is lifted; signing."""

import asyncio
import io
import re
import zlib
from dataclasses import replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from pypdf import PdfReader

from app.documents.plan_drawing import describe
from app.domain.change import Edit
from app.domain.job import Choice, Need, Phase
from app.services import agreements, changes, closing_offers
from app.services.jobs import NewJob, begin_job, changed, made, open_job, save
from app.services.office import Office
from app.services.sheets import sheet
from app.web import client_pages, rendering
from app.web.access import FACE, face_cookie
from tests.domain.test_proposal import money_in
from tests.offering import consents, offer, order, sign
from tests.web.conftest import Browser

PLANTED = "zq7private"
MONEY = re.compile(r"\$\s?\d")


@pytest.fixture
def face(stocked: Office, ready: UUID) -> Browser:
    """A browser whose job carries a marked value in every private field."""
    opened = open_job(stocked, ready)
    zone = opened.job.zones[0]
    edits = (
        changed(
            "client", opened.job.client.id, opened.version("client", opened.job.client.id), {"private_note": PLANTED}
        ),
        changed("job", ready, opened.version("job", ready), {"private_note": PLANTED, "firm_price_reason": PLANTED}),
        changed("zone", zone.id, opened.version("zone", zone.id), {"private_note": PLANTED, "words": "Seats ten."}),
        made("need", Need(id=uuid4(), words="A table for ten", zone_ids=(zone.id,))),
    )
    save(stocked, ready, edits, order())
    book = []
    for row in list(stocked.basis().prices.values()):
        value = replace(row, supplier=PLANTED + "-supplier", note=PLANTED)
        book.append(
            Edit(kind="price", thing_id=row.material, version=1, before={}, after=changes.fields_of(value, "price"))
        )
    save(stocked, None, tuple(book), order())
    return Browser(stocked)


def pages(job_id: UUID) -> list[str]:
    return [
        f"/show/{job_id}",
        *[f"/show/{job_id}/{key}" for key in ("plan", "places", "palette", "phases", "proposal")],
    ]


def inside(pdf: bytes) -> bytes:
    """Every byte of a PDF with its streams unpacked."""
    out = [pdf]
    for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            out.append(zlib.decompress(found[1]))
        except zlib.error:
            continue
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    return b"\n".join(out) + text.encode()


def test_no_private_value_is_in_any_byte_of_the_clients_pages_and_files(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    one = offer(stocked, ready)
    worked = sheet(stocked, ready).estimate
    cost = f"{worked.cost_cents / 100:,.2f}"
    answers = [face.get(page + lift).content for page in pages(ready) for lift in ("", "?lift=true")]
    answers += [
        face.get(f"/show/{ready}/sign/{one.id}").content,
        inside(face.get(f"/show/{ready}/file/{one.id}/offered.pdf").content),
    ]
    for answer in answers:
        for private in (PLANTED, cost, "margin", "overhead", "wage", "contingency", "warranty reserve"):
            assert private.encode() not in answer.lower(), private


def test_price_is_absent_until_its_cover_is_lifted(face: Browser, ready: UUID) -> None:
    for page in pages(ready):
        assert not MONEY.search(face.get(page).text), page
    lifted = face.get(f"/show/{ready}/proposal?lift=true").text
    assert MONEY.search(lifted)


def test_device_turned_to_the_client_answers_nothing_of_ours(face: Browser, ready: UUID) -> None:
    assert face.post(f"/jobs/{ready}/face").status_code == 303
    for ours in ("/", f"/jobs/{ready}/plan", f"/jobs/{ready}/estimate", f"/jobs/{ready}/proposal", "/prices", "/firm"):
        answer = face.get(ours, follow_redirects=False)
        assert answer.status_code in {303, 404}, ours
        assert PLANTED not in answer.text
    assert face.get(f"/show/{uuid4()}", follow_redirects=False).status_code == 303
    assert face.post("/face/ours").status_code == 303
    assert face.get("/", follow_redirects=False).status_code == 200


@pytest.mark.parametrize("forged", ["{job}", "{job}.", "{job}.0000", "{other}.{mark}"])
def test_face_of_a_job_nobody_turned_to_is_not_taken(stocked: Office, ready: UUID, forged: str) -> None:
    web = Browser(stocked)
    mark = face_cookie(stocked, ready).partition(".")[2]
    web.client.cookies.set(FACE, forged.format(job=ready, other=uuid4(), mark=mark))
    assert web.get("/", follow_redirects=False).status_code == 200


@pytest.mark.parametrize(("lift", "told"), [("", False), ("?lift=true", True)])
def test_page_is_given_no_money_while_the_price_is_covered(
    face: Browser, ready: UUID, lift: str, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    given: dict[str, Any] = {}

    def watched(request, template, context, **more):
        given.update(context)
        return rendering.page(request, template, context, **more)

    monkeypatch.setattr(client_pages, "page", watched)
    face.get(f"/show/{ready}/proposal{lift}")
    assert bool(money_in(given["offer"])) == told
    assert "draft" not in given


def test_price_is_firm_or_a_band_never_both(face: Browser, stocked: Office, ready: UUID) -> None:
    firm = face.get(f"/show/{ready}/proposal?lift=true").text
    assert " to $" not in firm
    sketched(stocked, ready)
    band = face.get(f"/show/{ready}/proposal?lift=true").text
    assert " to $" in band.replace("\n", " ")
    price = f"${sheet(stocked, ready).estimate.price_cents // 100:,}"
    assert price not in band


def sketched(office: Office, job_id: UUID) -> None:
    opened = open_job(office, job_id)
    one = opened.job.alternatives[0]
    version = opened.version("alternative", one.id)
    save(office, job_id, (changed("alternative", one.id, version, {"measured": "sketch"}),), order())


def test_signing_asks_for_tick_and_strokes_and_keeps_the_name(face: Browser, stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    consents(face, ready, one)
    answer = face.post(f"/show/{ready}/sign/{one.id}", {"name": "Joss Whitlock"})
    assert answer.status_code == 422
    assert "Nothing is signed yet" in answer.text
    assert "Tick that the pages were read" in answer.text
    assert re.search(r'value="Joss Whitlock" checked', answer.text)


def test_what_was_drawn_and_ticked_stands_there_again_beside_the_sentence(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    one = offer(stocked, ready)
    consents(face, ready, one)
    strokes = "[[[1.5,2],[3,4.5]]]"
    told = {"name": "Joss Whitlock", "place": "office"}
    untold = face.post(f"/show/{ready}/sign/{one.id}", {**told, "strokes": strokes}).text
    assert f'data-strokes value="{strokes}"' in untold
    assert 'name="agree" value="1" checked' not in untold
    unsigned = face.post(f"/show/{ready}/sign/{one.id}", {**told, "agree": "1"}).text
    assert 'name="agree" value="1" checked' in unsigned
    assert 'data-strokes value=""' in unsigned


def test_back_to_ours_leads_to_the_proposal_that_was_shown(face: Browser, ready: UUID) -> None:
    assert f'name="job" value="{ready}"' in face.get(f"/show/{ready}").text
    face.post("/face/ours")  # from here on nothing was handed over: the page was opened to look
    assert face.post("/face/ours", {"job": str(ready)}).headers["location"] == f"/jobs/{ready}/proposal"
    assert face.post("/face/ours", {"job": "elsewhere"}).headers["location"] == "/"


def test_broken_strokes_get_a_sentence(face: Browser, stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    consents(face, ready, one)
    for strokes in ("[[", '{"a":1}', "[[[1]]]", "[" * 500, '[[["x","y"]]]'):
        told = {"name": "Joss Whitlock", "agree": "1", "place": "home", "strokes": strokes}
        answer = face.post(f"/show/{ready}/sign/{one.id}", told)
        assert answer.status_code == 422, strokes[:20]
        assert "sign again" in answer.text


def test_signature_drawn_on_the_page_makes_a_signed_copy(face: Browser, stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    consents(face, ready, one)
    for name in ("Joss Whitlock", "Linnea Whitlock"):
        sent = {"name": name, "agree": "1", "place": "home", "strokes": "[[[10,10],[50,40],[80,12]]]"}
        assert face.post(f"/show/{ready}/sign/{one.id}", sent).status_code == 303
    signed = face.get(f"/show/{ready}/file/{one.id}/signed.pdf").content
    offered = face.get(f"/show/{ready}/file/{one.id}/offered.pdf").content
    assert signed.startswith(offered)
    before = len(PdfReader(io.BytesIO(offered)).pages)
    text = PdfReader(io.BytesIO(signed)).pages[before].extract_text()
    assert "Joss Whitlock" in text
    assert "Linnea Whitlock" in text
    assert "Everybody has signed" in face.get(f"/show/{ready}/sign/{one.id}").text


def test_page_asks_for_the_word_first_and_offers_paper(face: Browser, stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    place, consent = f"/show/{ready}/sign/{one.id}", f"/show/{ready}/consent/{one.id}"
    page = face.get(place).text
    assert "Before signing on this screen" in page
    assert "Sign on paper instead" in page
    assert 'name="agree"' not in page, "nobody consented yet"
    answer = face.post(consent, {"name": "Joss Whitlock", "word": "nonsense", "consent": "1"})
    assert answer.status_code == 422
    assert "That is not the word" in answer.text
    assert 'value="nonsense"' in answer.text
    sent = {"name": "Joss Whitlock", "agree": "1", "place": "home", "strokes": "[[[10,10],[50,40],[80,12]]]"}
    assert "or sign on paper" in face.post(place, sent).text
    consents(face, ready, one)
    page = face.get(place).text
    assert "Joss Whitlock opened the pages and consents" in page
    assert 'name="agree"' in page
    assert face.post(consent, {"name": "Joss Whitlock", "back": "1"}).status_code == 303
    assert "Joss Whitlock opened the pages" not in face.get(place).text
    by_hand = {"name": "Joss Whitlock", "by": "paper", "place": "home"}
    assert "Attach a picture" in face.post(place, by_hand).text


def test_offer_that_was_taken_back_or_has_run_out_is_not_signed_nor_shown(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    one = offer(stocked, ready)
    lifted = f"/show/{ready}/proposal?lift=true"
    assert f"/sign/{one.id}" in face.get(lifted).text
    clock = stocked.clock
    stocked.clock = lambda: clock() + timedelta(days=90)
    run_out = face.get(f"/show/{ready}/sign/{one.id}").text
    assert "This proposal has run out." in run_out
    assert 'name="agree"' not in run_out
    stocked.clock = clock
    closing_offers.withdraw(stocked, one.id, order())
    assert one.id not in face.get(lifted).text
    closed = face.get(f"/show/{ready}/sign/{one.id}").text
    assert "This is not open for signing any more." in closed
    assert 'name="agree"' not in closed


def test_signed_design_agreement_leaves_the_price_of_the_proposal_shown(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    opened = open_job(stocked, ready)
    save(stocked, ready, (changed("job", ready, opened.version("job", ready), {"design_fee_cents": 950_00}),), order())
    design = asyncio.run(agreements.offer_design(stocked, sheet(stocked, ready), order()))
    for name in design.signers:
        sign(stocked, ready, design.id, name.name)
    shown = face.get(f"/show/{ready}/proposal?lift=true").text
    assert "This is what was signed" not in shown
    assert f"${sheet(stocked, ready).estimate.price_cents // 100:,}" in shown


def test_phases_tell_no_price_until_lifted_and_none_of_a_draft_once_signed(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    save(stocked, ready, (made("phase", Phase(id=uuid4(), number=1, title="Terrace")),), order())
    price = f"${sheet(stocked, ready).estimate.price_cents // 100:,}"
    covered = face.get(f"/show/{ready}/phases").text
    assert "How the price holds" not in covered
    assert "<td>firm" not in covered
    lifted = face.get(f"/show/{ready}/phases?lift=true").text
    assert "How the price holds" in lifted
    assert price in lifted
    one = offer(stocked, ready)
    for name in one.signers:
        sign(stocked, ready, one.id, name.name)
    assert not MONEY.search(face.get(f"/show/{ready}/phases?lift=true").text)


def test_lifted_proposal_tells_payments_and_the_day_it_holds_to_but_no_payment_of_a_range(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    firm = face.get(f"/show/{ready}/proposal?lift=true").text
    assert "At signing" in firm
    assert "Holds until Apr 8, 2027." in firm  # thirty days from March 9
    sketched(stocked, ready)
    band = face.get(f"/show/{ready}/proposal?lift=true").text
    assert " to $" in band.replace("\n", " ")
    assert "At signing" not in band


def test_shown_by_line_what_is_around_all_of_it_has_its_price(face: Browser, stocked: Office, ready: UUID) -> None:
    assert "Around all of it" not in face.get(f"/show/{ready}/proposal?lift=true").text
    opened = open_job(stocked, ready)
    save(stocked, ready, (changed("job", ready, opened.version("job", ready), {"price_shown": "line"}),), order())
    assert "Around all of it" in face.get(f"/show/{ready}/proposal?lift=true").text


def test_palette_says_what_was_chosen(face: Browser, stocked: Office, ready: UUID) -> None:
    assert "as proposed" in face.get(f"/show/{ready}/palette").text
    finish = next(one.key for one in sheet(stocked, ready).estimate.requirements if one.role == "finish")
    chosen = Choice(id=uuid4(), role="finish", material=finish, chosen_on=date(2027, 3, 2), chosen_by="Linnea Whitlock")
    save(stocked, ready, (made("choice", chosen),), order())
    told = face.get(f"/show/{ready}/palette").text
    assert "chosen" in told
    assert "as proposed" not in told


def test_page_that_is_none_is_the_plan(face: Browser, ready: UUID) -> None:
    answer = face.get(f"/show/{ready}/turn")
    assert answer.status_code == 200
    assert 'class="plan"' in answer.text
    assert "Turn this tablet" not in answer.text


def test_proposal_sheet_offers_and_takes_back(face: Browser, ready: UUID) -> None:
    offered = face.post(f"/jobs/{ready}/proposal/offer", htmx=True)
    assert offered.status_code == 200
    assert "Open the offered pages" in offered.text
    revision = re.search(r"/proposal/revisions/([0-9a-f-]{36})/withdraw", offered.text)
    assert revision
    assert "withdrawn" in face.post(f"/jobs/{ready}/proposal/revisions/{revision[1]}/withdraw", htmx=True).text


def test_file_of_another_job_is_not_handed_out(face: Browser, stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    assert face.get(f"/show/{uuid4()}/file/{one.id}/offered.pdf").status_code == 404


def test_pages_with_the_price_are_reached_only_once_its_cover_is_lifted(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    one = offer(stocked, ready)
    assert f"/file/{one.id}/" not in face.get(f"/show/{ready}/proposal").text
    assert f"/file/{one.id}/offered.pdf" in face.get(f"/show/{ready}/proposal?lift=true").text


def test_material_without_a_price_leaves_no_band_that_is_too_low(face: Browser, stocked: Office, ready: UUID) -> None:
    fabric = next(one.material for one in sheet(stocked, ready).estimate.purchases)
    save(stocked, None, (Edit(kind="price", thing_id=fabric, version=2, before={}, after=None),), order())
    assert sheet(stocked, ready).estimate.unpriced == 1
    assert "1 without a price" in face.get(f"/jobs/{ready}/plan").text
    client = face.get(f"/show/{ready}/proposal?lift=true").text
    assert not MONEY.search(client)
    assert "Not everything is priced yet." in client


def test_job_without_places_has_no_price_and_says_what_comes_first(stocked: Office) -> None:
    job_id = begin_job(stocked, NewJob(name="Priya Lindqvist", town="Alder Ferry"), order())
    for lift in ("", "?lift=true"):
        text = Browser(stocked).get(f"/show/{job_id}/proposal{lift}").text
        assert "There is no price yet" in text
        assert not MONEY.search(text)
        assert "Lift the cover" not in text


def test_range_is_explained_without_what_is_missing_in_the_price_book(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    sketched(stocked, ready)
    text = face.get(f"/show/{ready}/proposal?lift=true").text
    assert "It gets firm once that is done" in text
    assert all(reason not in text for reason in sheet(stocked, ready).estimate.reasons)


@pytest.mark.printed
def test_offered_pages_are_tagged_with_title_bookmarks_and_words_for_plan_and_palette(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    one = offer(stocked, ready)
    reader = PdfReader(io.BytesIO(face.get(f"/show/{ready}/file/{one.id}/offered.pdf").content))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"].value
    assert reader.metadata is not None
    assert reader.metadata.title == f"Proposal {one.number}, {open_job(stocked, ready).job.head.title}"
    titles = [mark.title for mark in _flat(reader.outline)]
    assert {"Price, phases and payments", "Signatures"} <= set(titles)
    alternatives = _alternatives(root["/StructTreeRoot"]["/K"])
    assert describe(open_job(stocked, ready).job) in alternatives
    assert "The palette in the shares in which it lies" in alternatives


@pytest.mark.printed
def test_each_place_begins_a_page_with_a_drawing_of_its_own(face: Browser, stocked: Office, ready: UUID) -> None:
    one, job = offer(stocked, ready), open_job(stocked, ready).job
    reader = PdfReader(io.BytesIO(face.get(f"/show/{ready}/file/{one.id}/offered.pdf").content))
    begun = [page.extract_text().split() for page in reader.pages]
    for zone in job.zones:
        first = [zone.letter, *zone.title.split()]
        assert len([words for words in begun if words[: len(first)] == first]) == 1, zone.title
    alternatives = _alternatives(reader.trailer["/Root"]["/StructTreeRoot"]["/K"])
    assert len([said for said in alternatives if said.endswith("what lies around it, to scale")]) == len(job.zones)


def _flat(outline):
    for mark in outline:
        if isinstance(mark, list):
            yield from _flat(mark)
        else:
            yield mark


def _alternatives(node) -> list[str]:
    """The words for every picture below a node of the structure."""
    node = node.get_object()
    if isinstance(node, list):
        return [said for child in node for said in _alternatives(child)]
    if not isinstance(node, dict) or "/S" not in node:
        return []
    own = [str(node["/Alt"])] if "/Alt" in node else []
    return own + (_alternatives(node["/K"]) if "/K" in node else [])


def test_once_signed_the_client_sees_the_signed_price_and_no_draft(face: Browser, stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    for name in ("Joss Whitlock", "Linnea Whitlock"):
        sign(stocked, ready, one.id, name)
    base = next(line.key for line in sheet(stocked, ready).estimate.lines if line.key.startswith("base-stone"))
    save(stocked, None, (changed("price", base, 2, {"unit_price": "99"}),), order())
    drafted = f"${sheet(stocked, ready).estimate.price_cents // 100:,}"
    signed = f"${(one.price_cents or 0) // 100:,}"
    shown = face.get(f"/show/{ready}/proposal?lift=true").text
    assert signed in shown
    assert drafted != signed
    assert drafted not in shown
    assert drafted not in face.get(f"/show/{ready}/phases?lift=true").text


@pytest.mark.printed
def test_plan_true_to_scale_is_a_page_of_the_proposal_and_names_the_proposal(
    face: Browser, stocked: Office, ready: UUID
) -> None:
    one = offer(stocked, ready)
    reader = PdfReader(io.BytesIO(face.get(f"/show/{ready}/file/{one.id}/offered.pdf").content))
    lying = [page for page in reader.pages if page.mediabox.width > page.mediabox.height]
    assert len(lying) >= 1
    assert (float(lying[0].mediabox.width), float(lying[0].mediabox.height)) == pytest.approx((792, 612))
    words = " ".join(lying[0].extract_text().split())
    assert f"Proposal {one.number}" in words
    assert "$" not in words
