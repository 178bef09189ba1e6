"""The plan on paper from the browser: to scale, refused in sentences, nothing private in a byte that leaves."""

from io import BytesIO

import pikepdf
import pypdf
import pytest

from app.documents.pdf import pdf_available
from app.services.plan_print import plan_pdf
from app.services.sheets import sheet
from tests.services.yard_of_ours import MARK, priced, with_library, yard

needs_pango = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")


@pytest.fixture
def job(office):
    priced(with_library(office), "base-stone-34", "bedding-sand")
    return yard(office)


@pytest.mark.printed
@needs_pango
def test_plan_is_printed_lying_with_its_title_block_and_schedule(web, job):
    answer = web.get(f"/jobs/{job}/plan/print.pdf", params={"paper": "tabloid", "scale": "1/8"})
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    reader = pypdf.PdfReader(BytesIO(answer.content))
    page = reader.pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == (17 * 72, 11 * 72)
    text = page.extract_text()
    assert "Schedule of zones" in text
    assert "1/8" in text
    assert "Draft" in text


@needs_pango
def test_printed_plan_holds_nothing_private_in_any_byte(web, job):
    answer = web.get(f"/jobs/{job}/plan/print.pdf")
    with pikepdf.open(BytesIO(answer.content)) as pdf:
        held = [answer.content, *[one.read_bytes() for one in pdf.objects if isinstance(one, pikepdf.Stream)]]
    text = "".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(answer.content)).pages)
    assert not any(MARK.encode() in part for part in held)
    assert MARK not in text
    assert "$" not in text


def test_order_of_a_plan_holds_nothing_private(office, job):
    assert MARK not in plan_pdf(office, sheet(office, job)).html


@pytest.mark.parametrize(
    ("asked", "said"), [({"paper": "napkin"}, "napkin"), ({"scale": "1:3"}, "1:3"), ({"scale": "'\"<"}, "no scale")]
)
def test_another_paper_or_scale_is_refused_in_a_sentence(web, job, asked, said):
    answer = web.get(f"/jobs/{job}/plan/print.pdf", params=asked)
    assert answer.status_code == 422
    assert said in answer.text


def test_a_plan_with_nothing_drawn_says_what_to_do_first(web, job_id):
    answer = web.get(f"/jobs/{job_id}/plan/print.pdf")
    assert answer.status_code == 422
    assert "Draw or type the first outline" in answer.text
    assert "Print the plan" not in web.get(f"/jobs/{job_id}/plan").text


def test_the_plan_offers_its_papers_and_scales(web, job):
    page = web.get(f"/jobs/{job}/plan").text
    assert "Print the plan to scale" in page
    assert "Tabloid, 11 × 17 in" in page
