"""What bar 5 makes up and what it counts: forms as the pages have them, typed over; errors, and what was reached."""

from collections import Counter

import httpx2 as httpx
from starlette.applications import Starlette
from starlette.routing import Route

from bars.bar_05_server_errors import MALFORMED, Seen
from bars.forms import Walk, read_page
from bars.generated import Made, Operation, by_description, by_form, described, each

PAGE = """<a href="/jobs/1/plan?focus=zone:a#top">Plan</a><form method="post" action="/jobs/1/words">
<input type="hidden" name="version" value="3"><textarea name="words">Shade</textarea><input name="file" type="file">
<select name="kind"><option value="a">A</option><option value="b" selected>B</option></select>
<input type="checkbox" name="must" value="1"><input type="radio" name="side" value="l"><input type="radio" name="side" value="r" checked>
</form>"""


def route(path: str, *methods: str) -> Route:
    return Route(path, lambda _request: None, methods=list(methods))


def test_form_is_read_as_a_browser_would_send_it() -> None:
    seen = read_page("/", PAGE)
    (form,) = seen.forms
    assert (form.method, form.action, form.takes_file) == ("POST", "/jobs/1/words", True)
    assert form.holds == {"version": "3", "words": "Shade", "kind": "b", "side": "r"}
    assert seen.links == {"/jobs/1/plan?focus=zone:a"}


def test_walk_goes_along_links_and_keeps_forms_and_addresses_by_route() -> None:
    routes = [route("/jobs/{id}/plan", "GET"), route("/", "GET"), route("/jobs/{id}/words", "POST")]
    asked: list[str] = []

    def get(path: str) -> httpx.Response:
        asked.append(path)
        return httpx.Response(200, html=PAGE)

    walk = Walk(routes, get, 10).go("/")
    assert asked == ["/", "/jobs/1/plan?focus=zone:a"]
    assert walk.addresses["GET /jobs/{id}/plan"] == ["/jobs/1/plan"]
    assert walk.queries["GET /jobs/{id}/plan"] == {"focus"}
    assert {form.action for form in walk.forms} == {"/jobs/1/words"}


def test_made_up_forms_are_typed_over_and_the_same_at_every_run() -> None:
    def made() -> list[Made]:
        sent: list[Made] = []
        each(by_form("/jobs/1/words", {"words": "Shade", "version": "3"}, ["more"], None), 12, sent.append)
        return sent

    first, again = made(), made()
    assert len(first) == 12
    assert [{**one.form, "change_id": ""} for one in first] == [{**one.form, "change_id": ""} for one in again]
    assert all({**one.form, "change_id": ""} != {"words": "Shade", "version": "3", "change_id": ""} for one in first)


def test_description_is_filled_out_with_the_fields_of_the_forms() -> None:
    class App(Starlette):
        def openapi(self) -> dict:
            answers = {"200": {"description": "answered"}}
            at = [{"name": "id", "in": "path", "required": True, "schema": {"type": "string"}}]
            words = {"post": {"parameters": at, "responses": answers}}
            return {"openapi": "3.1.0", "info": {"title": "t", "version": "1"}, "paths": {"/jobs/{id}/words": words}}

    words = route("/jobs/{id}/words", "POST")
    words.path_format = "/jobs/{id}/words"
    one = Operation("POST", words, known=[{"id": "7"}], fields={"words", "kind"})
    about = next(iter(described(App(), [one]).get_all_operations())).ok()
    sent: list[Made] = []
    each(by_description(about, one, wrong=False), 20, sent.append)
    assert any(made.path == "/jobs/7/words" for made in sent)
    assert {"words", "kind"} <= {name for made in sent for name in made.form}


def test_errors_are_counted_and_what_is_refused_before_the_route_is_not_reached() -> None:
    seen = Seen()
    for name, status, words in (
        ("GET /a", 500, ""),
        ("GET /b", 404, ""),
        ("GET /c", 422, f"The form {MALFORMED}."),
        ("GET /d", 422, "Say how wide."),
        ("GET /e", 200, ""),
    ):
        seen.take(name, httpx.Response(status, text=words))
    assert seen.errors == Counter({"500 GET /a": 1})
    assert seen.reached == {"GET /d", "GET /e"}
