"""Values to bytes and back."""

from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from app.domain.codec import canonical_bytes, content_hash, from_plain, to_plain
from app.domain.job import Head

PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**12), 10**12)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


@given(PLAIN)
def test_canonical_bytes_read_back_the_same(plain: object) -> None:
    import json

    again = json.loads(canonical_bytes(plain))
    assert canonical_bytes(again) == canonical_bytes(plain)
    assert again == plain


def test_head_survives_plain_form() -> None:
    head = Head(id=UUID(int=1), client_id=UUID(int=2), budget_low_cents=4_000_000)
    assert from_plain(to_plain(head), Head) == head
    assert content_hash(head) == content_hash(from_plain(to_plain(head), Head))
