"""A request that is taken, as the tables of this folder write it down."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from tests.every_change.stock import Stock


class Version(NamedTuple):
    """The version at which a thing of the job, else of the firm, was read; `key` may be a name in braces."""

    kind: str
    key: str


Value = str | list[str] | Version
Content = bytes | Callable[[Stock], bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A request that is taken: what a form sends to an address, in which names stand for what the stock has.

    `at` gives names of the address that mean another thing than usual. `before` brings about what the request finds.
    `by` is who sends it: "here", "command", or a device over HTTPS ("stranger", "tablet", "phone", "client_tablet").
    `keeps_nothing` says why nothing is in the database afterwards; `slow` ones wait for another process.
    """

    route: str
    form: Mapping[str, Value] = field(default_factory=dict)
    at: Mapping[str, str] = field(default_factory=dict)
    file: Content = b""
    by: str = "here"
    before: Callable[[Stock], object] | None = None
    keeps_nothing: str = ""
    slow: bool = False


def of(route: str, form: Mapping[str, Value] | None = None, **more: object) -> Change:
    """A line of a table."""
    return Change(route=route, form=form or {}, **more)  # type: ignore[arg-type]
