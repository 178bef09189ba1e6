"""In the yard with one thumb: marks typed by the keys of a phone, a bad tape left out by its button, the rod read."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

import pytest
from playwright.sync_api import Browser, Locator, expect

from app.domain.job import Job
from app.domain.takeoff.ground import leveling_of, mark_places
from tests.browser.conftest import touch_context
from tests.browser.drawing_hand import begun, job_in
from tests.browser.hand import Hand
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
KEYS = {"'": "feet", '"': "inches", "-": "dash: 12-6, or below zero", "½": "one half", "¼": "one quarter"}
# corners of known place; a 3-4-5 triangle from the first two: 12 right, 16 up
KNOWN = {"A": ("0", "0"), "B": ("24", "0"), "C": ("0", "40"), "D": ("24", "40")}


@dataclass
class InTheYard:
    """A hand at the page of tape and level of one job, and the job as it lies on the disk."""

    hand: Hand
    data: Path
    job_id: UUID

    @property
    def job(self) -> Job:
        return job_in(self.data, self.job_id)

    def field(self, label: str, nth: int = 0) -> Locator:
        form = self.hand.page.locator("#new-mark form", has=self.hand.page.get_by_role("button", name="Add the mark"))
        return form.get_by_label(label, exact=True).nth(nth)

    def key_in(self, field: Locator, typed: str) -> None:
        """Type a length by the row of keys, and see that it arrived."""
        field.tap()
        keys = self.hand.page.get_by_role("group", name="Keys for a length")
        for sign in typed:
            keys.get_by_role("button", name=KEYS.get(sign, sign), exact=True).tap()
        expect(field).to_have_value(typed.replace("'", "′").replace('"', "″"))
        keys.get_by_role("button", name="Done").tap()
        expect(keys).to_have_count(0)

    def known(self, name: str, right: str, up: str) -> None:
        self.hand.unfold("New mark")
        self.hand.unfold("Its place or level is known", self.hand.page.locator("#new-mark form").first)
        self.hand.type("Name", name, self.hand.page.locator("#new-mark"))
        self.key_in(self.field("Right of the datum"), right)
        self.key_in(self.field("Up from the datum"), up)
        self.hand.save("Add the mark")
        expect(self.hand.page.locator("#marks")).to_contain_text(name)


@pytest.fixture
def yard(chromium: Browser, tmp_path: Path) -> Iterator[InTheYard]:
    data = tmp_path / "data"
    job_id = begun(data)
    said: list[str] = []
    with serving(data) as server:
        context = touch_context(chromium, "phone")
        page = context.new_page()
        page.on("console", lambda one: said.append(one.text) if one.type == "error" else None)
        page.on("pageerror", lambda error: said.append(str(error)))
        hand = Hand(page, server.address)
        hand.open(f"/jobs/{job_id}/tape")
        yield InTheYard(hand, data, job_id)
        context.close()
    assert [one for one in said if "422" not in one] == []


def test_yard_is_taped_and_leveled_by_thumb_on_a_phone(yard: InTheYard) -> None:
    hand, page = yard.hand, yard.hand.page
    for name, (right, up) in KNOWN.items():
        yard.known(name, right, up)
    # 20 ft to both near corners as the crew writes it; the far one a foot too long, 27-10 where it is 26-10
    for nth, (start, length) in enumerate([("A", "20"), ("B", "20-0"), ("C", "27-10")]):
        yard.field("Taped from", nth).select_option(label=start)
        yard.key_in(yard.field("Tape", nth), length)
    hand.save("Add the mark")
    expect(page.locator("#marks")).to_contain_text("P1")
    mark = page.locator("#marks").get_by_role("link", name="P1")
    with page.expect_navigation():
        mark.tap()
    more = page.locator("#margin-part form", has=page.get_by_role("button", name="Add the tape"))
    more.get_by_label("One more, from").select_option(label="D")
    yard.key_in(more.get_by_label("Tape", exact=True), "26-10")
    hand.save("Add the tape")
    bad = page.locator(".note", has_text="The tape from C to P1 is 1'-0\" too long")
    expect(bad).to_be_visible()
    hand.save("Leave it out", within=bad)
    expect(page.locator(".note", has_text="A tape does not fit")).to_have_count(0)
    assert mark_places(yard.job)["P1"] == pytest.approx((12, 16), abs=0.02)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

    setups = page.locator("#setups")
    hand.unfold("Set the instrument up", setups)
    new = setups.locator("form", has=page.get_by_role("button", name="Add the setup"))
    new.get_by_label("Looked back to").select_option(label="A")
    yard.key_in(new.get_by_label("Rod there"), "4-6½")
    hand.save("Add the setup")
    rod = setups.locator("form", has=page.get_by_role("button", name="Save the reading"))
    rod.get_by_label("Rod on").select_option(label="P1")
    yard.key_in(rod.get_by_label("Rod", exact=True), "5-6½")
    hand.save("Save the reading")
    expect(setups).to_contain_text("saw no mark of known level")
    with page.expect_navigation():
        page.locator("#marks").get_by_role("link", name="A", exact=True).tap()
    named = hand.unfold("Name, typed place, typed level", page.locator("#margin-part"))
    yard.key_in(named.get_by_label("Level, above the datum"), "-1")
    hand.save("Save the mark", within=named)
    expect(setups).to_contain_text("-2'-0\"")
    job = yard.job
    levels = leveling_of(job).levels
    assert levels[str(job.marks[-1].id)].level == pytest.approx(-2.0)
