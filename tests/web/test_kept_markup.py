"""A block that is kept is written once for its values, and reads as it did."""

from pathlib import Path
from typing import Any

import pytest
from jinja2 import Environment

from app.config import Settings
from app.web.rendering import environment

ROWS = (
    "{% for one in rows %}{% kept one, unit %}<i>{{ told(one) }}{% set twice = one ~ one %}{{ twice }} {{ unit }}</i>"
    "{% endkept %}{% endfor %}"
)


def test_block_is_written_once_for_its_values(tmp_path: Path) -> None:
    written: list[str] = []

    def told(one: str) -> str:
        written.append(one)
        return one

    template = environment(tmp_path).from_string(ROWS)
    first = template.render(rows=["a<", "b", "a<"], unit="ft", told=told)
    assert first == "<i>a&lt;a&lt;a&lt; ft</i><i>bbb ft</i><i>a&lt;a&lt;a&lt; ft</i>"
    assert written == ["a<", "b"]
    assert template.render(rows=["b", "c"], unit="ft", told=told) == "<i>bbb ft</i><i>ccc ft</i>"
    assert template.render(rows=["b"], unit="m", told=told) == "<i>bbb m</i>"
    assert written == ["a<", "b", "c", "b"]


def test_blocks_of_two_places_are_two(tmp_path: Path) -> None:
    template = environment(tmp_path).from_string("{% kept 1 %}one{% endkept %}\n{% kept 1 %}other{% endkept %}")
    assert [template.render(), template.render()] == ["oneother", "oneother"]


FIELDS = """{% from "macros/forms.html" import field, length_field, select %}
{{ select("zone", "Zone", options, chosen=chosen, error=error, typed=typed) }}
{{ field("title", "Title", value=chosen, error=error, typed=typed) }}
{{ length_field("wide", "Width", value=chosen, error=error, typed=typed, unit=unit) }}"""
ASKED: dict[str, Any] = {
    "options": [("a", "A & B"), ("b", "Lawn")],
    "chosen": "a",
    "error": "",
    "typed": None,
    "unit": "ft",
}
OTHERWISE: list[dict[str, Any]] = [
    {"chosen": "b"},
    {"typed": "<b>"},
    {"error": "Too wide."},
    {"options": [("a", "A & B"), ("c", "Lawn")]},
    {"unit": "m"},
]


@pytest.mark.parametrize("changed", OTHERWISE, ids=lambda one: next(iter(one)))
def test_fields_of_forms_are_kept_by_all_that_they_show(changed: dict[str, Any]) -> None:
    """Asked otherwise in between, they read as in an environment that has written none before."""

    def written(made: Environment, asked: dict[str, Any]) -> str:
        return made.from_string(FIELDS).render(asked)

    used = environment(Settings().templates)
    for asked in (ASKED, {**ASKED, **changed}, ASKED):
        anew = environment.__wrapped__(Settings().templates)
        assert written(used, asked) == written(anew, asked)
    assert written(used, ASKED) != written(used, {**ASKED, **changed})
