"""Changes told in words: what was made, changed or taken out, each field before and after with its form's label."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.documents.formats import Formats
from app.domain.basis import Basis
from app.domain.change import Edit
from app.domain.codec import from_plain, to_plain
from app.domain.errors import OutlayError
from app.domain.joblog import hours_text
from app.domain.joblog.delays import days_text
from app.domain.plan.measures import area as area_of
from app.domain.plan.outline import Outline
from app.web.forms.book import BOOK
from app.web.forms.things import FORMS

LENGTHS = {"length", "height", "thickness", "level", "access_width", "haul_distance", "curved_length", "drop", "gap"}
LENGTHS |= {"x", "y", "backsight", "reading", "distance", "width"}
AREAS = {"area", "lot_area", "coverage_before"}
SLOPES = {"slope", "fall"}
OUTLINES = {"outline", "lot", "house"}
IN_PARTS: Mapping[str, Callable[[int], str]] = {"quarters": hours_text, "half_days": days_text}
CALLED = ("title", "name", "person", "words", "event", "material")  # by what a row is told, the first that it has
FEW_ROWS = 3  # are told whole
LONGEST_NAME = 40  # characters of a thing's name on the undo button
QUIET = {"position", "assembly_hash", "measured_on", "said_at"}
KINDS: Mapping[str, str] = {
    "job": "Job",
    "alternative": "Way to do a zone",
    "work": "Recipe",
    "existing": "Standing in the yard",
    "logged_hours": "Hours of the log",
    "said_done": "How far a task is",
    "logged_weather": "Weather",
    "logged_delay": "Delay",
    "logged_visit": "Visit",
    "logged_receipt": "Receipt",
    "level_setup": "Setup of the instrument",
    "unit_price": "Agreed unit price",
    "change_draft": "Change order, draft",
    "found_condition": "Found in the ground",
}
DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
OTHER_LABELS: Mapping[str, str] = {
    "parameters": "Numbers of the recipe",
    "year": "Year of pay",
    "finishes": "Finishes",
    "assembly": "Built as",
    "chosen_id": "Chosen",
    "under": "Below finished surfaces",
    "points": "Corner points",
    "rises": "Arcs",
    "openings": "Doors and gates",
    "private_lines": "Private lines",
    "thing": "What stands there",
    "owned": "Worksheet of our own machine",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What happened to one thing."""

    kind: str
    name: str
    happened: str  # made, changed, taken out
    fields: Sequence[tuple[str, str, str]]  # label, before, after


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """Tells edits with the formats, titles and names at hand."""

    fmt: Formats
    basis: Basis
    names: Mapping[str, str]

    def edits(self, edits: Sequence[Edit]) -> list[Told]:
        """Each edit in words; one that changed nothing a person set is left out."""
        told = [self._edit(edit) for edit in edits]
        return [one for one in told if one.fields or one.happened != "changed"]

    def _edit(self, edit: Edit) -> Told:
        happened = "taken out" if edit.after is None else "made" if edit.before is None else "changed"
        return Told(
            kind=KINDS.get(edit.kind, edit.kind.replace("_", " ").capitalize()),
            name=self.names.get(edit.thing_id, ""),
            happened=happened,
            fields=list(self._fields(edit)) if happened == "changed" else [],
        )

    def _fields(self, edit: Edit) -> Iterator[tuple[str, str, str]]:
        before, after = edit.before or {}, edit.after or {}
        for name in after:
            if name not in QUIET and before.get(name) != after[name]:
                was, now = _apart(before.get(name), after[name])
                yield label_of(edit.kind, name), self.words(name, was), self.words(name, now)

    def words(self, name: str, value: Any) -> str:
        """A plain value in words."""
        if value is None or value in ("", [], {}):
            return "nothing"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if name in OUTLINES:
            return self._outline(value)
        if isinstance(value, Mapping):
            return ", ".join(f"{key.replace('_', ' ')} {self.words(key, one)}" for key, one in value.items())
        if isinstance(value, list | tuple):
            return self._rows(value) if _are_rows(value) else self._list(name, value)
        return self._number(name, value) if isinstance(value, int | float) else self._text(name, str(value))

    def _number(self, name: str, value: float) -> str:
        if name.endswith("cents"):
            return self.fmt.money(int(value))
        if name in IN_PARTS:
            return IN_PARTS[name](int(value))
        for names, told in ((LENGTHS, self.fmt.length), (AREAS, self.fmt.area), (SLOPES, self.fmt.slope)):
            if name in names:
                return told(value)
        return self.fmt.number(value)

    def _text(self, name: str, value: str) -> str:
        if name.endswith("_id") or value in self.names:
            return self.names.get(value, "something taken out since")
        if name == "assembly" and value in self.basis.assemblies:
            return self.basis.assemblies[value].title
        if value in self.basis.materials:
            return self.basis.materials[value].title
        return self.fmt.day(value) if DAY.fullmatch(value) else value.replace("**", "^")

    def _list(self, name: str, value: Sequence[Any]) -> str:
        if name == "points":
            return f"{len(value)} points"
        return ", ".join(self.words(name, one) for one in value)

    def _rows(self, rows: Sequence[Mapping[str, Any]]) -> str:
        """Few rows with all that is set in them; of many how many they are and what the first are called."""
        if len(rows) <= FEW_ROWS:
            return "; ".join(self._row(row) for row in rows)
        called = [self.words("", name) for row in rows[:FEW_ROWS] if (name := _called(row))]
        return f"{len(rows)}: {', '.join(called)} and {len(rows) - len(called)} more" if called else f"{len(rows)}"

    def _row(self, row: Mapping[str, Any]) -> str:
        name = _called(row)
        told = (
            f"{key.removesuffix('_cents').replace('_', ' ')} {self.words(key, one)}"
            for key, one in row.items()
            if one and one != name and key not in QUIET
        )
        return " ".join(part for part in (name and self.words("", name), ", ".join(told)) if part)

    def _outline(self, value: Any) -> str:
        try:
            return f"an outline of {self.fmt.area(area_of(from_plain(value, Outline)))}"
        except OutlayError:
            return "an outline that cannot be measured"


