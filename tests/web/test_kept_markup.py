"""A block that is kept is written once for its values, and reads as it did."""

from pathlib import Path

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
