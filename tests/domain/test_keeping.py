"""Results kept by what they rest on are the results, and the memory stays bounded."""

from app.domain.keeping import BoundedByIdentity, BoundedCache, KeptByInputs, KeptRows, Same


def test_result_is_worked_out_again_only_when_an_input_is_another() -> None:
    kept: KeptByInputs[int] = KeptByInputs(10)
    sizes = [3.0, 3.0, 4.0, 4.0, 3.0]
    assert [kept.get_or_make("zone", (size,), lambda size=size: int(size * 2)) for size in sizes] == [6, 6, 8, 8, 6]
    assert kept.made == 2  # the last two results of a key are kept: going back is no new work


def test_equal_input_that_is_another_object_counts_as_the_same() -> None:
    kept: KeptByInputs[object] = KeptByInputs(10)
    first = kept.get_or_make("zone", (["A", "B"], {"depth": "6*inch"}), object)
    assert kept.get_or_make("zone", (["A", "B"], {"depth": "6*inch"}), object) is first


def test_two_keys_never_share_a_result() -> None:
    kept: KeptByInputs[object] = KeptByInputs(10)
    assert kept.get_or_make("A", (1,), object) is not kept.get_or_make("B", (1,), object)


def test_memory_is_bounded_and_what_was_used_longest_ago_goes_first() -> None:
    kept: KeptByInputs[object] = KeptByInputs(2, each=3)
    first = kept.get_or_make("A", (), object)
    kept.get_or_make("B", (), object)
    assert kept.get_or_make("A", (), object) is first
    kept.get_or_make("C", (), object)  # B goes
    assert kept.get_or_make("A", (), object) is first
    for number in range(9):
        kept.get_or_make("A", (number,), object)
    assert len(kept) == 3 + 1


def test_working_out_that_fails_keeps_nothing() -> None:
    kept: KeptByInputs[float] = KeptByInputs(2)
    for _ in range(2):
        try:
            kept.get_or_make("A", (0,), lambda: 1 / 0)
        except ZeroDivisionError:
            continue
        raise AssertionError("the failure was hidden")
    assert kept.get_or_make("A", (0,), lambda: 2.0) == 2.0


def test_bounded_cache_keeps_the_results_used_last() -> None:
    cache: BoundedCache[str, int] = BoundedCache(2)
    assert [cache.get_or_make(key, lambda key=key: ord(key)) for key in "aba"] == [97, 98, 97]
    cache.keep("c", 99)
    assert (cache.get("b"), cache.get("a"), cache.made, len(cache)) == (None, 97, 3, 2)


def test_result_by_identity_is_found_by_the_very_object_only() -> None:
    kept: BoundedByIdentity[list[int], str] = BoundedByIdentity(4)
    first, equal = [1], [1]
    kept.keep(first, "first")
    assert (kept.get(first), kept.get(equal)) == ("first", None)
    for number in range(40):
        kept.keep([number], "other")
    assert (kept.get(first), len(kept) <= 4, kept.made) == (None, True, 41)


def test_what_is_large_is_never_compared_by_content() -> None:
    kept: KeptByInputs[object] = KeptByInputs(4, each=3)
    library, equal = {"recipe": 1}, {"recipe": 1}
    first = kept.get_or_make("A", (Same(library),), object)
    assert kept.get_or_make("A", (Same(library),), object) is first
    assert kept.get_or_make("A", (Same(equal),), object) is not first


def test_equal_input_is_compared_once_and_then_known_by_its_identity() -> None:
    class Counted:
        compared = 0

        def __eq__(self, other: object) -> bool:
            Counted.compared += 1
            return isinstance(other, Counted)

        __hash__ = None

    kept: KeptByInputs[object] = KeptByInputs(4)
    first, again = Counted(), Counted()
    for asked in (first, again, again, again):
        kept.get_or_make("A", (asked,), object)
    assert (Counted.compared, kept.made) == (1, 1)


def test_several_objects_are_found_as_one_by_one() -> None:
    kept = BoundedByIdentity[str, int](10)
    words = ["a" * size for size in range(1, 4)]
    for word in words[:2]:
        kept.keep(word, len(word))
    assert kept.many(words) == [kept.get(word) for word in words] == [1, 2, None]
    assert kept.many([]) == []


def test_row_is_worked_out_again_only_where_another_object_stands() -> None:
    kept, made = KeptRows[str, str](4), []

    def shout(word: str) -> str:
        made.append(word)
        return word.upper()

    rests_on, row = object(), ["gravel", "sand", "edging"]
    assert kept.get_or_make("A", rests_on, row, shout) == ["GRAVEL", "SAND", "EDGING"]
    made.clear()
    assert kept.get_or_make("A", rests_on, [row[0], "loam", row[2]], shout) == ["GRAVEL", "LOAM", "EDGING"]
    assert made == ["loam"]
    for others in (row[:2], [row[1], row[0]]):
        assert kept.get_or_make("A", rests_on, others, shout) == [word.upper() for word in others]
    made.clear()
    assert kept.get_or_make("A", object(), row[:2], shout) == ["GRAVEL", "SAND"]
    assert made == row[:2]
    kept.get_or_make("B", rests_on, row, shout).clear()
    assert len(kept.get_or_make("B", rests_on, row, shout)) == 3
