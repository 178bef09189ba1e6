"""The layout sheet: the stake-out of a job in the words and numbers a crew tapes by. No money."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from app.documents.layout_drawing import layout_svg
from app.domain.basis import Basis
from app.domain.crew.border_stops import border_stops
from app.domain.crew.layout import drawn_things, fixed_points, stake_out
from app.domain.job import Job
from app.domain.plan.staking import Layout, Stake
from app.domain.units import System, format_length
from app.interchange.crew_words import crew_words
from app.interchange.library_file import Caution

CAUTIONS = ("dig",)
DRAWN_SAME = 1 / 64 / 12  # ft: points nearer than this were drawn at one place


@dataclass(frozen=True, slots=True, kw_only=True)
class StakeRow:
    """A stake in words: where it stands from the datum, from the baseline, by two tapes; its finish levels."""

    number: int
    of: tuple[str, ...]
    right: str
    up: str
    along: str
    off: str
    ties: tuple[tuple[str, str], ...]  # from what, how long
    side: str
    flat: bool
    merged: bool
    levels: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveRow:
    """An arc in words."""

    title: str
    stakes: str
    center: int
    radius: str
    length: str
    chord: str
    rise: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutPage:
    """A layout sheet in words. `drawing` is SVG; None of it is there while nothing is drawn."""

    stakes: tuple[StakeRow, ...]
    curves: tuple[CurveRow, ...]
    proofs: tuple[tuple[str, str, str], ...]  # of what, between which stakes, how long
    baseline: tuple[str, str] | None
    fixed: tuple[str, ...]
    datum: str
    drawing: str
    drawing_words: str
    cautions: tuple[Caution, ...]

    @property
    def flat(self) -> tuple[int, ...]:
        """Stakes whose tapes cross too flat to be trusted alone."""
        return tuple(row.number for row in self.stakes if row.flat)

    @property
    def merged(self) -> tuple[int, ...]:
        """Stakes that stand for points of several things which are not drawn quite at one place."""
        return tuple(row.number for row in self.stakes if row.merged)

    @property
    def untied(self) -> tuple[int, ...]:
        """Stakes that no two tapes reach."""
        return tuple(row.number for row in self.stakes if not row.ties)


def layout_page(job: Job, basis: Basis, library: Path) -> LayoutPage:
    """Put the stake-out of a job into words; without stakes, tables are empty and there is no drawing."""
    layout, system = stake_out(job, border_stops(job, basis)), basis.firm.system
    fixed = tuple(fixed_points(job))
    cautions = crew_words(library).cautions
    return LayoutPage(
        stakes=tuple(_row(layout, stake, system) for stake in layout.stakes),
        curves=tuple(_curves(layout, system)),
        proofs=tuple(
            (one.title, f"{one.from_stake} to {one.to_stake}", format_length(one.length, system))
            for one in layout.proofs
        ),
        baseline=(layout.baseline[0].title, layout.baseline[1].title) if layout.baseline else None,
        fixed=tuple(one.title for one in fixed),
        datum=job.site.datum,
        drawing=layout_svg(job, layout, drawn_things(job), fixed) if layout.stakes else "",
        drawing_words=f"Stake-out with {len(layout.stakes)} numbered stakes.",
        cautions=tuple(cautions[key] for key in CAUTIONS if key in cautions),
    )


def _row(layout: Layout, stake: Stake, system: System) -> StakeRow:
    station, ties = layout.stations.get(stake.number), layout.ties.get(stake.number)
    return StakeRow(
        number=stake.number,
        of=tuple(_whats(stake.of)),
        right=signed(stake.at[0], system),
        up=signed(stake.at[1], system),
        along=signed(station.along, system) if station else "",
        off=_off(station.off, system) if station else "",
        ties=(
            (
                (ties.first, format_length(ties.first_length, system)),
                (ties.second, format_length(ties.second_length, system)),
            )
            if ties
            else ()
        ),
        side=("left" if ties.left else "right") if ties else "",
        flat=ties.flat if ties else False,
        merged=stake.spread > DRAWN_SAME,
        levels=tuple(_levels(stake.levels, system)),
    )


def _whats(of: tuple[tuple[str, str], ...]) -> Iterator[str]:
    """What a stake is of, told once for each sort: `corner of A Terrace, B Kitchen`."""
    for what in dict.fromkeys(what for what, _ in of):
        titles = ", ".join(title for one, title in of if one == what)
        yield titles if what == "thing" else f"{what}: {titles}"


def _levels(levels: tuple[tuple[str, float], ...], system: System) -> Iterator[tuple[str, str]]:
    """Finish levels at a stake: once where all are the same, else each with what it is of."""
    shown = [(title, signed(level, system)) for title, level in levels]
    same = len({level for _, level in shown}) == 1
    yield from [("", shown[0][1])] if same else shown


def signed(feet: float, system: System) -> str:
    """A length that may lie on either side, with its sign."""
    shown = format_length(abs(feet), system)
    return f"−{shown}" if feet < 0 and shown != format_length(0.0, system) else shown


def _off(feet: float, system: System) -> str:
    shown = format_length(abs(feet), system)
    return shown if shown == format_length(0.0, system) else f"{shown} {'left' if feet > 0 else 'right'}"


def _curves(layout: Layout, system: System) -> Iterator[CurveRow]:
    for one in layout.curves:
        yield CurveRow(
            title=one.title,
            stakes=f"{one.from_stake} to {one.to_stake}",
            center=one.center,
            radius=format_length(one.radius, system),
            length=format_length(one.length, system),
            chord=format_length(one.chord, system),
            rise=format_length(one.rise, system),
        )
