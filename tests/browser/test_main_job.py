"""The whole job on a touch screen, from an empty folder to the signed proposal, everything typed by hand.

Also: what a slip of the finger costs (nothing).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO

import pypdf
import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import touch_context
from tests.browser.hand import Hand
from tests.served import Server

pytestmark = [pytest.mark.browser, pytest.mark.slow]
MONEY = re.compile(r"\$\s?\d")


@dataclass(frozen=True)
class TypedZone:
    """A zone as it is read off the tape."""

    title: str
    kind: str
    built: str
    shape: str
    sizes: dict[str, str]
    side: str = ""
    area: str = ""  # what the page must make of it


ZONES = (
    # 12.541667 × 18.5 = 232.02 sq ft
    TypedZone("Terrace", "Dining", "Unit pavers, small, on compacted base", "Rectangle", {"Width": "12' 6 1/2\"", "Depth": "18-6"}, area="232 sq ft"),
    # 3.81 m = 12.5 ft: π × 156.25 = 490.87 sq ft
    TypedZone("Fire circle", "Fire", "Loose-stone surface", "Circle", {"Radius": "3.81 m"}, "right", "491 sq ft"),
    # 20 × 12.5 − 8 × 6 = 202 sq ft
    TypedZone("Long bed", "Planting", "Mulch over a bed", "L", {"Width": "20", "Depth": "12-6", "Missing corner, width": "8", "Missing corner, depth": "6'"}, "below", "202 sq ft"),
    TypedZone("Side path", "Path", "Compacted stone fines", "Rectangle", {"Width": "4", "Depth": "30'"}, "left", "120 sq ft"),
    # 30 × 20.25 = 607.5 sq ft
    TypedZone("Small lawn", "Lawn", "Lawn of sod", "Rectangle", {"Width": "30 ft", "Depth": "20 ft 3 in"}, "above", "608 sq ft"),
)  # fmt: skip


@pytest.fixture(params=["laptop", "tablet"])
def hand(request: pytest.FixtureRequest, chromium: Browser, empty_server: Server) -> Iterator[Hand]:
    """A hand at a touch screen of one size, at an empty server; what the console complains of fails the test."""
    context = touch_context(chromium, request.param)
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda one: said.append(one.text) if one.type == "error" else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    yield Hand(page, empty_server.address)
    context.close()
    assert [one for one in said if "422" not in one] == []


def test_whole_job_from_an_empty_folder_to_two_signatures(hand: Hand) -> None:
    first_run(hand)
    new_caller(hand)
    early_range(hand)
    the_site(hand)
    for zone in ZONES:
        add_zone(hand, zone)
    finish_and_undo(hand)
    refused_length(hand)
    two_phases(hand)
    the_firms_papers(hand)
    every_price(hand)
    settle_what_is_left(hand)
    revision = offer(hand)
    client_reads(hand)
    for name in ("Linnea Whitlock", "Joss Whitlock"):
        sign(hand, name)
    papers_afterwards(hand, revision)


def first_run(hand: Hand) -> None:
    """An empty office asks whose firm it is."""
    hand.open("/")
    expect(hand.page.get_by_role("heading", name="Whose firm is this?")).to_be_visible()
    hand.type("Name of the firm", "Brackenfold Yards")
    hand.type("Owner", "Maren Oduya")
    hand.type("Street", "4 Millrace Lane")
    hand.type("Town", "Alder Ferry")
    hand.go("Begin")


def new_caller(hand: Hand) -> None:
    hand.type("Name", "Linnea Whitlock")
    hand.type("Street", "27 Quarry Bend")
    hand.type("Town", "Alder Ferry")
    hand.go("Begin this job")
    with hand.page.expect_response(lambda answer: answer.request.method == "POST"):
        hand.type("Second name", "Joss Whitlock")
        hand.page.keyboard.press("Tab")
    hand.still()


def early_range(hand: Hand) -> None:
    """Four taps, and what it costs at least: no zone, no plan, and no price in the book yet."""
    page = hand.page
    for kind, size in (("Dining", "M"), ("Fire", "S"), ("Planting", "L"), ("Lawn", "M")):
        row = page.get_by_role("group", name=kind, exact=True)
        with page.expect_response(lambda answer: answer.request.method == "POST"):
            row.locator("label.chip", has_text=re.compile(f"^{size}$")).tap()
        hand.still()
    expect(page.locator(".wish.together .band")).to_have_text(re.compile(r"more than \$\d+k"))
    expect(page.get_by_text(re.compile(r"\d+ prices are missing, so this says too little")).first).to_be_visible()


def the_site(hand: Hand) -> None:
    """Feet with a dash, meters: shown back in feet and inches."""
    hand.sheet("Site")
    hand.chip("Easy")
    hand.type("Narrowest way in", "8-6")
    hand.type("From truck to work", "3.81 m")
    hand.save("Save the way in")
    expect(hand.page.get_by_label("Narrowest way in")).to_have_value("8'-6\"")
    expect(hand.page.get_by_label("From truck to work")).to_have_value("12'-6\"")
    hand.type("Seen on", "2026-11-02")
    hand.save("Save house and lot")


def add_zone(hand: Hand, zone: TypedZone) -> None:
    page = hand.page
    hand.sheet("Plan")
    if page.get_by_role("link", name="Add a zone").count():
        hand.go("Add a zone", "link")
    before, margin = hand.bar(), page.locator("#margin-part")
    hand.type("What the zone is called", zone.title, margin)
    hand.pick("What it is for", zone.kind, margin)
    hand.pick("Built as", zone.built, margin)
    hand.chip(zone.shape, margin)
    for label, text in zone.sizes.items():
        hand.type(label, text, margin)
    if zone.side:
        hand.pick("Lies against", "A Terrace", margin)
        hand.pick("On its side", zone.side, margin)
    hand.chip("By tape", margin)
    hand.save("Add the zone", margin)
    expect(margin.locator("h2").first).to_contain_text(zone.title)
    expect(margin.locator("dl.rows dd").first).to_have_text(zone.area)
    assert hand.bar() != before, "the price on top moves with every zone"


def open_zone(hand: Hand, title: str) -> None:
    hand.sheet("Plan")
    hand.page.locator("#margin-part, #page-part").get_by_role("link", name=title).first.tap()
    expect(hand.page.locator("#margin-part h2").first).to_contain_text(title)


def finish_and_undo(hand: Hand) -> None:
    """A finish chosen for a zone moves what is written; undo puts it back."""
    page = hand.page
    open_zone(hand, "Terrace")
    field = page.locator("#margin-part form.role select").first
    before = field.input_value()
    others = [
        one for one in field.locator("option").evaluate_all("all => all.map(one => one.value)") if one and one != before
    ]
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        field.select_option(others[0])
    hand.still()
    expect(page.locator("#margin-part form.role select").first).to_have_value(others[0])
    with page.expect_response(lambda answer: "/undo" in answer.url):
        page.locator("#undo button").tap()
    hand.still()
    open_zone(hand, "Terrace")
    expect(page.locator("#margin-part form.role select").first).to_have_value(before)


def refused_length(hand: Hand) -> None:
    """What cannot be read stays as typed, with a sentence beside it, and nothing is changed."""
    page = hand.page
    open_zone(hand, "Side path")
    note = hand.unfold("Edit outline", page.locator("#margin-part"))
    hand.type("Width", "4 q", note)
    with page.expect_response(lambda answer: answer.request.method == "POST") as got:
        hand.tap("Save outline, level, fall", within=note)
    assert got.value.status == 422
    hand.still()
    again = page.locator("#margin-part input[aria-invalid=true]")
    expect(again).to_have_value("4 q")
    expect(page.locator("#margin-part .wrong").first).to_contain_text("4 q")
    hand.tap("Done")  # the keys for a length, which came with the focus
    open_zone(hand, "Side path")
    expect(page.locator("#margin-part dl.rows dd").first).to_have_text("120 sq ft")


def two_phases(hand: Hand) -> None:
    page = hand.page
    hand.sheet("Phases")
    hand.go("Add the first phase", "link")
    hand.type("What the phase is called", "This spring")
    hand.save("Add the phase")
    hand.go("Add a phase", "link")
    hand.type("What the phase is called", "Next year")
    hand.save("Add the phase")
    with page.expect_response(lambda answer: answer.request.method == "POST") as got:
        page.get_by_label(re.compile("^Phase of .*Small lawn")).first.select_option(label="2. Next year")
    assert got.value.ok
    hand.still()
    second = page.locator("section.phase", has=page.get_by_role("heading", name="2. Next year"))
    expect(second).to_contain_text("Small lawn")
    expect(second.locator("header")).to_contain_text(MONEY)


def the_firms_papers(hand: Hand) -> None:
    """Terms and notices are the firm's own, reviewed by somebody who may."""
    page, job = hand.page, hand.job
    hand.open("/firm")
    for part, title, text in (
        ("Keep these terms", "Terms", "Changes are agreed in writing before they are built."),
        ("Keep this notice", "Notice of cancellation", "You may cancel within three business days."),
    ):
        if part == "Keep this notice":
            hand.unfold("Add a notice")
        form = page.locator("form", has=page.get_by_role("button", name=part))
        hand.type("Title", title, form)
        hand.type("Reviewed by", "R. Alder, attorney", form)
        hand.type("Reviewed on", "2026-11-02", form)
        hand.type("Text", text, form)
        with page.expect_navigation():
            hand.tap(part, within=form)
    hand.open(job + "/checks")


