"""A person's hand on a touch screen: taps by name, types into fields by label, waits until what was saved is shown."""

import re
from base64 import b64decode
from dataclasses import dataclass
from io import BytesIO
from urllib.parse import urlsplit

from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

WAIT_MS = 60_000  # a busy machine is slow, not broken: only what fails waits so long
BYTES = """async place => {
  const read = new FileReader();
  const done = new Promise(then => { read.onload = then; });
  read.readAsDataURL(await (await fetch(place)).blob());
  await done;
  return read.result.split(',')[1];
}"""  # a file as the page itself gets it, by names that only its browser knows


@dataclass
class Hand:
    """A person at a page of a server."""

    page: Page
    address: str

    def __post_init__(self) -> None:
        self.page.set_default_timeout(WAIT_MS)

    def open(self, path: str) -> None:
        self.page.goto(self.address + path if path.startswith("/") else path)

    def sheet(self, name: str) -> None:
        """Go to a sheet by the index at the foot of the page."""
        self.page.get_by_role("navigation", name="Sheets").get_by_role("link", name=name).tap()
        expect(self.page.get_by_role("link", name=name).and_(self.page.locator("[aria-current=page]"))).to_be_visible()

    @property
    def job(self) -> str:
        """The address of the job that is open, such as /jobs/ID."""
        return "/".join(urlsplit(self.page.url).path.split("/")[:3])

    def tap(self, name: str, role: str = "button", within: Locator | None = None, *, exact: bool = True) -> None:
        (within or self.page).get_by_role(role, name=name, exact=exact).first.tap()

    def save(self, name: str, within: Locator | None = None) -> None:
        """Tap a button that saves, and wait for its answer."""
        with self.page.expect_response(lambda answer: answer.request.method == "POST") as got:
            self.tap(name, within=within)
        assert got.value.status < 400, (name, got.value.status, got.value.text()[:600])
        self.page.wait_for_load_state()
        self.still()

    def go(self, name: str, role: str = "button") -> None:
        """Tap what leads to another page, and wait for it."""
        with self.page.expect_navigation():
            self.tap(name, role)

    def still(self) -> None:
        """Nothing is being swapped in any more."""
        expect(self.page.locator(".htmx-request, .htmx-swapping, .htmx-settling")).to_have_count(0)

    def type(self, label: str, text: str, within: Locator | None = None) -> None:
        """Type into the field of a label, replacing what is in it."""
        field = (within or self.page).get_by_label(label, exact=True).locator("visible=true").first
        field.tap()
        field.fill(text)

    def pick(self, label: str, option: str, within: Locator | None = None) -> None:
        (within or self.page).get_by_label(label, exact=True).locator("visible=true").first.select_option(label=option)

    def chip(self, name: str, within: Locator | None = None) -> None:
        """One of several words to tap: the word is tapped, not the hidden input."""
        (within or self.page).locator("label.chip:visible", has=self.page.get_by_text(name, exact=True)).first.tap()

    def unfold(self, summary: str, within: Locator | None = None) -> Locator:
        found = (within or self.page).locator("details", has=self.page.locator("summary", has_text=summary)).first
        if found.get_attribute("open") is None:
            found.locator("summary").first.tap()
        return found

    def consent(self, name: str) -> None:
        """Open the pages that are offered, read their word, type it."""
        form = self.page.locator("#consent form")
        place = self.page.locator("#consent").get_by_role("link", name="Read all pages").get_attribute("href") or ""
        pages = PdfReader(BytesIO(b64decode(self.page.evaluate(BYTES, place)))).pages
        text = " ".join(" ".join(page.extract_text().split()) for page in pages)
        found = re.search(r"these pages were opened: ([a-z]+)", text)
        assert found, "the pages print a word"
        self.chip(name, form)
        form.get_by_label("The word printed").fill(found[1])
        form.locator("label.tick").tap()
        self.go("I consent")

    def draw(self) -> None:
        """Three strokes in the frame for a signature."""
        pad = self.page.locator("canvas[data-signature]")
        pad.scroll_into_view_if_needed()
        box = pad.bounding_box()
        assert box
        for at in range(3):
            x, y = box["x"] + 40 + 60 * at, box["y"] + box["height"] / 2
            self.page.mouse.move(x, y + 20)
            self.page.mouse.down()
            self.page.mouse.move(x + 15, y - 20, steps=4)
            self.page.mouse.move(x + 40, y + 12, steps=4)
            self.page.mouse.up()

    def bytes_of(self, path: str) -> bytes:
        """A file as this browser gets it."""
        answer = self.page.request.get(self.address + path if path.startswith("/") else path)
        assert answer.ok, (path, answer.status)
        return answer.body()

    def bar(self) -> str:
        return self.page.locator("#bar").inner_text()
