"""The build sheet in the browser: orders, crew sheets, paper, and nothing private in a byte that leaves."""

import re
from io import BytesIO
from uuid import uuid4

import pikepdf
import pypdf
import pytest
from markupsafe import escape

from app.documents.pdf import pdf_available
from app.domain.checks import may_settle
from app.domain.job import PlaceKind, Run, Work
from app.services import build
from app.services.checks import Going, settle
from app.services.jobs import changed, made, open_job, save
from app.services.ready_to_build import ready_to_build
from app.services.sheets import sheet
from tests.offering import order
from tests.services.yard_of_ours import MARK, head_of, job_of, priced, told, with_library, yard
from tests.signed_cheaply import signed
from tests.web.conftest import Browser
from tests.web.yard import text_of

needs_pango = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
PRIVATE = (MARK, "7771.2345", "7,771", "777123", "777,123", "1,000,000 % profit")


@pytest.fixture
def job(office):
    priced(with_library(office), "base-stone-34", "bedding-sand")
    return yard(office)


def test_page_lists_orders_by_supplier_with_their_days(web, job):
    answer = web.get(f"/jobs/{job}/build")
    assert answer.status_code == 200
    assert "Draft, not signed" in answer.text
    assert "Wren Hollow Stone" in answer.text
    assert "Phase 1 Terrace, starts May 10, 2027" in answer.text
    assert "No supplier yet" in answer.text


def test_page_of_an_empty_job_says_what_to_do_first(web, job_id):
    answer = web.get(f"/jobs/{job_id}/build")
    assert answer.status_code == 200
    assert "Nothing to order yet" in answer.text
    assert "No crew sheet yet" in answer.text


def test_crew_sheets_are_listed_and_empty_zones_say_so(web, job):
    text = web.get(f"/jobs/{job}/build").text
    assert "General works" in text
    assert "nothing is placed here yet" in text


def test_order_table_and_text_are_handed_out(web, job):
    table = web.get(f"/jobs/{job}/build/order.csv")
    assert table.headers["content-type"].startswith("text/csv")
    assert "Crushed stone, 3/4 in minus" in table.text
    text = web.get(f"/jobs/{job}/build/order.txt")
    assert text.headers["content-type"].startswith("text/plain")
    assert "Materials: Wren Hollow Stone, 555 0117" in text.text


@pytest.mark.parametrize("path", ["order.csv", "order.txt"])
def test_order_files_carry_nothing_private(web, job, path):
    said = web.get(f"/jobs/{job}/build/{path}").text
    assert not [one for one in PRIVATE if one in said]


@pytest.mark.parametrize("key", ["all", "general", "zone"])
def test_crew_sheet_carries_no_money_supplier_or_note_in_any_byte(web, office, job, key):
    which = str(job_of(office, job).zones[0].id) if key == "zone" else key
    answer = web.get(f"/jobs/{job}/build/crew/{which}")
    assert answer.status_code == 200
    assert not [one for one in (*PRIVATE, "Wren Hollow", "$", "margin", "wage") if one in answer.text]
    assert 'class="bar"' not in answer.text


def test_crew_sheet_reads_depths_amounts_and_cautions(web, office, job):
    text = web.get(f"/jobs/{job}/build/crew/{job_of(office, job).zones[0].id}").text
    assert "9 3/8&#34;" in text
    assert "licensed gas fitter" in text
    assert "Call 811" in text
    assert "NOT KNOWN: find out before digging" in text
    assert re.search(r"<svg[^>]*role=\"img\"", text)
    assert "style=" not in text


@pytest.mark.parametrize(
    "path",
    [
        "crew/nobody",
        "crew/nobody.pdf",
        "crew/00000000-0000-0000-0000-000000000000",
        "order.pdf?only=9-materials-nobody",
        "order.txt?only=%00%ff",
    ],
)
def test_what_is_not_there_answers_in_a_sentence(web, job, path):
    answer = web.get(f"/jobs/{job}/build/{path}")
    assert answer.status_code == 404
    assert "There is no such" in answer.text


