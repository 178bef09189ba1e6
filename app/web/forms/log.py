"""What the daily log's forms may send: who, on which day, at which task, how many hours."""

from collections.abc import Mapping
from typing import Any

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.errors import BadValue, OutlayError
from app.domain.job import PERCENTS, RESULTS
from app.domain.joblog import quarters_of
from app.domain.joblog.bid import place_of
from app.domain.joblog.delays import WHOSE, half_days_of
from app.web.forms.fields import Field, Group, Parsed, Texts, choice, day, money, text, yes
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


def _degrees(typed: str, _firm: Firm) -> int:
    plain = typed.replace("−", "-").replace("°", "").strip()
    if not plain.removeprefix("-").isdecimal() or len(plain) > MOST_DIGITS:
        raise BadValue(f"“{typed}” is no temperature. Type whole degrees: 74.")
    return int(plain)


MOST_DIGITS = 4
NOTE = text("words", "A few words", most=300)
WEATHER = (
    day("day", "Day", required=True),
    text("sky", "Weather", most=40),
    Field(name="degrees", label="Temperature", reader=_degrees),
    NOTE,
)
DELAY = (
    day("day", "Day", required=True),
    text("cause", "What held it up", most=40),
    choice("whose", "Whose it is", list(WHOSE)),
    Field(name="half_days", label="Days lost", reader=lambda typed, _firm: half_days_of(typed), empty=0),
    Field(name="quarters", label="Hours that people waited", reader=lambda typed, _firm: quarters_of(typed), empty=0),
    NOTE,
)
VISIT = (
    day("day", "Day", required=True),
    Field(name="who", label="Who came", reader=NAME, required=True),
    text("what", "What it was about", most=200),
    yes("inspection", "An inspection"),
    choice("result", "What came of it", list(RESULTS)),
    text("inspects", "Inspection of the schedule", most=120),
    NOTE,
)
RECEIPT = (
    day("day", "Day", required=True),
    money("amount", "Amount", required=True),
    text("merchant", "Merchant", most=80),
    text("material", "What was bought", most=80),
    text("batch", "Batch", most=60),
    text("zone", "Zone", most=MOST_NAME),
    NOTE,
)
RECEIPT_KEPT = tuple(money("cents", "Amount", required=True) if one.name == "amount" else one for one in RECEIPT)
