"""Consent to an electronic record shows that the file was opened (15 U.S.C. 7001(c)(1)(C)(ii)); else paper is signed."""

import asyncio
import re
from io import BytesIO
from uuid import UUID

import pytest
from pypdf import PdfReader

from app.db.repositories import record
from app.db.repositories.revisions import CONTRACTOR, Revision
from app.domain.contract.consent import WORDS, consent_terms, word_of
from app.domain.errors import BadValue, Refused
from app.services import closing_offers, consenting, proposals, revisions
from app.services.consenting import Given, still_to_consent
from app.services.office import Office
from app.services.revisions import Act
from app.services.sheets import sheet
from app.services.signing_at_table import sign_as_ticked
from tests.offering import STROKES, offer, order, sign

LINNEA, JOSS = "Linnea Whitlock", "Joss Whitlock"


def given(one: Revision, name: str, **other: object) -> Given:
    return Given(**{"name": name, "typed": word_of(one.id), "agrees": True, "device": "with a tablet", **other})  # type: ignore[arg-type]


def consent(office: Office, job_id: UUID, one: Revision, name: str, **other: object) -> Revision:
    return consenting.consent(office, sheet(office, job_id), one.id, given(one, name, **other), order())


def at_table(office: Office, job_id: UUID, one: Revision, name: str, **more: object) -> Revision:
    act = Act(name=name, **{"strokes": STROKES, "place": "home", **more})  # type: ignore[arg-type]
    return asyncio.run(sign_as_ticked(office, sheet(office, job_id), one.id, act, order()))


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf)).pages)


@pytest.mark.printed
def test_offered_pages_print_the_word(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    assert f"to show that these pages were opened: {word_of(one.id)}" in text_of(
        revisions.hand_out(stocked, one.id, "offered")
    )


def test_nobody_signs_on_a_screen_before_the_word_was_typed(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    with pytest.raises(Refused, match="sign on paper"):
        at_table(stocked, ready, one, LINNEA)
    wrong = next(word for word in WORDS if word != word_of(one.id))
    for typed in ("", wrong, word_of(one.id) + "s"):
        with pytest.raises(BadValue, match="not the word"):
            consent(stocked, ready, one, LINNEA, typed=typed)
    with pytest.raises(BadValue, match="Tick that you consent"):
        consent(stocked, ready, one, LINNEA, agrees=False)
    assert still_to_consent(revisions.read(stocked, one.id)) == (LINNEA, JOSS)
    consent(stocked, ready, one, LINNEA, typed=f" {word_of(one.id).upper()}. ")
    assert still_to_consent(revisions.read(stocked, one.id)) == (JOSS,)
    assert at_table(stocked, ready, one, LINNEA).waits_for == (JOSS,)
    with pytest.raises(Refused, match="sign on paper"):
        at_table(stocked, ready, one, JOSS)


def test_consent_is_printed_with_time_zone_and_device_and_stands_on_record(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    for name in (LINNEA, JOSS):
        consent(stocked, ready, one, name)
        at_table(stocked, ready, one, name, role="co-owner" if name == JOSS else "owner")
    text = text_of(revisions.hand_out(stocked, one.id, "signed"))
    assert text.count("Consented to electronic records (2026-11) on March") == 2
    words = "America/New_York), with a tablet: opened these pages there and typed the word they print."
    assert words.replace(" ", "") in text.replace(" ", "")
    assert "Linnea Whitlock, owner" in text
    assert "Joss Whitlock, co-owner" in text
    with stocked.database.read() as connection:
        kinds = [entry.kind for entry in record.history(connection, str(ready))]
    assert kinds.count("consent") == 2


def test_consent_taken_back_stops_the_screen_and_leaves_paper(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    consent(stocked, ready, one, LINNEA)
    consenting.take_back(stocked, sheet(stocked, ready), one.id, LINNEA, order())
    with pytest.raises(Refused):
        at_table(stocked, ready, one, LINNEA)
    scan = revisions.hand_out(stocked, one.id, "offered")  # any PDF
    assert at_table(stocked, ready, one, LINNEA, strokes=(), scan=scan).waits_for == (JOSS,)


def test_strangers_and_closed_papers_are_refused(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    with pytest.raises(Refused, match="not awaited"):
        consent(stocked, ready, one, "Somebody Else")
    closing_offers.withdraw(stocked, one.id, order())
    with pytest.raises(Refused, match="cannot be signed"):
        consent(stocked, ready, one, LINNEA)


def test_paper_of_an_earlier_release_asks_for_its_pages(
    stocked: Office, ready: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = offer(stocked, ready)
    monkeypatch.setattr(consenting, "_word", lambda *_: "")
    pages = len(PdfReader(BytesIO(revisions.hand_out(stocked, one.id, "offered"))).pages)
    assert consenting.asks_for_pages(stocked, one)
    with pytest.raises(BadValue, match="not the number of pages"):
        consent(stocked, ready, one, LINNEA, typed=str(pages + 1))
    consent(stocked, ready, one, LINNEA, typed=str(pages))


def test_contractor_signs_too_and_the_copy_waits_for_that(stocked: Office, ready: UUID) -> None:
    one = asyncio.run(proposals.offer(stocked, sheet(stocked, ready), order(), contractor="Maren Oduya"))
    assert one.signers[-1].role == CONTRACTOR
    for name in (LINNEA, JOSS):
        assert sign(stocked, ready, one.id, name, place="home").state == "offered"
    assert consenting.may_sign(revisions.read(stocked, one.id)) == ("Maren Oduya",)
    done = at_table(stocked, ready, one, "Maren Oduya", role="owner", place="office")
    assert done.state == "signed"
    text = text_of(revisions.hand_out(stocked, one.id, "signed"))
    assert "Maren Oduya, contractor" in text
    assert text.count("You, the buyer, may cancel") == 2, "beside the signatures of those who buy"
    assert re.search(r"locked with the firm.s own key", text)


def test_terms_say_all_that_the_law_asks_for() -> None:
    """15 U.S.C. 7001(c)(1)(B) and (C): paper, withdrawal, scope, contact, hardware and software, a paper copy."""
    words = " ".join(consent_terms("proposal 2", "Brackenfold Yards", "555-0100"))
    asked = (
        "on paper",
        "take it back",
        "covers proposal 2",
        "address",
        "device that shows PDF",
        "paper copy",
        "free of",
    )
    for wanted in asked:
        assert wanted in words
