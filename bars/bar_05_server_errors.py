"""Server errors from made-up input: every operation, by the application's own description and by its forms.

An operation is a route and a method, found by asking the application. Where it is and what it takes comes from the
table of valid requests (`tests/every_change`) and from the pages: links lead to addresses that are there, forms say
their fields. Schemathesis makes requests up from the description, right ones and wrong ones; forms are filled with
what may be typed. What is accepted stays, so that the pages looked at afterwards stand on strange data.

Reached: at least one answer of the route itself, with something else than that it is not there or not allowed.
"""

import tempfile
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import chdir, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Self

import httpx2 as httpx

from app.web.access import FACE
from bars import Figure
from bars.faulting import all_routes
from bars.forms import PRINTED, Form, Walk, route_fitting, values_in
from bars.generated import FORM, Made, Operation, by_description, by_form, described, each
from tests.every_change.change import Change
from tests.every_change.sending import Request, Sending
from tests.every_change.stock import PICTURE, Stock
from tests.every_change.table import CHANGES

MADE, FEW = 3, 1  # requests of each kind for each operation
SELDOM = 1  # of those that wait for another process
EVERY = 12  # at few: each so-manieth operation
BY_ROUTE = {change.route: change for change in CHANGES}
NOT_REACHED = {401, 403, 404, 405}
MALFORMED = "does not read as it should"  # said before the route itself is asked
FIRST = ("/", "/firm/first", "/firm/devices", "/firm/devices/pairing", "/face/ours", "/contact", "/field", "/copy")
STRANGERS = ("/pair", "/pair/waiting", "/trust", "/trust/authority.crt")
PAGES, FEW_PAGES = 1_500, 20
NAMED = {  # by where an address begins, what its names stand for: a word of the stock, or itself
    "/jobs/": {"key": "all"},
    "/jobs/{job_id}/revisions/": {"job_id": "sold_id", "revision_id": "sold_revision_id", "role": "signed"},
    "/show/": {"job_id": "sold_id", "revision_id": "sold_revision_id", "key": "plan", "role": "signed"},
    "/show/{job_id}/sign/": {"job_id": "offered_id", "revision_id": "offered_revision_id"},
    "/field/": {"job_id": "built_id", "key": "all"},
    "/prices/": {"key": "base-stone-34"},
    "/prices/machine/": {"key": "mini-excavator", "figure": "hour"},
    "/firm/worksheet/": {"key": "crew", "figure": "hour"},
    "/subcontractors/": {"key": "stoltz", "name": "paper"},
}


@dataclass
class Seen:
    """What was answered, by operation."""

    answers: Counter[str] = field(default_factory=Counter)
    errors: Counter[str] = field(default_factory=Counter)
    reached: set[str] = field(default_factory=set)

    def take(self, name: str, answer: Any) -> None:
        """Count an answer."""
        self.answers[name] += 1
        if answer.status_code >= 500:
            self.errors[f"{answer.status_code} {name}"] += 1
        elif answer.status_code not in NOT_REACHED and not _is_malformed(answer):
            self.reached.add(name)


def _is_malformed(answer: Any) -> bool:
    return answer.status_code == 422 and MALFORMED in answer.text