def _are_rows(value: Sequence[Any]) -> bool:
    return all(isinstance(one, Mapping) for one in value)


def _called(row: Mapping[str, Any]) -> str:
    return next((str(row[name]) for name in CALLED if row.get(name)), "")


def _apart(before: Any, after: Any) -> tuple[Any, Any]:
    """Of two lists of rows those that only one has; anything else as it is."""
    if not (isinstance(before, list | tuple) and isinstance(after, list | tuple)):
        return before, after
    if not (_are_rows(before) and _are_rows(after)):
        return before, after
    gone, came = [one for one in before if one not in after], [one for one in after if one not in before]
    return (gone, came) if gone or came else (before, after)


def what_of(kind: str, now: object, values: Mapping[str, Any], fallback: str) -> str:
    """What saving values over a thing as it is now changes, in a few words for the undo button and the history.

    >>> what_of("site", None, {}, "Site")
    'Site'
    """
    if now is None:
        return fallback
    known, plain = to_plain(now), to_plain(values)
    labels = list(dict.fromkeys(label_of(kind, name) for name in plain if known.get(name) != plain[name]))
    if not labels:
        return fallback
    name = name_of(kind, known)
    told = labels[0] if len(labels) == 1 else f"{labels[0]} and {_small(labels[1])}"
    more = f" and {len(labels) - 1} more" if len(labels) > 2 else ""
    told = f"{labels[0]}{more}" if more else told
    return f"{name}: {_small(told)}" if name else told


def name_of(kind: str, known: Mapping[str, Any]) -> str:
    """What a thing is called in the undo button; empty where its fields' labels say it all."""
    if kind in {"job", "client", "site", "firm"}:
        return ""
    found = next(
        (str(known[name]) for name in ("title", "person", "words", "event", "role", "caption") if known.get(name)), ""
    )
    return found if len(found) <= LONGEST_NAME else f"{found[: LONGEST_NAME - 1].rstrip()}…"


def _small(label: str) -> str:
    """A label within a sentence: its first letter small, unless it begins with a word in capitals."""
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]


def label_of(kind: str, name: str) -> str:
    """The label a form shows for a field."""
    for field in (*FORMS.get(kind, ()), *BOOK.get(kind, ())):
        if field.name == name and field.label:
            return field.label
    return OTHER_LABELS.get(name, name.removesuffix("_cents").replace("_", " ").capitalize())
