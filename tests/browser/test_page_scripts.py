"""What our scripts and htmx do together under the strict policy: tokens, change ids, refusals, typing that is kept.

A contract: it fails when another version of htmx, or of ours, behaves otherwise.
"""

import mimetypes
import re
import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import parse_qs

import pytest
from playwright.sync_api import Page, expect

from app.web.access import HEADERS
from tests.web.test_macros import environment

pytestmark = pytest.mark.browser
ROOT = Path(__file__).parents[2]
PAGE = """
{% extends "base.html" %}{% import "macros/forms.html" as form %}{% import "macros/figures.html" as figures %}
{% block page %}<h1>Parts</h1>
{% for how in ["ok", "slow", "refused", "broken", "gone", "sign"] %}
<form id="{{ how }}" method="post" action="/save/{{ how }}" hx-post="/save/{{ how }}" hx-target="#{{ how }}"
 hx-swap="outerHTML"{% if how == "slow" %} hx-trigger="change"{% endif %}>
{{ form.form_head("t0ken", "4c5d1f0e-0000-4000-8000-00000000000" ~ loop.index) }}
{{ form.length_field("width", "Width " ~ how, at=how) }}{{ form.length_field("depth", "Depth " ~ how, at=how) }}
{{ form.button("Save " ~ how) }}</form>
{% endfor %}
{{ form.stepper("seats", "Seats", value=4, most=6) }}{{ form.signature("Signature") }}
{{ figures.door("563 sq ft", "/why", label="Area") }}<section id="explanation"></section>
{% endblock %}
"""


class Site(BaseHTTPRequestHandler):
    sent: list[dict[str, str]]

    def log_message(self, *_words):
        pass

    def _answer(self, body, kind="text/html; charset=utf-8", status=200):
        data = body if isinstance(body, bytes) else body.encode()
        self.send_response(status)
        for name, value in {**HEADERS, "content-type": kind, "content-length": str(len(data))}.items():
            self.send_header(name, value)
        self.end_headers()
        self.wfile.write(data)

    def do_GET(self):
        if self.path.startswith("/built/"):
            file = ROOT / "static/built" / self.path.split("/", 3)[3]
            self._answer(file.read_bytes(), mimetypes.guess_type(file.name)[0] or "font/woff2")
        elif self.path == "/why":
            self._answer('<div class="explanation"><h3>Area</h3>28 ft × 20 ft</div>')
        elif self.path == "/":
            values = {
                "csrf": "t0ken",
                "static_version": "v",
                "firm": {"name": "Brackenfold Yards"},
                "over": "here",
                "ours": True,
                "is_shared": False,
                "goes_back": "",
                "may_leave": False,
            }
            self._answer(environment().from_string(PAGE).render(values))
        else:
            self._answer("", status=204)

    def do_POST(self):
        text = self.rfile.read(int(self.headers["content-length"])).decode()
        form = {name: values[-1] for name, values in parse_qs(text, keep_blank_values=True).items()}
        how = self.path.rsplit("/", 1)[1]
        self.server.sent.append({**form, "how": how, "token_header": self.headers.get("x-outlay-token", "")})
        if how == "gone":
            self.connection.close()
            return
        if how == "broken":
            self._answer(
                '<div class="said" data-said><p>Something went wrong. Nothing was changed.</p></div>', status=500
            )
            return
        if how == "slow":
            time.sleep(0.6)
        error = "“12 q” is no length." if how == "refused" else ""
        made = environment().from_string(
            f'{{% import "macros/forms.html" as form %}}<form id="{how}" method="post" action="/save/{how}" '
            f'hx-post="/save/{how}" hx-target="#{how}" hx-swap="outerHTML" hx-trigger="{"change" if how == "slow" else "submit"}">'
            '{{ form.form_head("t0ken", "4c5d1f0e-0000-4000-8000-0000000000ff") }}'
            '{{ form.length_field("width", "Width " ~ how, value=width, typed=width, error=error, at=how) }}'
            '{{ form.length_field("depth", "Depth " ~ how, value=depth, at=how) }}{{ form.button("Save " ~ how) }}</form>'
        )
        width, depth = form.get("width", ""), form.get("depth", "")
        self._answer(made.render(how=how, width=width, depth=depth, error=error), status=422 if error else 200)