class Trying:
    """An office with everything in it, to be sent all that can be made up."""

    def __init__(self, folder: Path, seen: Seen) -> None:
        self.sending, self.seen = Sending(Stock(folder)), seen
        self.requests: dict[str, Request] = {}
        self.sending.stock.sells()

    def __enter__(self) -> Self:
        self.sending.__enter__()
        self.routes = all_routes(self.sending.app)
        found = [Operation(method, route) for route in self.routes for method in sorted(set(route.methods) - {"HEAD"})]
        self.operations = {one.name: one for one in found}
        self.here, self.stranger = self.sending.client("here"), self.sending.client("stranger")
        return self

    def __exit__(self, *wrong: object) -> None:
        self.sending.__exit__(*wrong)  # which closes the office, too

    def operation(self, method: str, path: str) -> Operation | None:
        """The operation that a request goes to."""
        route = route_fitting(self.routes, method, path)
        return self.operations[f"{method} {route.path}"] if route else None

    def get(self, path: str) -> Any:
        """A page, looked at from this machine, or by who knows nothing of it."""
        client = self.stranger if path.startswith(STRANGERS) else self.here
        answer = client.get(path, follow_redirects=False)
        if one := self.operation("GET", path.partition("?")[0]):
            self.seen.take(one.name, answer)
        return answer

    def walk(self, pages: int) -> Walk:
        """Look at the pages; the operations then know addresses that are there and the fields of their forms."""
        reading = [one for one in self.operations.values() if one.method == "GET"]
        known = [one.route.path_format.format(**at) for one in reading for at in one.known[:2]]
        named = [one.route.path_format.format_map(self._named(one.route.path)) for one in reading]
        walk = Walk(self.routes, self.get, pages).go(*FIRST, *STRANGERS, *known, *named)
        for name, paths in walk.addresses.items():
            one = self.operations[name]
            one.known += [values_in(one.route, path) for path in paths[:3]]
            one.queries |= walk.queries.get(name, set())
        for form in walk.forms:
            self._learn(form.method, form.action.partition("?")[0], set(form.holds), takes_file=form.takes_file)
        return walk

    def _named(self, path: str) -> "Known":
        """What the names in an address stand for, by where it is."""
        words = self.sending.stock.words
        here = [named for start, named in NAMED.items() if path.startswith(start)]
        return Known({**words, **{name: words.get(word, word) for named in here for name, word in named.items()}})

    def _learn(self, method: str, path: str, names: set[str], *, takes_file: bool) -> None:
        if one := self.operation(method, path):
            one.known.append(values_in(one.route, path))
            one.fields |= names - {"token", "change_id"}
            one.takes_file |= takes_file

    def typed(self, changes: Sequence[Change], forms: Sequence[Form], count: int) -> None:
        """Fill the forms of the table and of the pages."""
        for change in changes:
            request = self.requests[change.route] = self.sending.of(change)
            one = self.operations[f"POST {change.route}"]
            at = values_in(one.route, request.path)
            for same in (one, self.operations.get(f"GET {change.route}")):
                if same is not None:
                    same.known.insert(0, at)
            one.fields |= {*request.form} - {"token", "change_id"}
            one.takes_file |= bool(request.file)
            strategy = by_form(request.path, request.form, sorted(one.fields), request.file or None)
            each(strategy, SELDOM if change.slow else count, self._sender(one, request))
            mine = [form for form in forms if self.operation(form.method, form.action.partition("?")[0]) is one]
            for form in mine[:2] if change.by == "here" and not change.slow else ():
                file = PICTURE if form.takes_file else None
                strategy = by_form(form.action, form.holds, sorted(one.fields), file)
                each(strategy, SELDOM if change.slow else count, self._sender(one, request))
            self.seen.take(one.name, request.sent())
            self.here.cookies.delete(FACE)

    def tried(self, step: int) -> list[Operation]:
        """The operations, or each so-manieth: all that read, and those whose request is in that part of the table."""
        reading = [one for one in self.operations.values() if one.method == "GET"]
        changing = [self.operations[f"POST {change.route}"] for change in CHANGES[::step]]
        return [*changing, *reading[::step]]

    def as_linked(self, operations: Sequence[Operation]) -> None:
        """Ask for what no walk looks at (papers, files) where a page leads to it, until it answers itself."""
        for one in operations:
            for at in one.known if one.method == "GET" else ():
                if one.name in self.seen.reached:
                    break
                self.get(one.route.path_format.format(**at))

    def described(self, operations: Sequence[Operation], count: int) -> None:
        """Send what the description allows, and what it does not."""
        about = described(self.sending.app, list(self.operations.values()))
        by_name = {f"{one.ok().method.upper()} {one.ok().path}": one.ok() for one in about.get_all_operations()}
        for one in operations:
            change = BY_ROUTE.get(one.route.path) if one.method == "POST" else None
            slow = change.slow if change else one.route.path.endswith(PRINTED)
            send = self._sender(one, self.requests.get(one.route.path) if change else None)
            said = by_name.get(f"{one.method} {one.route.path_format}")
            for wrong in (False, True) if said else ():
                each(by_description(said, one, wrong=wrong), SELDOM if slow else count, send)

    def _sender(self, one: Operation, like: Request | None = None) -> Callable[[Made], None]:
        """Sends what is made up as the request of the table is sent."""
        client = like.client if like else self.stranger if one.route.path.startswith(STRANGERS) else self.here
        headers = like.headers if like else {}

        def send(made: Made) -> None:
            with suppress(httpx.InvalidURL):  # never leaves a browser either
                sent = {**_body(made, like), "params": made.query or None, "follow_redirects": False}
                told = {**headers, **({"hx-request": "true"} if made.part else {})}
                told |= {"content-type": FORM} if made.content is not None else {}
                self.seen.take(one.name, client.request(one.method, made.path, headers=told, **sent))
            self.here.cookies.delete(FACE)  # one of them turns to the client's face

        return send


def _body(made: Made, like: Request | None) -> dict[str, Any]:
    """What is sent with it: a form, a file, or what is neither."""
    if like is None:
        return {}
    content = made.content if made.content is not None else like.body
    form = {name: value for name, value in made.form.items() if value != []}
    files = {"file": ("sent", made.file)} if made.file is not None else None
    return {"content": content} if content else {"data": form, "files": files}


class Known(dict[str, str]):
    """What names stand for; one that is not known stands for nothing there is."""

    def __missing__(self, name: str) -> str:
        return "none"


def measure(few: bool) -> tuple[Figure, ...]:
    """Server errors, and the share of the operations that were reached."""
    seen, count, step = Seen(), FEW if few else MADE, EVERY if few else 1
    with tempfile.TemporaryDirectory() as folder:
        inside = Path(folder) / "a" / "b" / "c" / "d"  # a made-up path of a folder leads nowhere else
        inside.mkdir(parents=True)
        with chdir(inside), Trying(Path(folder) / "tried", seen) as trying:
            names = {one.name for one in trying.tried(step)}
            forms = trying.walk(FEW_PAGES if few else PAGES).forms
            trying.typed(CHANGES[::step], forms, count)
            trying.walk(FEW_PAGES if few else PAGES)  # what was accepted lies on the pages now
            trying.as_linked(trying.tried(step))
            trying.described(trying.tried(step), count)
    note = f"{seen.answers.total():,} requests to {len(seen.answers)} operations"
    errors = ", ".join([note, *(f"{one} ({n})" for one, n in seen.errors.most_common(5))])
    figure = Figure(what="server errors from made-up input", value=seen.errors.total(), limit=0, note=errors)
    return (figure,) if few else (figure, reach(names, seen))


def reach(names: set[str], seen: Seen) -> Figure:
    """The share of the operations that answered themselves."""
    missed = sorted(names - seen.reached)
    note = ", ".join([f"{len(names) - len(missed)} of {len(names)}; not:", *missed[:15]])
    share = 100 * (1 - len(missed) / len(names))
    return Figure(what="operations reached", value=share, limit=95, at_least=True, unit="%", note=note)
