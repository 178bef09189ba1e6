"""The federal notice: in duplicate on what was signed away from the firm's place, with its computed last day."""

import re
from datetime import UTC, datetime
from io import BytesIO
from uuid import UUID

import pytest
from pypdf import PdfReader

from app.db.repositories.revisions import Signer
from app.services import revisions
from app.services.notices import NO_ADDRESS, address_of, notice_if_signed, notice_of
from app.services.office import Office
from app.services.paper_signing import paper_sheet
from app.services.sheets import sheet
from tests.offering import consents, offer, sign
from tests.web.conftest import Browser

ZONE = "America/New_York"
# The form of 16 CFR 429.1(b), as printed copies of it have it (compared 2026-11): what must stand there word by word.
FORM = (
    "You may CANCEL this transaction, without any Penalty or Obligation, within THREE BUSINESS DAYS from the above date.",
    "will be returned within TEN BUSINESS DAYS following receipt by the seller of your cancellation notice",
    "does not pick them up within 20 days of the date of your Notice of Cancellation, you may retain or dispose of the",
    "To cancel this transaction, mail or deliver a signed and dated copy of this Cancellation Notice",
    "I HEREBY CANCEL THIS TRANSACTION.",
)


def words_of(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf)).pages]


def signer(moment: datetime, place: str = "home") -> Signer:
    return Signer(name="Linnea Whitlock", signed_at=moment.isoformat(), place=place)


@pytest.mark.parametrize(
    ("signed", "last"),
    [
        (datetime(2026, 5, 22, 20, tzinfo=UTC), "Wednesday, May 27, 2026"),  # Friday before Memorial Day (the 25th)
        (datetime(2026, 11, 24, 20, tzinfo=UTC), "Saturday, November 28, 2026"),  # Thanksgiving is the 26th
        (datetime(2026, 12, 23, 20, tzinfo=UTC), "Monday, December 28, 2026"),  # Christmas, then a Sunday
        (datetime(2026, 12, 31, 20, tzinfo=UTC), "Tuesday, January 5, 2027"),  # New Year's Day, then a Sunday
        (datetime(2026, 7, 2, 20, tzinfo=UTC), "Wednesday, July 8, 2026"),  # the 4th, a Saturday, is kept on Friday
        (datetime(2027, 3, 6, 4, 30, tzinfo=UTC), "Tuesday, March 9, 2027"),  # still Friday the 5th at the site
    ],
)
def test_last_day_across_sundays_and_federal_holidays(office: Office, signed: datetime, last: str) -> None:
    """16 CFR 429.0(f); the holidays are those of 5 U.S.C. 6103."""
    made = notice_of(office, (signer(signed),), ZONE, office.basis())
    assert made is not None
    assert made.last == last
    assert made.paragraphs[-1].endswith(f"NOT LATER THAN MIDNIGHT OF {last}.")


def test_signed_copy_has_the_notice_twice_and_the_statement_beside_each_signature(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    sign(stocked, ready, one.id, "Linnea Whitlock", place="office")
    assert not any("Notice of Cancellation" in page for page in words_of(revisions.hand_out(stocked, one.id, "signed")))
    sign(stocked, ready, one.id, "Joss Whitlock", place="home")
    offered = len(PdfReader(BytesIO(revisions.hand_out(stocked, one.id, "offered"))).pages)
    added = words_of(revisions.hand_out(stocked, one.id, "signed"))[offered:]
    notices = [page for page in added if "I HEREBY CANCEL" in page]
    assert len(notices) == 2
    for page in notices:
        for words in FORM:
            assert words in page
    first, second = (re.sub(r"(Copy|page) \d", "", page) for page in notices)
    assert first == second, "in duplicate but for the numbers"
    assert added[0].count("You, the buyer, may cancel this transaction at any time prior to midnight of the third") == 2
    assert "at the client's home" in added[0]


def test_nothing_is_added_where_all_signed_at_the_office(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    for name in ("Linnea Whitlock", "Joss Whitlock"):
        sign(stocked, ready, one.id, name, place="office")
    assert not any("HEREBY CANCEL" in page for page in words_of(revisions.hand_out(stocked, one.id, "signed")))


def test_sheet_to_sign_by_hand_has_a_line_for_each_and_both_notices(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    html = paper_sheet(stocked, sheet(stocked, ready), one).html
    assert html.count('<section class="hand">') == 2
    assert html.count('<section class="cancellation">') == 2
    assert one.files["offered"] in html
    assert "have a lawyer in your state review the contract" in html
    browser = Browser(stocked)
    with browser.client:
        answer = browser.get(f"/show/{ready}/paper/{one.id}.pdf")
        assert answer.content.startswith(b"%PDF")
        page = browser.get(f"/show/{ready}/sign/{one.id}").text
        assert "Print the sheet to sign by hand" in page
        consents(browser, ready, one)
        page = browser.get(f"/show/{ready}/sign/{one.id}").text
        assert "You, the buyer, may cancel this transaction" in page


def test_firm_without_an_address_is_told_so_in_the_notice(office: Office) -> None:
    firm = office.basis().firm
    made = notice_if_signed(office, datetime(2027, 3, 5, tzinfo=UTC).date(), office.basis())
    assert (address_of(firm) or NO_ADDRESS) in made.paragraphs[-1]
