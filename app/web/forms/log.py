"""What the daily log's forms may send: who, on which day, at which task, how many hours."""

from collections.abc import Mapping
from typing import Any

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.errors import OutlayError
from app.domain.job import PERCENTS
from app.domain.joblog import quarters_of
from app.domain.joblog.bid import place_of
from app.web.forms.fields import Field, Group, Parsed, Texts, choice, day, text
from app.web.forms.fields.reading import Reader

MOST_NAME = 60  # characters


def quarters(name: str, label: str) -> Field:
    """Hours, typed as such and kept in quarters."""
    return Field(name=name, label=label, required=True, reader=lambda typed, _firm: quarters_of(typed))


def task_place(name: str) -> Group:
    """A task by where it was bid: one input, three values."""

    def reader(form: FormData, _firm: Firm) -> Parsed:
        typed = str(form.get(name, ""))[:200]
        try:
            values: Mapping[str, Any] = place_of(typed)._asdict()
        except OutlayError as wrong:
            return Parsed(errors=Texts({name: wrong.sentence}), typed=Texts({name: typed}))
        return Parsed(values=values, typed=Texts({name: typed}))

    return Group(name=name, label="Task", reader=reader)


def _name(typed: str, _firm: Firm) -> str:
    return " ".join(typed.split())[:MOST_NAME]


NAME: Reader = _name
HOURS = (
    day("day", "Day", required=True),
    Field(name="people", label="Who", reader=NAME, empty=(), many=True),
    Field(name="other", label="Somebody else", reader=NAME, empty=""),
    text("words", "What it was", most=300),
    quarters("hours", "Hours"),
)
WHERE = (Field(name="at", label="Task", reader=lambda typed, _firm: place_of(typed)),)
DONE = (choice("percent", "How far it is", [str(one) for one in PERCENTS], required=True),)
ENTRY = (
    day("day", "Day", required=True),
    Field(name="person", label="Who", reader=NAME, required=True),
    quarters("quarters", "Hours"),
    task_place("at"),
    text("words", "What it was", most=300),
)
