"""The layout sheet in the browser and on paper: every stake in numbers, nothing of ours in a byte."""

from io import BytesIO

import pypdf
import pytest

from app.documents.pdf import pdf_available
from app.services.build import layout_pdf
from app.services.sheets import sheet
from tests.services.yard_of_ours import MARK, with_library, yard

needs_pango = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")


@pytest.fixture
def job(office):
    return yard(with_library(office))


def test_layout_sheet_tells_stakes_and_proofs(web, job):
    answer = web.get(f"/jobs/{job}/build/layout")
    assert answer.status_code == 200
    assert "Draft, not signed" in answer.text
    assert "corner: " in answer.text
    assert "Square when these measure so" in answer.text
    assert "Before anything is dug" in answer.text
    assert "none in reach" in answer.text  # nothing stands yet that a tape could start from


def test_layout_sheet_carries_nothing_of_ours(web, office, job):
    page = web.get(f"/jobs/{job}/build/layout").text
    assert MARK not in page
    assert "$" not in page
    assert MARK not in layout_pdf(office, sheet(office, job)).html


def test_layout_sheet_of_an_empty_job_says_so(web, job_id):
    answer = web.get(f"/jobs/{job_id}/build/layout")
    assert answer.status_code == 200
    assert "Nothing to stake yet" in answer.text


@pytest.mark.printed
@needs_pango
def test_layout_sheet_is_printed(web, job):
    answer = web.get(f"/jobs/{job}/build/layout.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(answer.content)).pages)
    assert "Layout sheet" in text
    assert "$" not in text


def test_build_leads_to_the_layout_sheet(web, job):
    assert f"/jobs/{job}/build/layout" in web.get(f"/jobs/{job}/build").text
