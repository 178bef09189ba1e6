"""The form of the editions of printed tables: which one, from which day, by whose word; a line each."""

from datetime import date

from starlette.datastructures import FormData

from app.domain import units
from app.domain.adopted import Adopted
from app.domain.errors import BadValue, OutlayError
from app.domain.trades.registry import editions_of
from app.web.forms.fields import Group, Parsed, Texts

MOST_LINES, LONGEST_WORDS = 24, 200


def editions(name: str) -> Group:
    """Inputs `NAME.used.N` (“TABLE/EDITION”), `NAME.since.N`, `NAME.words.N`; a line without a table is none."""
    return Group(name=name, label="Editions of tables", reader=lambda form, _firm: _read(form, name))


def _read(form: FormData, name: str) -> Parsed:
    errors, typed = Texts(), Texts()
    found: list[Adopted] = []
    for at in range(MOST_LINES):
        said = {part: _text(form, f"{name}.{part}.{at}") for part in ("used", "since", "words")}
        if f"{name}.used.{at}" not in form:
            continue
        typed.update({f"{name}.{part}.{at}": text for part, text in said.items()})
        if not said["used"]:
            continue
        try:
            one = _line(said)
            _refuse_twice(one, found)
        except OutlayError as wrong:
            errors[f"{name}.{wrong.field or 'used'}.{at}"] = wrong.sentence
        else:
            found.append(one)
    found.sort(key=lambda one: (one.table, one.since or date.min))
    return Parsed(values={} if errors else {name: tuple(found)}, errors=errors, typed=typed)


def _line(said: dict[str, str]) -> Adopted:
    table, _, edition = said["used"].partition("/")
    if edition not in dict(editions_of(table)):
        raise BadValue("Choose a table and its edition of the list.", field="used")
    if len(said["words"]) > LONGEST_WORDS:
        raise BadValue(f"{len(said['words'])} letters were typed; {LONGEST_WORDS} fit. Shorten it.", field="words")
    try:
        since = units.parse_day(said["since"]) if said["since"] else None
    except OutlayError as wrong:
        raise BadValue(wrong.sentence, field="since") from wrong
    return Adopted(table=table, edition=edition, since=since, words=said["words"])


def _refuse_twice(one: Adopted, others: list[Adopted]) -> None:
    if any((each.table, each.since) == (one.table, one.since) for each in others):
        raise BadValue("Two editions of one table begin on the same day. Change one of the days.", field="since")


def _text(form: FormData, name: str) -> str:
    said = form.get(name, "")
    return " ".join(said.replace("\x00", "").split())[:1_000] if isinstance(said, str) else ""
