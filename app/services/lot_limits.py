"""Setbacks and easements as the Site sheet lists them: lot lines to name, rows in words, what each takes of the lot."""

from dataclasses import dataclass

from app.domain.checks.setbacks import said_of
from app.domain.job import LIMITED, Easement, Job, Setback
from app.domain.plan.arcs import Point
from app.domain.plan.lot_lines import line_at
from app.domain.plan.pieces import point_at
from app.domain.takeoff.lot_limits import LineOfLot, easement_ground, lot_lines


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedLine:
    """A lot line with its middle, by which it is named."""

    own: LineOfLot
    middle: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class EasementLine:
    """An easement with the number in the list of the lot line it runs along; its ground [sq ft], None: not known."""

    easement: Easement
    along: int | None
    area: float | None
    allows: str


def named_lines(job: Job) -> tuple[NamedLine, ...]:
    """The lines of the lot, counterclockwise."""
    return tuple(NamedLine(own=one, middle=point_at(one.line, 0.5)) for one in lot_lines(job))


def setback_rows(job: Job) -> tuple[tuple[Setback, str], ...]:
    """Every setback with what it is of, in words."""
    return tuple((one, said_of(one)) for one in job.setbacks)


def easement_lines(job: Job) -> tuple[EasementLine, ...]:
    """Every easement with where it lies."""
    return tuple(_easement(job, one) for one in job.easements)


def _easement(job: Job, one: Easement) -> EasementLine:
    ground, lot = easement_ground(job.site.lot, one), job.site.lot
    along = line_at(lot, one.at) if lot is not None and one.at is not None and one.outline is None else None
    return EasementLine(
        easement=one,
        along=along,
        area=None if ground is None else ground.area,
        allows=", ".join(LIMITED[key].lower() for key in one.allows if key in LIMITED),
    )
