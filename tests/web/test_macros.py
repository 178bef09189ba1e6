"""The parts that every page is made of, checked by role, name and tie, and for the strict policy."""

from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree as ET

import pytest
from jinja2 import ChoiceLoader, FileSystemLoader
from markupsafe import Markup

from app.documents.scale_bar import ScaleBar, scale_bar_svg
from app.web import rendering
from app.web.sheet_pages import ORDER

ROOT = Path(__file__).parents[2]


def environment():
    made = rendering.environment(ROOT / "templates").overlay()
    made.loader = ChoiceLoader([FileSystemLoader(ROOT / "templates"), FileSystemLoader(Path(__file__).parent)])
    return made


def sample(**context):
    bar = scale_bar_svg(ScaleBar(low=5_320_000, high=6_490_000, budget_low=6_000_000, budget_high=6_800_000))
    values = {
        "job": SimpleNamespace(
            head=SimpleNamespace(
                id="j1",
                title="27 Quarry Bend, back yard",
                basis_file="",
                time_zone="America/New_York",
                stands_as="draft",
            ),
            client=SimpleNamespace(name=""),
        ),
        "firm": SimpleNamespace(name="Brackenfold Yards"),
        "sheet": "plan",
        "sheets": [SimpleNamespace(key=key, title=key.capitalize()) for key in ORDER],
        "bar": Markup(bar),
        "open_count": 3,
        "saved_at": "2027-03-09T15:41:00+00:00",
        "undo": "Width of the dining terrace",
        "csrf": "t0ken",
        "change_id": "4c5d1f0e-0000-4000-8000-000000000001",
        "static_version": "v",
        "over": "here",
        "ours": True,
        "is_shared": False,
        "goes_back": "",
        "may_leave": False,
        "errors": {},
        "typed": {},
        **context,
    }
    return environment().get_template("sample.html").render(values)


def render(macro, *arguments, file="forms", **named):
    return str(getattr(environment().get_template(f"macros/{file}.html").module, macro)(*arguments, **named))


def test_refused_field_keeps_what_was_typed_and_ties_the_sentence_to_it():
    html = render("length_field", "width", "Width", "28'-0\"", error="“12 q” is no length.", typed="12 q")
    assert 'value="12 q"' in html
    assert 'aria-invalid="true"' in html
    assert 'aria-describedby="f-width-said"' in html
    assert 'id="f-width-said"' in html
    assert "“12 q” is no length." in html
    assert "autofocus" in html


def test_field_in_order_has_no_error_marks():
    html = render("field", "title", "Title", "Terrace")
    assert "aria-invalid" not in html
    assert "autofocus" not in html
    assert 'value="Terrace"' in html


def test_cleared_field_shows_empty_and_not_the_old_value():
    assert 'value=""' in render("field", "title", "Title", "Terrace", typed="")


def test_field_escapes_what_was_typed():
    assert "<script>" not in render("field", "title", "Title", typed='"><script>alert(1)</script>')


def test_unknown_value_shows_empty_and_not_none():
    assert "None" not in render("field", "width", "Width", None)


def test_chips_are_real_inputs_with_the_chosen_one_checked():
    html = render("chips", "kind", "Kind", [("a", "Dining"), ("b", "Fire")], chosen="b")
    assert html.count('type="radio"') == 2
    assert 'value="b" checked' in html
    assert "<legend>" in html


def test_many_chips_tell_none_from_not_asked():
    html = render("chips", "needs", "Needs", [("a", "One")], chosen=[], many=True)
    assert 'name="needs.sent"' in html
    assert 'type="checkbox"' in html


def test_tick_sends_no_when_it_is_off():
    html = render("tick", "dry", "Dry")
    assert html.index('type="hidden" name="dry" value=""') < html.index('type="checkbox"')


def test_door_leads_somewhere_without_script():
    html = render("door", "$21,385", "/why/1", file="figures")
    assert 'href="/why/1"' in html
    assert 'hx-target="#explanation"' in html


def test_form_head_carries_token_change_and_version():
    html = render("form_head", "tok", "id1", version=7)
    for name, value in (("token", "tok"), ("change_id", "id1"), ("follows", ""), ("version", "7")):
        assert f'name="{name}" value="{value}"' in html


def test_after_edit_replaces_bar_count_clock_and_undo_in_place():
    job = SimpleNamespace(head=SimpleNamespace(id="j1", time_zone="America/New_York"))
    html = render("after_edit", job, "plan", "B", 2, "2027-03-09T15:42:00+00:00", "Width", "t", "c", file="sheet")
    assert html.count('hx-swap-oob="true"') == 4
    for part in ("bar", "open-count", "saved", "undo"):
        assert f'id="{part}"' in html


@pytest.mark.parametrize("current", ["client", "plan", "build"])
def test_index_marks_the_current_sheet_only(current):
    html = sample(sheet=current)
    assert html.count('aria-current="page"') == 1
    assert f'href="/jobs/j1/{current}" class="on" aria-current="page"' in html


def test_page_has_nothing_inline_and_unique_ids():
    html = sample()
    assert "style=" not in html
    assert "<style" not in html
    assert not [tag for tag in html.split("<script")[1:] if "src=" not in tag.split(">")[0]]
    ids = [part.split('"')[0] for part in html.split(' id="')[1:]]
    assert len(ids) == len(set(ids))


def test_scale_bar_stays_well_formed_within_the_page():
    ET.fromstring(scale_bar_svg(ScaleBar(firm=1_234_500)))
