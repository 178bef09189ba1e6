"""The table of points as it was typed: what differs from what was shown, row by row, as edits of points and edges.

Inputs `p.ROW.x`, `.y`, `.length`, `.direction`, `.side`, `.rise`, `.radius`; `was.ROW` holds the seven texts as they
were shown, so that what nobody typed over is never read and never moves. `outward` is 1, or -1 where the outline's
points run clockwise. `do` names one action more: `insert:ROW` or `remove:ROW`.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import Firm
from app.domain.errors import BadValue, OutlayError
from app.services.reshaping import PointEdit
from app.web.forms.fields import Parsed, Texts
from app.web.forms.outlines import degrees

PARTS = ("x", "y", "length", "direction", "side", "rise", "radius")
ACTIONS = ("insert", "remove")
BENDS: Mapping[str, int] = {"out": 1, "right": 1, "in": -1, "left": -1}
MOST_ROWS = 500
LONGEST = 60  # characters of one cell
LONGEST_NUMBER = 4
NOT_READ = "This cannot be read as typed. Look at it again."


@dataclass(frozen=True, slots=True)
class _Row:
    """A row with the parts of it that were typed over."""

    place: int
    texts: Mapping[str, str]
    typed: Mapping[str, str]
    firm: Firm

    def name(self, part: str) -> str:
        """The name of a cell in the form."""
        return f"p.{self.place}.{part}"

    def length(self, part: str, *, signed: bool = False) -> float:
        return units.parse_length(self.typed[part], system=self.firm.system, signed=signed).feet


def read_points(form: FormData, firm: Firm) -> Parsed:
    """The edits that a form of points asks for, under `edits`; sentences beside the cells that are not understood."""
    outward = -1 if form.get("outward") == "-1" else 1
    typed, errors = Texts(), Texts()
    edits: list[PointEdit] = []
    for row in _rows(form, firm):
        typed.update({f"p.{row.place}.{part}": text for part, text in row.texts.items()})
        for part in row.typed:
            try:
                edits += _edits(row, part, outward)
            except OutlayError as wrong:
                errors[f"p.{row.place}.{part}"] = wrong.sentence
            except ValueError:
                errors[f"p.{row.place}.{part}"] = NOT_READ
    return Parsed(values={"edits": [*edits, *_action(form)]}, errors=errors, typed=typed)


def _rows(form: FormData, firm: Firm) -> Iterator[_Row]:
    for place in range(MOST_ROWS):
        shown = form.get(f"was.{place}")
        if not isinstance(shown, str):
            return
        was = dict(zip(PARTS, shown.split("|"), strict=False))
        texts = {part: str(form.get(f"p.{place}.{part}", was.get(part, "")))[:LONGEST].strip() for part in PARTS}
        typed = {part: text for part, text in texts.items() if text != was.get(part, "") and text}
        yield _Row(place, texts, typed, firm)


def _edits(row: _Row, part: str, outward: int) -> Iterator[PointEdit]:
    """The edit of one cell; a cell that goes with another one is read with it."""
    place = row.place
    if part in {"x", "y"}:
        moved = row.length(part, signed=True)
        yield PointEdit(
            what="move",
            place=place,
            x=moved if part == "x" else None,
            y=moved if part == "y" else None,
            field=row.name(part),
        )
    elif part == "length":
        yield PointEdit(what="length", place=place, amount=row.length(part), field=row.name(part))
    elif part == "direction":
        angle = degrees(part, "Direction").reader(row.typed[part], row.firm)
        yield PointEdit(what="direction", place=place, amount=angle, field=row.name(part))
    else:
        yield from _bent(row, part, outward)


def _bent(row: _Row, part: str, outward: int) -> Iterator[PointEdit]:
    side = row.texts["side"]
    if side not in BENDS:
        if part == "side":
            yield PointEdit(what="straight", place=row.place, field=row.name(part))
            return
        side = "out"  # a rise or radius typed at a straight edge bends it outward, or to the right
    way = BENDS[side] * outward
    if part == "radius":
        yield PointEdit(what="radius", place=row.place, amount=way * row.length("radius"), field=row.name(part))
    elif part == "rise":
        yield PointEdit(what="rise", place=row.place, amount=way * row.length("rise"), field=row.name(part))
    elif not {"rise", "radius"} & row.typed.keys():
        known = row.texts["rise"]
        rise = units.parse_length(known, system=row.firm.system).feet if known else 0.0
        if not rise:
            raise BadValue("Type how far the arc rises, or its radius.")
        yield PointEdit(what="rise", place=row.place, amount=way * rise, field=row.name(part))


def _action(form: FormData) -> list[PointEdit]:
    name, _, row = str(form.get("do", "")).partition(":")
    known = name in ACTIONS and row.isdecimal() and len(row) <= LONGEST_NUMBER
    return [PointEdit(what=name, place=int(row))] if known else []