@pytest.fixture
def site() -> Iterator[ThreadingHTTPServer]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), Site)
    server.sent = []
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield server
    server.shutdown()
    server.server_close()


@pytest.fixture
def parts(site: ThreadingHTTPServer, tablet: Page) -> Page:
    tablet.goto(f"http://127.0.0.1:{site.server_port}/")
    return tablet


def test_save_carries_token_and_an_id_and_the_next_one_follows_it(site, parts):
    for width in ("12", "13"):
        parts.get_by_label("Width ok").fill(width)
        with parts.expect_response("**/save/ok"):
            parts.get_by_role("button", name="Save ok").click()
        parts.wait_for_timeout(60)
    first, second = site.sent
    assert first["token_header"] == "t0ken"
    assert re.fullmatch(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[0-9a-f]{4}-[0-9a-f]{12}", second["change_id"])
    assert first["follows"] == ""
    assert second["follows"] == first["change_id"]


def test_saved_id_is_used_up_on_the_page(site, parts):
    held = parts.locator("#refused input[name=change_id]")
    parts.evaluate("document.querySelector('#refused input[name=change_id]').value = 'same'")
    parts.evaluate("document.querySelector('#ok input[name=change_id]').value = 'same'")
    with parts.expect_response("**/save/ok"):
        parts.get_by_role("button", name="Save ok").click()
    expect(held).not_to_have_value("same")


def test_refused_field_comes_back_with_its_sentence_the_text_and_the_focus(parts):
    parts.get_by_label("Width refused").fill("12 q")
    parts.get_by_role("button", name="Save refused").click()
    field = parts.get_by_label("Width refused")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_have_value("12 q")
    expect(field).to_be_focused()
    expect(field).to_have_accessible_description(re.compile("is no length"))


def test_typing_goes_on_while_a_save_is_on_its_way(site, parts):
    parts.get_by_label("Width slow").fill("12")
    parts.get_by_label("Depth slow").focus()  # leaves the first field: its save begins
    parts.keyboard.type("1")
    parts.wait_for_timeout(200)
    parts.keyboard.type("4'")
    parts.wait_for_timeout(900)
    depth = parts.get_by_label("Depth slow")
    expect(depth).to_have_value("14'")
    expect(depth).to_be_focused()
    parts.keyboard.type("6")
    expect(depth).to_have_value("14'6")
    expect(parts.get_by_label("Width slow")).to_have_value("12")


def test_field_left_while_a_save_is_on_its_way_is_saved_after_it(site, parts):
    parts.get_by_label("Width slow").fill("12")
    parts.get_by_label("Depth slow").focus()
    parts.wait_for_timeout(100)
    parts.keyboard.type("14")
    parts.get_by_label("Width ok").focus()
    parts.wait_for_timeout(2200)
    assert site.sent[-1]["depth"] == "14"
    assert len({one["change_id"] for one in site.sent}) == len(site.sent)


def test_double_tap_sends_once(site, parts):
    parts.get_by_role("button", name="Save ok").dblclick()
    parts.wait_for_timeout(400)
    assert len([one for one in site.sent if one["how"] == "ok"]) == 1


def test_program_that_does_not_answer_says_so_and_keeps_what_was_typed(site, chromium):
    page = chromium.new_page()
    page.goto(f"http://127.0.0.1:{site.server_port}/")
    page.get_by_label("Width gone").fill("17'")
    page.get_by_role("button", name="Save gone").click()
    expect(page.get_by_role("alert")).to_contain_text("Not saved: the program does not answer")
    expect(page.get_by_label("Width gone")).to_have_value("17'")
    used = site.sent[-1]["change_id"]
    page.get_by_role("button", name="Save gone").click()
    page.wait_for_timeout(200)
    assert site.sent[-1]["change_id"] == used  # the same change: if it did arrive, nothing is changed twice
    page.get_by_role("button", name="Close").click()
    expect(page.get_by_role("alert")).to_be_empty()
    page.close()


LATE = """document.dispatchEvent(new CustomEvent('htmx:timeout', { detail: {
  requestConfig: { verb: 'post', path: '/save/sign', formData: new FormData() } } }))"""
WATCH = """(() => { const send = XMLHttpRequest.prototype.send;
  XMLHttpRequest.prototype.send = function (...body) { window.patience = this.timeout; return send.apply(this, body); }; })()"""


def test_what_must_be_answered_at_once_is_waited_for_and_what_is_late_is_not_called_undone(site, parts):
    parts.evaluate(WATCH)
    for how, seconds in (("ok", 20), ("sign", 120)):
        with parts.expect_response(f"**/save/{how}"):
            parts.get_by_role("button", name=f"Save {how}").click()
        assert parts.evaluate("window.patience") == seconds * 1000
    parts.evaluate(LATE)
    expect(parts.get_by_role("alert")).to_contain_text("has not answered yet and may still be at it")
    assert "nothing" not in parts.get_by_role("alert").inner_text()


def test_sentence_about_the_whole_request_leaves_the_form_alone(site, chromium):
    page = chromium.new_page()
    page.goto(f"http://127.0.0.1:{site.server_port}/")
    page.get_by_label("Width broken").fill("17'")
    page.get_by_role("button", name="Save broken").click()
    expect(page.get_by_role("alert")).to_contain_text("Nothing was changed")
    expect(page.get_by_label("Width broken")).to_have_value("17'")
    page.close()


def test_length_keys_write_every_sign_without_a_keyboard(parts):
    field = parts.get_by_label("Width ok")
    expect(parts.get_by_role("group", name="Keys for a length")).to_have_count(0)
    field.tap()
    keys = parts.get_by_role("group", name="Keys for a length")
    assert field.evaluate("field => field.inputMode") == "none"
    for name in ("1", "2", "feet", "6", "one half", "one quarter", "inches"):
        keys.get_by_role("button", name=name, exact=True).tap()
    expect(field).to_have_value("12′6¾″")
    keys.get_by_role("button", name="take back one sign").tap()
    expect(field).to_have_value("12′6¾")
    smallest = min(
        min(box["width"], box["height"]) for box in (k.bounding_box() for k in keys.get_by_role("button").all())
    )
    assert smallest >= 44
    parts.get_by_label("Seats", exact=True).tap()
    expect(keys).to_have_count(0)
    assert field.evaluate("field => field.inputMode") == ""


def test_length_field_with_a_mouse_has_no_keys(parts):
    parts.get_by_label("Width ok").click()
    expect(parts.get_by_role("group", name="Keys for a length")).to_have_count(0)


def test_length_typed_by_keys_is_saved_when_the_field_is_left(site, parts):
    parts.get_by_label("Width slow").tap()
    keys = parts.get_by_role("group", name="Keys for a length")
    keys.get_by_role("button", name="9", exact=True).tap()
    with parts.expect_response("**/save/slow"):
        parts.get_by_label("Seats", exact=True).tap()
    assert site.sent[-1]["width"] == "9"


def test_stepper_counts_and_stops_at_its_end(parts):
    for _ in range(4):
        parts.get_by_role("button", name="one more: Seats").tap()
    expect(parts.get_by_label("Seats", exact=True)).to_have_value("6")


def test_signature_is_strokes_and_a_picture_and_can_be_cleared(parts):
    canvas = parts.locator("canvas[data-signature]")
    canvas.scroll_into_view_if_needed()
    box = canvas.bounding_box()
    parts.mouse.move(box["x"] + 40, box["y"] + 80)
    parts.mouse.down()
    for step in range(12):
        parts.mouse.move(box["x"] + 40 + step * 12, box["y"] + 80 + (step % 3) * 14)
    parts.mouse.up()
    strokes = parts.locator("input[name=strokes]")
    expect(strokes).to_have_value(re.compile(r"^\[\[\[\d+(\.\d)?,\d+(\.\d)?\],"))
    expect(parts.locator("input[name=picture]")).to_have_value(re.compile("^data:image/png;base64,"))
    parts.get_by_role("button", name="Clear and sign again").tap()
    expect(strokes).to_have_value("")


def test_door_opens_its_explanation(parts):
    door = parts.get_by_role("link", name=re.compile("Area"))
    door.tap()
    expect(parts.locator("#explanation")).to_contain_text("28 ft × 20 ft")
    expect(door).to_have_attribute("aria-expanded", "true")


def test_high_contrast_is_kept_for_the_next_page(parts):
    parts.get_by_role("button", name="High contrast").tap()
    expect(parts.locator("html")).to_have_attribute("data-light", "sun")
    assert any(c["name"] == "outlay_light" and c["value"] == "sun" for c in parts.context.cookies())