def test_build_of_a_job_that_is_not_there_is_not_found(web):
    assert web.get("/jobs/00000000-0000-0000-0000-000000000001/build").status_code == 404


@pytest.mark.printed
@needs_pango
def test_printed_crew_sheets_read_in_order_and_hold_nothing_private(web, office, job):
    answer = web.get(f"/jobs/{job}/build/crew/all.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(answer.content)).pages)
    assert text.index("General works") < text.index("Dining terrace") < text.index("Checked, by name")
    assert "$" not in text
    assert not [one for one in (*PRIVATE, "Wren Hollow") if one in text or one.encode() in _unpacked(answer.content)]


@pytest.mark.printed
@needs_pango
def test_printed_order_list_is_marked_a_draft_and_holds_no_money(web, office, job):
    view = sheet(office, job)
    key = next(build.list_key(one) for one in build.build_sheet(office, view).orders if one.supplier)
    answer = web.get(f"/jobs/{job}/build/order.pdf", params={"only": key})
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(answer.content)).pages)
    assert "Draft, not signed" in text
    assert "Wren Hollow Stone" in text
    assert head_of(office, job).title in text
    assert not [
        one for one in (*PRIVATE, "$") if one in text or (len(one) > 1 and one.encode() in _unpacked(answer.content))
    ]


def _unpacked(content: bytes) -> bytes:
    """All bytes of a PDF with every stream unpacked."""
    with pikepdf.open(BytesIO(content)) as held:
        out = BytesIO()
        held.save(out, stream_decode_level=pikepdf.StreamDecodeLevel.all, compress_streams=False)
        return out.getvalue()


def test_point_settled_on_checks_is_not_said_before_building(web, office, job):
    lights = Run(id=uuid4(), title="Strung lights", length=30)
    hung = Work(id=uuid4(), place=PlaceKind.RUN, place_id=lights.id, assembly="strung-lights")
    save(office, job, (made("run", lights), made("work", hung)), told())
    point = next(one for one in build.build_sheet(office, sheet(office, job)).stops if may_settle(one))
    assert str(escape(point.what)) in web.get(f"/jobs/{job}/build").text
    settle(office, job, point.key, Going(by="Maren Oduya", reason="Seen on site."), told())
    assert str(escape(point.what)) not in web.get(f"/jobs/{job}/build").text


def test_page_says_what_stops_the_crew_and_takes_name_and_reason(web, office, job):
    signed(office, job)
    page = web.get(f"/jobs/{job}/build").text
    assert "points stop the crew" in page
    assert f'href="/jobs/{job}/site"' in page
    assert "points stop the crew" in web.get(f"/jobs/{job}/days").text
    ready = ready_to_build(office, sheet(office, job))
    lines = next(one.point.finding for one in ready.stops if one.point.finding.rule == "lines-not-asked")
    sent = {"finding": lines.key, "by": "Maren Oduya", "reason": ""}
    answer = web.post(f"/jobs/{job}/build/go-on", sent)
    assert answer.status_code == 422
    assert "reason" in answer.text.lower()
    assert 'value="Maren Oduya"' in answer.text
    sent["reason"] = "All of it is filled ground of last year."
    assert web.post(f"/jobs/{job}/build/go-on", sent).status_code in (200, 303)
    after = web.get(f"/jobs/{job}/build").text
    assert "Gone on with all the same" in after
    assert sent["reason"] in after


def test_the_foot_of_every_sheet_says_how_the_job_stands(stocked, sold):
    web = Browser(stocked)

    def foot():
        page = web.get(f"/jobs/{sold}/plan").text
        return text_of(page[page.index('class="title-block"') :].split("</div>")[0])

    assert foot().endswith("signed")
    assert "Order and set the first day" in web.get("/").text
    for stage, said in (("building", "signed, being built"), ("done", "closed"), ("design", "draft")):
        opened = open_job(stocked, sold)
        save(stocked, sold, (changed("job", sold, opened.version("job", sold), {"stage": stage}),), order())
        assert foot().endswith(said)
