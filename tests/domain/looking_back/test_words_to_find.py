"""Words that a job is found by, and fragments: folded alike, and every fragment of a word begins one of its parts."""

from hypothesis import given
from hypothesis import strategies as st

from app.domain.looking_back.words import LEAST, MOST_PIECES, after, nearness, parts_of, pieces_of, words_of


def test_words_are_folded_alike_whoever_types_them() -> None:
    assert words_of(["27½ Quarry-Bend, Apt. 3B"]) >= {"quarry", "bend", "apt", "3b"}
    assert words_of(["Peña", "PENA", "pen\u0303a"]) == {"pena"}
    assert words_of(["Straße"]) == {"strasse"}
    assert words_of(["", "  –  "]) == frozenset()
    assert pieces_of("  Quarry  27 quarry ") == ("quarry", "27")
    assert len(pieces_of(" ".join(f"w{n}" for n in range(40)))) == MOST_PIECES


@given(st.text(alphabet="abcdefghij0123456789", min_size=1, max_size=20), st.data())
def test_every_fragment_begins_a_part(word: str, data: st.DataObject) -> None:
    begin = data.draw(st.integers(0, len(word) - 1))
    end = data.draw(st.integers(begin + 1, len(word)))
    fragment = word[begin:end]
    if len(fragment) >= LEAST or begin == 0:
        assert any(fragment <= part < after(fragment) for part in parts_of(word))
    assert all(part in word for part in parts_of(word))


def test_whole_words_are_nearer_than_fragments() -> None:
    assert nearness(("quarry",), ("quarry", "bend")) > nearness(("quarry",), ("quarryman",))
    assert nearness(("ben",), ("bend",)) > nearness(("end",), ("bend",))
