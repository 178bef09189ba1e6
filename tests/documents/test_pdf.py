"""HTML to PDF: what a reader gets, the same bytes each time, and nothing fetched for hostile HTML."""

import asyncio
import builtins
import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from io import BytesIO
from pathlib import Path

import pypdf
import pytest

from app.config import Settings
from app.documents import pdf
from app.documents.fonts import embedded, print_stylesheet
from app.documents.pdf import PdfOrder, drawing_image, html_to_pdf, pdf_payload
from app.domain.errors import BadValue
from app.worker import Worker, run_now
from tests.hostile import PAGES, SECRET, Listener, hostile_pdf, met_in, words_of

pytestmark = pytest.mark.own_process

MADE = datetime(2027, 3, 9, 15, 0, tzinfo=UTC)
SWATCH = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><rect width="9" height="9" fill="#9c5a41"/></svg>'


def printed(html: str, **other: object) -> bytes:
    order = {
        "paper": "letter",
        "title": "Proposal 3 for 27 Quarry Bend",
        "language": "en-US",
        "identifier": "revision-3",
        "source_date": MADE,
    } | other
    return html_to_pdf(html, **order)  # type: ignore[arg-type]


def order(html: str, **other: object) -> PdfOrder:
    title = "Proposal 3 for 27 Quarry Bend"
    return PdfOrder(  # type: ignore[arg-type]
        html=html, paper="letter", title=title, language="en-US", identifier="revision-3", source_date=MADE, **other
    )


def structure(node: object, found: list[pypdf.generic.DictionaryObject]) -> list[pypdf.generic.DictionaryObject]:
    """All structure elements below a node."""
    node = node.get_object()  # type: ignore[attr-defined]
    if isinstance(node, list):
        for child in node:
            structure(child, found)
    elif isinstance(node, dict) and "/S" in node:
        found.append(node)  # type: ignore[arg-type]
        if "/K" in node:
            structure(node["/K"], found)
    return found


def test_pdf_has_title_language_tags_bookmarks_and_alternative_text() -> None:
    made = printed(f"<h1>Dining terrace</h1><p>Brick.</p><h2>Palette</h2>{drawing_image(SWATCH, 'Brick, “russet”')}")
    reader = pypdf.PdfReader(BytesIO(made))
    root = reader.trailer["/Root"]
    assert reader.metadata is not None
    assert reader.metadata.title == "Proposal 3 for 27 Quarry Bend"
    assert reader.metadata.creation_date == MADE
    assert root["/Lang"] == "en-US"
    assert root["/MarkInfo"]["/Marked"].value
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value
    outline = reader.outline
    assert [outline[0].title, outline[1][0].title] == ["Dining terrace", "Palette"]
    elements = structure(root["/StructTreeRoot"]["/K"], [])
    assert {"/H1", "/H2", "/P", "/Figure"} <= {e["/S"] for e in elements}
    assert [e["/Alt"] for e in elements if e["/S"] == "/Figure"] == ["Brick, “russet”"]


def test_pdf_claims_no_conformance() -> None:
    made = printed("<p>x</p>")
    assert b"pdfaid" not in made
    assert b"pdfuaid" not in made
    assert "/Metadata" not in pypdf.PdfReader(BytesIO(made)).trailer["/Root"]


