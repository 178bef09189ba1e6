"""A stretch of a record that leaves its machine: what does not hold is refused, whatever was touched."""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.codec import canonical_bytes
from app.domain.errors import BadValue
from app.domain.record_chain import Chain, ChainEntry, chain_bytes, entry_hash, holds, read_chain

WHEN = "2027-03-09T15:00:00+00:00"
OTHERS = "ab" * 32


def entry(what: str, kind: str = "change") -> ChainEntry:
    body = canonical_bytes({"id": what, "who": "Maren Oduya", "when": WHEN, "what": what, "undoes": None})
    told = {"kind": kind, "firm_id": "f", "epoch": 1, "answer": "{}"}
    content = entry_hash(body, kind, "f", 1, "{}")
    return ChainEntry(content=content, id=what, who="Maren Oduya", at=WHEN, what=what, body=body.decode(), **told)


CHAIN = Chain(previous="00" * 32, links=(entry("New job"), OTHERS, entry("Terrace"), entry("Signed", "sign")))
BYTES = chain_bytes(CHAIN)


def test_chain_survives_and_names_its_own_entries_alone() -> None:
    held = read_chain(BYTES)
    assert held == CHAIN
    assert [one.what for one in held.entries] == ["New job", "Terrace", "Signed"]
    assert held.hashes[-1] == held.head
    assert len(set(held.hashes)) == 4


@given(st.integers(0, len(BYTES) - 1), st.sampled_from(b"0a} "))
def test_no_byte_of_it_can_be_another(place: int, other: int) -> None:
    touched = BYTES[:place] + bytes([other]) + BYTES[place + 1 :]
    if touched == BYTES:
        return
    try:
        held = read_chain(touched)
    except BadValue:
        return
    assert held == CHAIN  # white space between, or a number written otherwise


@pytest.mark.parametrize(
    "touch",
    [
        lambda links: links[:-1],
        lambda links: [links[0], links[2], links[1], links[3]],
        lambda links: [*links, links[0]],
        lambda links: [*links[:3], {**links[3], "kind": "change"}],
        lambda links: [*links[:3], {**links[3], "answer": '{"files":{}}'}],
        lambda links: [{**links[0], "who": "Somebody"}, *links[1:]],
        lambda links: [{**links[0], "content": OTHERS}, *links[1:]],
        lambda links: ["cd" * 32, *links[1:]],
    ],
    ids=["cut", "order", "added", "kind", "answer", "who", "content", "hidden"],
)
def test_link_cut_moved_added_or_changed_is_refused(touch) -> None:  # type: ignore[no-untyped-def]
    plain = msgspec.json.decode(BYTES)
    plain["links"] = touch(plain["links"])
    with pytest.raises(BadValue, match="record in this file"):
        read_chain(canonical_bytes(plain))


@pytest.mark.parametrize("content", [b"", b"{}", b"[]", b"null", b'{"format":"other"}'])
def test_what_is_no_chain_is_said(content: bytes) -> None:
    with pytest.raises(BadValue, match="record in this file"):
        read_chain(content)


def test_entry_of_an_older_release_holds_by_its_body_alone_and_an_erased_one_does_not() -> None:
    from dataclasses import replace
    from hashlib import sha256

    one = entry("New job")
    assert holds(replace(one, content=sha256(one.body.encode()).hexdigest()))
    assert not holds(replace(one, body=one.body.replace("New job", "Erased")))
