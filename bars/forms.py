"""What the pages ask for: every page that a link leads to, and every form on them with its fields as they stand."""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

Routes = Sequence[Any]
ALIKE = 2  # pages of one route that are looked at, for each kind of question behind it
PRINTED = (".pdf", ".zip")
SAME_FORM = 2  # forms of one route with the same fields that are kept


@dataclass(slots=True)
class Field:
    """A field of a form: its name, its kind as the page has it, what it holds, what it may hold."""

    name: str
    kind: str
    value: str = ""
    choices: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Form:
    """A form of a page: the page, where it goes, its fields."""

    page: str
    method: str
    action: str
    fields: list[Field] = field(default_factory=list)

    @property
    def holds(self) -> dict[str, str]:
        """What it sends when nothing is typed."""
        sent = (one for one in self.fields if one.kind not in {"file", "unticked"})
        return {one.name: one.value for one in sent}

    @property
    def takes_file(self) -> bool:
        """Whether a file goes with it."""
        return any(one.kind == "file" for one in self.fields)


class Reader(HTMLParser):
    """Reads the forms and the links of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.forms, self.links = page, [], set[str]()
        self._form: Form | None = None
        self._select: Field | None = None
        self._area: Field | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A form, a field of it, or a link."""
        has = {name: value or "" for name, value in attrs}
        for name in ("href", "hx-get", "src"):
            if has.get(name, "").startswith("/"):
                self.links.add(has[name].partition("#")[0])
        if tag == "form":
            action = has.get("action") or has.get("hx-post") or self.page
            self._form = Form(self.page, has.get("method", "get").upper(), action.partition("#")[0])
            self.forms.append(self._form)
        elif self._form and has.get("name"):
            self._field(tag, has)
        elif tag == "option" and self._select:
            self._option(has)

    def _field(self, tag: str, has: dict[str, str]) -> None:
        kind = has.get("type", "text") if tag in {"input", "button"} else tag
        one = Field(has["name"], kind, has.get("value", ""))
        if kind in {"radio", "checkbox"}:
            one.value = one.value or "on"
            one.choices = [one.value]
            known = next((known for known in self._form.fields if known.name == one.name), None)
            if kind == "radio" and known:
                known.choices.append(one.value)
                known.value = one.value if "checked" in has else known.value
                return
            one.kind = kind if kind == "radio" or "checked" in has else "unticked"
        self._select = one if tag == "select" else self._select
        self._area = one if tag == "textarea" else None
        self._form.fields.append(one)

    def _option(self, has: dict[str, str]) -> None:
        value = has.get("value", "")
        self._select.choices.append(value)
        if "selected" in has or not self._select.value:
            self._select.value = value

    def handle_endtag(self, tag: str) -> None:
        """The end of a form, a choice or a text."""
        if tag == "form":
            self._form = None
        elif tag == "select":
            self._select = None
        elif tag == "textarea":
            self._area = None

    def handle_data(self, data: str) -> None:
        """What a text holds."""
        if self._area:
            self._area.value += data


def read_page(path: str, text: str) -> Reader:
    """The forms and links of a page."""
    reader = Reader(path)
    reader.feed(text)
    return reader


def route_fitting(routes: Routes, method: str, path: str) -> Any:
    """The first route that takes this."""
    return next((one for one in routes if method in one.methods and one.path_regex.match(path)), None)


@dataclass
class Walk:
    """The pages that were seen, by the address of their route, and their forms."""

    routes: Routes
    get: Callable[[str], Any]
    pages: int  # the most that are looked at
    addresses: dict[str, list[str]] = field(default_factory=dict)  # of each route, addresses that are there
    queries: dict[str, set[str]] = field(default_factory=dict)  # of each route, what stands behind a question mark
    forms: list[Form] = field(default_factory=list)
    _kept: Counter[tuple[str, ...]] = field(default_factory=Counter)

    def go(self, *first: str) -> "Walk":
        """Look at all that links lead to, from these on; pages of a kind that was looked at least come first."""
        waiting: dict[str, list[str]] = {}
        met, looked = set[str](), Counter[str]()
        self._put(waiting, met, first)
        while any(waiting.values()) and looked.total() < self.pages:
            kind = min((one for one, paths in waiting.items() if paths), key=lambda one: looked[one])
            path = waiting[kind].pop(0)
            looked[kind] += 1
            if looked[kind] >= ALIKE:
                waiting[kind] = []
                met |= {f"kind {kind}"}
            if kind.partition("?")[0].endswith(PRINTED):  # no page, and printed by another process
                continue
            answer = self.get(path)
            if answer.headers.get("content-type", "").startswith("text/html"):
                seen = read_page(path, answer.text)
                self.keep(seen.forms)
                self._put(waiting, met, sorted(seen.links))
        return self

    def _put(self, waiting: dict[str, list[str]], met: set[str], paths: Iterable[str]) -> None:
        """Addresses not met before wait to be looked at, by their kind."""
        for path in paths:
            if path in met:
                continue
            met.add(path)
            kind = self.note(path)
            if kind and f"kind {kind}" not in met:
                waiting.setdefault(kind, []).append(path)

    def note(self, address: str, method: str = "GET") -> str:
        """Keep an address with its route; the route's name, nothing where there is none."""
        path, _, query = address.partition("?")
        route = route_fitting(self.routes, method, path)
        if route is None or path.startswith("/built/"):
            return ""
        known = self.addresses.setdefault(f"{method} {route.path}", [])
        known += [path] * (path not in known)
        names = {one.partition("=")[0] for one in query.split("&") if one}
        self.queries.setdefault(f"{method} {route.path}", set()).update(names)
        return f"{route.path}?{shape_of(query)}"

    def keep(self, forms: Iterable[Form]) -> None:
        """Keep the forms of a page; a few that go to one route."""
        for one in forms:
            kind = self.note(one.action, one.method)
            known = self._kept[kind, tuple(one.holds)] if kind else SAME_FORM
            if known < SAME_FORM:
                self._kept[kind, tuple(one.holds)] += 1
                self.forms.append(one)


def values_in(route: Any, path: str) -> dict[str, str]:
    """What the parameters of a route's address stand for in an address."""
    found = route.path_regex.match(path)
    return dict(found.groupdict()) if found else {}


def shape_of(query: str) -> str:
    """What stands behind a question mark, with what it names left out."""
    return re.sub(r"=([a-z_]*)[^&]*", r"=\1", query)