def every_price(hand: Hand) -> None:
    """What has no price stops the signing, and is typed on the spot; the last one is set aside as an allowance."""
    page = hand.page
    hand.sheet("Checks")
    waiting = page.locator("li.point", has=page.get_by_text("Type its price"))
    count = waiting.count()
    assert count > 5
    hand.unfold("Prices not known")  # once: it stays open while it is worked down
    for left in range(count, 0, -1):
        last = left == 1
        one = hand.unfold("Set money aside" if last else "Type its price", waiting.first)
        one.locator("input[name=cents]" if last else "input[name=price]").fill("450" if last else "4.25")
        hand.save("Set it aside as an allowance" if last else "Put it in the price book", one)
        expect(waiting).to_have_count(left - 1)


def settle_what_is_left(hand: Hand) -> None:
    """With name and reason; it then stands among what was settled, and nothing stops the signing."""
    page = hand.page
    for words, reason in (
        ("No license number", "This state asks for none for such work."),
        ("easily forgotten", "A small terrace; we looked at each of them."),
        ("taxed at nothing", "The bookkeeper asked: none is due on this work."),
    ):
        point = page.locator("li.point", has=page.get_by_text(words)).first
        form = hand.unfold("Go on all the same", point)
        hand.type("Your name", "Maren Oduya", form)
        hand.type("Why it is all right", reason, form)
        hand.save("Settle it", form)
        expect(page.get_by_text(reason).first).to_be_attached()
    expect(page.locator("#main")).to_contain_text("Nothing stops the signing")


