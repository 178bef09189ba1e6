"""Requests made up: by the description of the application, and by forms filled with what may be typed."""

import copy
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode
from schemathesis.core import NOT_SET

FORM = "application/x-www-form-urlencoded"
UPLOAD = "multipart/form-data"
TYPED = (  # what somebody may type, or have pasted
    *("", " ", "0", "-1", "-0.0", "1", "7", "12", "12.5", "1,200", "$41.50", "8%", "150 %", "1e400", "1e-400", "NaN"),
    *("-Infinity", "9" * 400, "²", "٣", "½", "12' 6\"", "3 1/2 in", "12/0", "1/0 in", "1/4 in per ft", "0:12", "1:0"),
    *("25 cu yd", "3 m", "2027-03-01", "2027-02-30", "0000-00-00", "9999-12-31", "0,0; 10,0; 10,10", "0,0; 0,0; 0,0"),
    *("0 0 5 5", "1e308,1e308; -1e308,1e308; 0,-1e308", "[[[10,10],[50,40]]]", "[[[1e999,null]]]", "[" * 900, "{}"),
    *("null", "true", "on", "x", "🪴", "\x00", "\u202e12", "\ufeff", "a\r\nb", "<b>'\"&", "{{ 7*7 }}"),
    *("%s%n", "../../x"),
    *("00000000-0000-0000-0000-000000000000", "zone:", "zone:none", "work:00000000-0000-0000-0000-000000000000"),
    *("a/b", "a.b.c", "max(1, 2)", "length ** 9 ** 9", "1 if", "__import__('os')", "width + nothing", "long " * 900),
)
SURPRISES = st.one_of(
    st.sampled_from(TYPED),
    st.integers().map(str),
    st.floats().map(str),
    st.text(alphabet=st.characters(exclude_categories=("Cs",)), max_size=40),
)


@dataclass(slots=True)
class Operation:
    """A route and method to be tried: addresses that are there, fields its forms send, what may follow a `?`."""

    method: str
    route: Any
    known: list[dict[str, str]] = field(default_factory=list)
    fields: set[str] = field(default_factory=set)
    queries: set[str] = field(default_factory=set)
    takes_file: bool = False

    @property
    def name(self) -> str:
        """How it is named in what is told."""
        return f"{self.method} {self.route.path}"


def described(app: Any, operations: Sequence[Operation]) -> Any:
    """The application's own description, with what it leaves to the forms: their fields, and what follows a `?`."""
    said = copy.deepcopy(app.openapi())
    for one in operations:
        about = said["paths"].get(one.route.path_format, {}).get(one.method.lower())
        if about is None:  # not described: what is not for pages
            continue
        told = {parameter["name"] for parameter in about.get("parameters", ())}
        asked = [{"name": name, "in": "query", "schema": {"type": "string"}} for name in sorted(one.queries - told)]
        about["parameters"] = [*about.get("parameters", ()), *asked]
        if one.method == "POST":
            about["requestBody"] = {"content": {UPLOAD if one.takes_file else FORM: {"schema": _body(one)}}}
    return schemathesis.openapi.from_dict(said)


def _body(one: Operation) -> dict[str, Any]:
    fields: dict[str, Any] = {name: {"type": "string"} for name in sorted(one.fields)}
    if one.takes_file:
        fields["file"] = {"type": "string", "format": "binary"}
    return {"type": "object", "properties": fields}


@dataclass(slots=True)
class Made:
    """A request that was made up."""

    path: str
    query: dict[str, Any] = field(default_factory=dict)
    form: dict[str, Any] = field(default_factory=dict)
    file: bytes | None = None
    content: bytes | None = None
    part: bool = True  # asked for as a part of the page, which the answer then shows


def by_description(described_one: Any, one: Operation, *, wrong: bool) -> st.SearchStrategy[Made]:
    """Requests as the description allows, or `wrong` ones; mostly at addresses that are there."""
    mode = GenerationMode.NEGATIVE if wrong else GenerationMode.POSITIVE
    anywhere = described_one.as_strategy(generation_mode=mode)
    there = [described_one.as_strategy(generation_mode=mode, path_parameters=known) for known in one.known[:3]]
    return st.one_of(*there, *there, anywhere).map(_made)


def _made(case: Any) -> Made:
    body = None if case.body is NOT_SET else case.body
    made = Made(case.formatted_path, {str(name): _text(value) for name, value in (case.query or {}).items()})
    if isinstance(body, Mapping):
        made.form = {str(name): _text(value) for name, value in body.items() if name != "file"}
        sent = body.get("file")
        made.file = sent if isinstance(sent, bytes) else str(sent).encode() if sent is not None else None
    elif body is not None:
        made.content = body if isinstance(body, bytes) else json.dumps(body, default=str).encode()
    return made


def _text(value: Any) -> Any:
    if isinstance(value, list):
        return [str(one) for one in value]
    return value if isinstance(value, str) else json.dumps(value, default=str)


def by_form(path: str, holds: Mapping[str, Any], more: Sequence[str], file: bytes | None) -> st.SearchStrategy[Made]:
    """A form as it stands with some of its fields typed over, left out, sent twice, or with another form's fields."""
    names = sorted({*holds, *more} - {"token", "change_id"})
    typed = st.dictionaries(st.sampled_from(names or ["none"]), SURPRISES, min_size=1, max_size=4)
    twice = st.dictionaries(st.sampled_from(names or ["none"]), st.lists(SURPRISES, min_size=2, max_size=3), max_size=1)
    without = st.sets(st.sampled_from(names or ["none"]), max_size=1)
    files = st.just(file) if file is None else st.one_of(st.just(file), st.just(file[: len(file) // 2]), st.binary())

    def make(typed: dict[str, Any], twice: dict[str, Any], without: set[str], sent: bytes | None, part: bool) -> Made:
        form = {name: value for name, value in {**holds, **twice, **typed}.items() if name not in without}
        return Made(path, form={**form, "change_id": str(uuid4())}, file=sent, part=part)

    return st.builds(make, typed, twice, without, files, st.booleans())


def each(strategy: st.SearchStrategy[Made], count: int, send: Callable[[Made], None]) -> None:
    """Send so many of what may be made, the same at every run; nothing where nothing can be made."""

    @settings(
        max_examples=count,
        derandomize=True,
        database=None,
        deadline=None,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )
    @given(strategy)
    def once(made: Made) -> None:
        send(made)

    try:
        once()
    except Unsatisfiable:
        return
