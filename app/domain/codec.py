"""Values to plain data, canonical bytes and hashes, and back: derived from the dataclasses, the one declaration.

Canonical bytes: UTF-8 JSON, keys sorted, no blanks, integers as such, other numbers in the shortest form that reads
back the same, never with an exponent inside 1e-6 … 1e16. The same value always gives the same bytes.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields, is_dataclass
from decimal import Decimal
from functools import cache
from hashlib import sha256
from json.encoder import encode_basestring
from typing import Any, TypeVar

import msgspec

from app.domain.errors import BadValue

T = TypeVar("T")


def to_plain(value: object) -> Any:
    """A value as dicts, lists, texts, numbers; ids, days and decimals as text."""
    return msgspec.to_builtins(value)


def as_stored(plain: Any) -> Any:
    """Plain data as it comes back from a row or an entry, where every tuple is a list: so that the same is equal.

    >>> as_stored({"sizes": (12.0, 8.0)}) == {"sizes": [12.0, 8.0]}
    True
    """
    if isinstance(plain, Mapping):
        return {key: as_stored(own) for key, own in plain.items()}
    return [as_stored(own) for own in plain] if isinstance(plain, list | tuple) else plain


def to_lean(value: object) -> Any:
    """As `to_plain`, without the fields that stand at their default: what a later release adds changes nothing here.

    It reads back the same for as long as no default is changed; a default that was released stays as it is.
    """
    if is_dataclass(value) and not isinstance(value, type):
        kept = ((name, getattr(value, name), default) for name, default in _defaults(type(value)))
        return {name: to_lean(own) for name, own, default in kept if own != default}
    if isinstance(value, str):
        return to_plain(value)
    if isinstance(value, Mapping):
        return {key: to_lean(own) for key, own in value.items()}
    if isinstance(value, list | tuple):
        return [to_lean(own) for own in value]
    return to_plain(value)


@cache
def _defaults(kind: type) -> tuple[tuple[str, object], ...]:
    """The fields of a dataclass with their defaults; MISSING equals no value."""
    return tuple(
        (one.name, one.default if one.default_factory is MISSING else one.default_factory()) for one in fields(kind)
    )


def from_plain(plain: object, kind: type[T]) -> T:
    """Plain data as a value of `kind`.

    Raises: BadValue, naming the place, when a field is missing, of the wrong type or unknown to an enumeration.
    """
    try:
        return msgspec.convert(plain, kind)
    except msgspec.ValidationError as wrong:
        raise BadValue(f"This does not read as {kind.__name__}: {wrong}.") from wrong


def canonical_bytes(plain: object) -> bytes:
    """Plain data as canonical JSON bytes.

    >>> canonical_bytes({"b": 1.50, "a": [0.1, 3.0]})
    b'{"a":[0.1,3],"b":1.5}'
    """
    return _text(plain).encode()


def content_hash(value: object) -> str:
    """The SHA-256 (hex) of a value's canonical bytes."""
    return sha256(canonical_bytes(to_plain(value))).hexdigest()


def json_schema(kind: type) -> dict[str, Any]:
    """The JSON Schema (2020-12) of a value's plain form."""
    return msgspec.json.schema(kind)


def _text(plain: object) -> str:
    """The kinds that are there most come first; a subclass is written as what it is one of."""
    kind = type(plain)
    if kind is str:
        return encode_basestring(plain)  # type: ignore[arg-type]
    if kind is dict or isinstance(plain, Mapping):
        held: Mapping[Any, object] = plain  # type: ignore[assignment]
        return "{" + ",".join([f"{encode_basestring(str(key))}:{_text(held[key])}" for key in sorted(held)]) + "}"
    if plain is None or plain is True or plain is False:
        return _CONSTANTS[plain]
    if isinstance(plain, float | int):
        return int.__repr__(plain) if isinstance(plain, int) else _number(plain)
    if isinstance(plain, Sequence):
        return encode_basestring(plain) if isinstance(plain, str) else f"[{','.join([_text(it) for it in plain])}]"
    raise TypeError(f"{kind.__name__} is not plain data")


_CONSTANTS: Mapping[object, str] = {None: "null", True: "true", False: "false"}


def _number(number: float) -> str:
    if not math.isfinite(number):
        raise BadValue("A number is too large to be kept.")
    if number == int(number) and abs(number) < 1e15:
        return str(int(number))
    return format(Decimal(repr(number)), "f") if 1e-6 <= abs(number) < 1e16 else repr(number)
