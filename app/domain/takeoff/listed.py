"""What a plant list adds to the pieces of its bed's recipe, and what of the recipe it stands in for."""

from collections.abc import Iterator

from app.domain.takeoff.compiled import CompiledPiece
from app.domain.takeoff.formula import Formula, formula
from app.domain.takeoff.planted import PlantedBed, PlantedRow, is_planted
from app.domain.takeoff.trace import Trace
from app.domain.takeoff.tree import Scope
from app.domain.takeoff.working_out import Taken
from app.domain.units import RATIO

Piece = tuple[CompiledPiece, float]
PLACED = "placed one by one on the outline, half the spacing from its edge"


def counted(taken: tuple[Taken, ...], bed: PlantedBed | None) -> tuple[Taken, ...]:
    """The pieces of a recipe that are counted: without what it plants by shares, where its bed has a list."""
    if bed is None:
        return taken
    return tuple(one for one in taken if not is_planted(one.piece.key, one.piece.role, is_task=one.piece.is_task))


def listed_pieces(bed: PlantedBed | None) -> list[Piece]:
    """Plants by species and size, then the work of planting them, by task."""
    return [(piece, float(amount)) for piece, amount, _rows in _pieces(bed)]


def listed_traces(bed: PlantedBed | None) -> tuple[Trace, ...]:
    """How each amount of `listed_pieces` came about, in their order."""
    return tuple(_trace(piece, amount, rows) for piece, amount, rows in _pieces(bed))


def _pieces(bed: PlantedBed | None) -> Iterator[tuple[CompiledPiece, int, tuple[PlantedRow, ...]]]:
    known = [row for row in bed.rows if row.material and row.count] if bed else []
    for by_task in (False, True):
        groups: dict[str, tuple[PlantedRow, ...]] = {}
        for row in known:
            key = row.task if by_task else row.material
            groups[key] = (*groups.get(key, ()), row)
        for key, rows in groups.items():
            count = sum(row.count for row in rows)
            yield _piece(key, rows[0], _number(count), is_task=by_task), count, rows


def _piece(key: str, row: PlantedRow, amount: Formula, *, is_task: bool) -> CompiledPiece:
    if is_task:
        return CompiledPiece(True, key, "", row.task_title, amount, RATIO)
    return CompiledPiece(False, key, row.role, row.title, amount, RATIO, loss=row.loss)


def _number(count: int) -> Formula:
    return formula(str(count), Scope())


def _trace(piece: CompiledPiece, amount: int, rows: tuple[PlantedRow, ...]) -> Trace:
    filled = " + ".join(str(row.count) for row in rows)
    steps = tuple(
        Trace(
            label=row.title,
            expression=f"at {row.spacing * 12:.4g} in, {row.planting.pattern}",
            filled=str(row.count),
            result=float(row.count),
            unit="each",
            source=PLACED if row.planting.pattern != "placed" else "placed one by one by hand",
        )
        for row in rows
    )
    expression = "plants of the bed's list"
    return Trace(
        label=piece.label, expression=expression, filled=filled, result=float(amount), unit="each", steps=steps
    )
