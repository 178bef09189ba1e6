"""Cut sheets that go with an approval: put there, printed behind our papers, taken out again."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from uuid import uuid4

import pytest
from pypdf import PdfReader, PdfWriter

from app.domain.job import Approval
from app.services.jobs import made, open_job, save
from app.services.sheets import sheet
from tests.offering import order
from tests.web.test_site import picture
from tests.web.yard import Yard, text_of


def one_page() -> bytes:
    writer = PdfWriter()
    writer.add_blank_page(612, 792)
    writer.write(out := BytesIO())
    return out.getvalue()


BARE = one_page()


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    with opened.browser.client:
        yield opened
    opened.close()


@pytest.fixture
def asked(yard: Yard) -> Approval:
    one = Approval(id=uuid4(), title="The board's yes", kind="association")
    save(yard.office, yard.id, (made("approval", one),), order())
    return one


def put(yard: Yard, one: Approval, content: bytes = BARE, **fields):
    return yard.post(f"phases/approval/{one.id}/cut-sheet", fields, files={"file": ("sheet", content)})


def test_sheet_is_kept_shown_and_taken_out(yard: Yard, asked: Approval) -> None:
    assert put(yard, asked, sheet_title="Gas fire").status_code == 200
    (held,) = yard.job.cut_sheets
    assert (held.title, held.approval_id) == ("Gas fire", asked.id)
    assert "Gas fire" in text_of(yard.get(f"phases?focus=approval:{asked.id}").text)
    assert yard.get(f"phases/cut-sheet/{held.id}/paper").content == BARE
    assert yard.post(f"phases/cut-sheet/{held.id}/remove").status_code == 200
    assert yard.job.cut_sheets == ()


@pytest.mark.parametrize(
    ("content", "fields", "said"),
    [
        (b"", {"sheet_title": "Fire"}, "Choose the sheet as a PDF or a picture."),
        (b"hello", {"sheet_title": "Fire"}, "a kind we do not know"),
        (BARE, {}, "Type what it is of, or choose the finish."),
        (BARE, {"sheet_material": "moon-rock"}, "Choose one of the list."),
    ],
)
def test_what_cannot_go_with_it_is_refused_in_a_sentence(yard: Yard, asked: Approval, content, fields, said) -> None:
    answer = put(yard, asked, content, **fields)
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert yard.job.cut_sheets == ()


def test_sheet_goes_with_its_approval(yard: Yard, asked: Approval) -> None:
    put(yard, asked, sheet_title="Gas fire")
    assert yard.post(f"phases/approval/{asked.id}/remove").status_code == 200
    assert (yard.job.approvals, yard.job.cut_sheets) == ((), ())


@pytest.mark.printed
def test_packet_prints_pictures_on_pages_of_ours_and_pdfs_behind_them(yard: Yard, asked: Approval) -> None:
    path = f"phases/approval/{asked.id}.pdf"
    bare = len(PdfReader(BytesIO(yard.get(path).content)).pages)
    put(yard, asked, sheet_title="Gas fire")
    put(yard, asked, picture(), sheet_title="Label of the burner")
    made_out = PdfReader(BytesIO(yard.get(path).content))
    words = "".join(page.extract_text() for page in made_out.pages)
    assert len(made_out.pages) == bare + 2
    assert words.count("Label of the burner") == 2, "in the list, and above its picture"


def test_sheets_are_no_reason_to_price_anew(yard: Yard, asked: Approval) -> None:
    put(yard, asked, sheet_title="Gas fire")
    before = sheet(yard.office, yard.id).estimate
    put(yard, asked, sheet_title="Burner")
    assert len(open_job(yard.office, yard.id).job.cut_sheets) == 2
    assert sheet(yard.office, yard.id).estimate is before