def offer(hand: Hand) -> str:
    """Read the draft, offer it. Gives the address of the offered pages."""
    page = hand.page
    hand.sheet("Proposal")
    expect(page.locator(".bigprice").first).to_have_text(re.compile(r"^\s*\$\d+,\d{3}\s*$"))
    hand.go("Read the draft", "link")
    expect(page.locator("body")).to_contain_text("Long bed")
    page.go_back()
    hand.save("Offer this proposal")
    href = page.get_by_role("link", name="Open the offered pages").first.get_attribute("href")
    assert href
    assert hand.bytes_of(href).startswith(b"%PDF")
    return href.rsplit("/", 1)[0]


def client_reads(hand: Hand) -> None:
    """The client's face: no money in any byte of it until its cover is lifted."""
    page, job = hand.page, hand.job.rsplit("/", 1)[1]
    hand.go("Hand over the tablet")
    for key in ("Plan", "Places", "Palette", "Phases", "Proposal"):
        with page.expect_navigation():
            page.get_by_role("navigation", name="Pages").get_by_role("link", name=key).tap()
        assert not MONEY.search(page.content()), key
    hand.open(f"/jobs/{job}/checks")
    assert "/show/" in page.url, "on the client's face none of our pages opens"
    with page.expect_navigation():
        page.get_by_role("navigation", name="Pages").get_by_role("link", name="Proposal").tap()
    hand.go("Lift the cover of the price", "link")
    expect(page.locator(".bigprice")).to_have_text(re.compile(r"^\$\d+,\d{3}$"))
    hand.go("Sign", "link")


def sign(hand: Hand, name: str) -> None:
    page = hand.page
    hand.consent(name)
    hand.chip(name)
    hand.chip("At your home")
    hand.draw()
    hand.go("Sign")
    expect(page.get_by_text("Tick that the pages were read")).to_be_in_viewport()
    page.locator("label.tick", has_text="I have read these pages").tap()  # what was drawn stands there still
    hand.go("Sign")
    expect(page.get_by_text(f"Signed by {name}").first).to_be_visible()


def papers_afterwards(hand: Hand, revision: str) -> None:
    """The signed copy begins with the offered bytes; the order list and a crew sheet open, and the crew reads no price."""
    page = hand.page
    hand.go("Back to ours")
    offered, signed = hand.bytes_of(revision + "/offered.pdf"), hand.bytes_of(revision + "/signed.pdf")
    assert signed.startswith(offered)
    assert len(signed) > len(offered)
    words = "".join(one.extract_text() for one in pypdf.PdfReader(BytesIO(signed)).pages)
    assert "Linnea Whitlock" in words
    assert "Joss Whitlock" in words
    hand.sheet("Build")
    assert hand.bytes_of(hand.job + "/build/order.pdf").startswith(b"%PDF")
    assert "Crushed stone" in hand.bytes_of(hand.job + "/build/order.txt").decode()
    hand.open(hand.job + "/build/crew/all")
    expect(page.locator("body")).to_contain_text("Terrace")
    assert not MONEY.search(page.content())