@pytest.mark.parametrize(("paper", "size"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_paper_size(paper: str, size: tuple[int, int]) -> None:
    """Letter 8.5 × 11 in at 72 points an inch; A4 210 × 297 mm (ISO 216)."""
    box = pypdf.PdfReader(BytesIO(printed("<style>@page{size:a5}</style>x", paper=paper))).pages[0].mediabox
    assert (round(box.width), round(box.height)) == size


def test_same_order_gives_same_bytes_also_in_another_process_and_zone() -> None:
    html = f"<h1>Fire court</h1>{drawing_image(SWATCH, 'Stone')}"
    eastern = timezone(timedelta(hours=-5))
    made = printed(html)
    assert made == printed(html, source_date=MADE.astimezone(eastern))
    assert run_now("pdf", pdf_payload(order(html))) == made
    assert printed(html, identifier="revision-4") != made


def test_fonts_are_embedded() -> None:
    reader = pypdf.PdfReader(BytesIO(printed("<h1>Terrace</h1><p>Brick <b>red</b> ½ in × 4′</p>")))
    fonts = reader.pages[0]["/Resources"]["/Font"].values()
    descriptors = [f.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object() for f in fonts]
    assert descriptors
    assert all({"/FontFile2", "/FontFile3"} & set(d) for d in descriptors)
    if (Settings().static / "built" / "print.css").is_file():  # else the plain stylesheet names the system's fonts
        names = " ".join(d["/FontName"] for d in descriptors)
        assert "Atkinson-Hyperlegible-Next" in names
        assert "Zilla-Slab" in names


def test_wrong_paper_and_time_without_zone_are_sentences() -> None:
    with pytest.raises(BadValue, match="no paper we print on"):
        printed("x", paper="legal")
    with pytest.raises(BadValue, match="no time zone"):
        printed("x", source_date=datetime(2027, 3, 9))  # noqa: DTZ001


@pytest.fixture
def listener() -> Iterator[Listener]:
    server = Listener()
    yield server
    server.close()


def test_the_listener_counts(listener: Listener) -> None:
    with socket.create_connection(("127.0.0.1", listener.port)) as visit:
        visit.sendall(b"GET / HTTP/1.1\r\n\r\n")
        assert b"302" in visit.recv(100)
    assert listener.visits == 1


@pytest.mark.parametrize("kind", PAGES)
@pytest.mark.parametrize("scheme", ["http", "file"])
def test_hostile_html_fetches_and_embeds_nothing(kind: str, scheme: str, listener: Listener, tmp_path: Path) -> None:
    file = tmp_path / "secret.png"
    file.write_text(SECRET)
    address = listener.address if scheme == "http" else f"file://{file}"
    made = printed(PAGES[kind].format(**words_of(address)))
    assert listener.visits == 0
    assert met_in(made, address) == []


def test_stylesheet_embeds_its_own_files_and_no_others(tmp_path: Path) -> None:
    (tmp_path / "built" / "fonts").mkdir(parents=True)
    (tmp_path / "built" / "fonts" / "a.woff2").write_bytes(b"font")
    (tmp_path / "outside.woff2").write_bytes(b"outside")
    css = "src:url(./fonts/a.woff2), url() format('woff'),url('../outside.woff2'),url(https://example.org/b.woff2),url(data:,x)"
    (tmp_path / "built" / "print.css").write_text(css)
    found = print_stylesheet(tmp_path)
    assert found.startswith("src:url(data:font/woff2;base64,Zm9udA==),url('../outside.woff2'),url(https:")
    assert embedded(css, tmp_path / "built") == found


def test_without_pango_pdfs_are_refused_with_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "PANGO", ("libno-such-library.so.0",))
    pdf.pdf_available.cache_clear()
    assert not pdf.pdf_available()
    monkeypatch.undo()
    pdf.pdf_available.cache_clear()
    assert pdf.pdf_available()

    def cannot_load(name: str, *rest: object) -> object:
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real_import(name, *rest)  # type: ignore[arg-type]

    real_import = builtins.__import__
    monkeypatch.setattr(builtins, "__import__", cannot_load)
    with pytest.raises(pdf.PdfUnavailable, match="print it from the browser"):
        printed("x")


def test_hostile_color_profile_is_refused_in_a_sentence(listener: Listener) -> None:
    css = f"@color-profile --p {{ src: url({listener.address}) }} p {{ color: color(--p 1 0 0) }}"
    with pytest.raises(BadValue, match="from outside itself"):
        printed(f"<style>{css}</style><p>x</p>")
    assert listener.visits == 0


def test_asking_for_a_pdf_does_not_load_the_printing_library_here() -> None:
    code = (
        "from app.documents import pdf; pdf.pdf_available(); import sys;"
        "print([m for m in ('weasyprint', 'pydyf', 'fontTools', 'PIL') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_worker_making_a_long_proposal_stays_below_200_mb() -> None:
    rows = "".join(f"<tr><td>Line {n}</td><td>{n} sq ft</td><td>$1,{n:03}</td></tr>" for n in range(400))
    html = f"<h1>Proposal</h1><table>{rows}</table>" + drawing_image(SWATCH, "x") * 20

    async def go() -> float:
        worker = Worker()
        payload = pdf_payload(order(html))
        assert (await worker.run("pdf", payload)).startswith(b"%PDF-")
        return worker.peak_mb

    assert 40 < asyncio.run(go()) < 200


def test_pages_of_other_pdfs_follow_with_a_bookmark_and_without_what_acts() -> None:
    terms = printed("<h1>Terms</h1><p>Paid <a href='https://example.org'>when</a> seen.</p>", paper="a4")
    notice = printed("<p>Notice</p><p style='page-break-before:always'>Two</p>")
    made = pdf.printed(order("<h1>Proposal</h1>", pages=(("Terms", terms), ("Notice of rights", notice))))
    assert made == pdf.printed(order("<h1>Proposal</h1>", pages=(("Terms", terms), ("Notice of rights", notice))))
    reader = pypdf.PdfReader(BytesIO(made))
    assert len(reader.pages) == 4
    assert [mark.title for mark in reader.outline] == ["Proposal", "Terms", "Notice of rights"]
    assert [reader.get_destination_page_number(mark) for mark in reader.outline] == [0, 1, 2]
    assert "Paid when seen" in reader.pages[1].extract_text()
    assert "/Annots" not in reader.pages[1]
    assert round(reader.pages[1].mediabox.width) == 595
    with pytest.raises(BadValue, match="“Terms” is not a PDF"):
        pdf.printed(order("x", pages=(("Terms", b"words"),)))


def test_printing_leaves_no_folder_of_fonts_behind(tmp_path: Path) -> None:
    code = "from app.documents.pdf import get_ready; get_ready()"
    environment = os.environ | {"TMPDIR": str(tmp_path)}
    done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True)
    assert "Exception ignored" not in done.stderr
    assert not list(tmp_path.iterdir())


def test_hostile_pages_of_terms_bring_nothing_along(listener: Listener, tmp_path: Path) -> None:
    secret = f"file://{tmp_path}/secret.png"
    terms = hostile_pdf(listener.address, secret)
    assert {"what acts", "a stream elsewhere"} <= set(met_in(terms, secret))
    made = pdf.printed(order("<h1>Proposal</h1>", pages=(("Terms", terms),)))
    assert len(pypdf.PdfReader(BytesIO(made)).pages) == 2
    assert met_in(made, listener.address, secret) == []


@pytest.mark.parametrize("lines", [2, 9])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_title_block_of_a_cover_stays_on_it_however_much_the_firm_prints(lines: int, paper: str) -> None:
    firm = "".join(f"<br>line {at}" for at in range(1, lines))
    cover = (
        f'<section class="cover"><div class="drawing">{drawing_image(SWATCH, "the plan")}</div>'
        '<div class="words"><h1>A yard for the evening</h1><p class="lead">For Linnea and Joss Whitlock.</p></div>'
        f'<div class="title-block"><div>Prepared for</div><div>Prepared by{firm}</div></div></section>'
    )
    rest = '<section class="leads"><h2>Palette</h2></section><section class="zone"><h2>Dining terrace</h2></section>'
    pages = pypdf.PdfReader(BytesIO(printed(f'<body class="offer">{cover}{rest}</body>', paper=paper))).pages
    texts = [page.extract_text() for page in pages]
    assert len(texts) == 2
    assert f"line {lines - 1}" in texts[0]
    assert "Palette" in texts[1]
    assert "Dining terrace" in texts[1], "the palette has no page to itself"
