"""What people say of a bloom's color, as hex."""

from app.domain.palette.bloom_colors import WORDS, bloom_hex, bloom_hexes, named_only
from app.domain.palette.color import lab_of

# Source: CSS Color Module Level 4 (W3C), section 6.1, named colors
NAMED = {
    "white": "#ffffff", "ivory": "#fffff0", "coral": "#ff7f50", "salmon": "#fa8072", "crimson": "#dc143c",
    "indigo": "#4b0082", "tan": "#d2b48c", "silver": "#c0c0c0",
}  # fmt: skip


def test_words_that_are_named_colors_have_the_hex_of_the_standard() -> None:
    assert {word: WORDS[word] for word in NAMED} == NAMED
    assert all(bloom_hex(word) == color for word, color in WORDS.items())


def test_pale_is_lighter_deep_is_darker_and_the_last_word_leads() -> None:
    pale, plain, deep = (lab_of(bloom_hex(said))[0] for said in ("pale pink", "pink", "deep pink"))
    assert pale > plain > deep
    assert bloom_hex("purple-pink") != bloom_hex("pink-purple")


def test_forms_of_a_word_are_known_what_is_no_color_is_not() -> None:
    for form, word in (
        ("whitish", "white"),
        ("reddish", "red"),
        ("rosy", "rose"),
        ("creamy", "cream"),
        ("Purplish", "purple"),
    ):
        assert bloom_hex(form) == bloom_hex(word), form
    assert bloom_hex("sky") == bloom_hex("") == bloom_hex("variegated") == ""


def test_a_hex_typed_with_a_color_stands_and_each_color_counts_once() -> None:
    assert bloom_hexes(("wine red #722F37", "white", "pure white", "??")) == ("#722f37", "#ffffff")
    assert named_only("wine red #722F37") == "wine red"
    assert named_only("#722F37") == "#722F37"
