"""Sentences of templates: written into the compiled template where nothing is filled in, else filled in and escaped."""

from pathlib import Path

import pytest

from app.documents.pages import environment

ASKED = [
    ('{{ _("Range & price") }}', "Range & price"),  # words of a template are markup as they stand
    ('{{ _("100%%") }}', "100%"),
    ('{{ _("A") ~ " < " ~ _("B") }}', "A &lt; B"),
    ('{{ _("one") | capitalize }}', "One"),
    ('{{ _("a").upper() }}', "A"),
    ('{{ _("Yes") if few else _("No") }}', "Yes"),
    ('{% set said = _("later") %}{{ said }}', "later"),
    ('{{ _("at %(day)s", day=shown) }}', "at &lt;b&gt;"),
    ('{% for n in [1, 2] %}{{ ngettext("one day", "%(num)s days", n) }};{% endfor %}', "one day;2 days;"),
    ('{{ ngettext("%(who)s, one", "%(who)s, %(num)s", 3, who=shown) }}', "&lt;b&gt;, 3"),
    ('{% macro twice(x) %}{{ x }}{{ x }}{% endmacro %}{{ twice(_("a")) }}{{ twice(shown) }}', "aa&lt;b&gt;&lt;b&gt;"),
    ("{% macro boxed() %}[{{ caller() }}]{% endmacro %}{% call boxed() %}{{ shown }}{% endcall %}", "[&lt;b&gt;]"),
    ("{{ shown.upper() }}", "&lt;B&gt;"),
    ('{% for one in ["a"] %}{{ told(one) }}{% endfor %}', "told a"),
]  # fmt: skip


@pytest.mark.parametrize(("source", "rendered"), ASKED, ids=[str(at) for at in range(len(ASKED))])
def test_words_read_as_before(tmp_path: Path, source: str, rendered: str) -> None:
    template = environment(tmp_path).from_string(source)
    assert template.render(few=True, shown="<b>", told=lambda one: f"told {one}") == rendered


def test_sentence_without_figures_is_text_of_the_compiled_template(tmp_path: Path) -> None:
    made = environment(tmp_path)
    assert "context.call" not in str(made.compile('<p>{{ _("Price") }}</p>{{ _("Zone") }}', raw=True))
    assert "yield '<p>Price</p>'" in str(made.compile('<p>{{ _("Price") }}</p>', raw=True))
    assert "context.call" in str(made.compile('{{ _("at %(day)s", day=day) }}', raw=True))
