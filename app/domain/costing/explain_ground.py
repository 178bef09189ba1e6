"""Where a measured place or level comes from: tapes with what each misses by, the rod from benchmark to mark.

Named `mark:ID:right`, `mark:ID:up`, `mark:ID:known`, `mark:ID:level`, `setup:ID:height`, `zone:ID:ground`,
`zone:ID:cut`, `zone:ID:fill`, `zone:ID:lowest`, `zone:ID:highest`.
"""

from collections.abc import Iterator

from app.domain.job import Alternative, Job, Mark
from app.domain.plan.levels import compass_word, finish_level
from app.domain.plan.outline import segments
from app.domain.plan.surface import GroundFall, cut_and_fill, ground_fall
from app.domain.takeoff.ground import ground_of, leveling_of, mark_names, survey_of
from app.domain.takeoff.trace import Trace, number_text
from app.domain.units import format_length, format_slope

TAPED = "the place that fits all tapes best (least squares)"
KNOWN = "its standard deviation in the worst direction, were each tape good to 1/4 in"
SPOTS = "the ground as flat triangles between spot levels"


def mark_measured(job: Job, key: str, what: str) -> Trace | None:
    """How a mark's place or level came about; None for what is not known."""
    mark = next((one for one in job.marks if str(one.id) == key), None)
    if mark is None:
        return None
    if what == "level":
        return _level(job, mark)
    placed = survey_of(job).places.get(key)
    if placed is None or what not in {"right", "up", "known"}:
        return None
    if what == "known":
        label = f"How well the place of {mark.title} is known"
        return _trace(label, KNOWN, "", placed.deviation, "ft", steps=tuple(_tapes(job, key)))
    feet = placed.at[0] if what == "right" else placed.at[1]
    label = f"{mark.title}, {'right of' if what == 'right' else 'up from'} the datum"
    if placed.typed:
        return _trace(label, "as typed", "", feet, "ft")
    return _trace(label, TAPED, "", feet, "ft", steps=tuple(_tapes(job, key)))


def _tapes(job: Job, key: str) -> Iterator[Trace]:
    names = mark_names(job)
    for tape in survey_of(job).tapes:
        if key in {tape.mark, tape.start} and tape.misfit is not None:
            other = names[tape.start if tape.mark == key else tape.mark]
            said = f"misses by {format_length(tape.misfit, sixteenths=True)}"
            said = f"left out; {said}" if tape.left_out else said
            yield _trace(f"Tape between {other} and {names[key]}", said, "", tape.length, "ft")


def _level(job: Job, mark: Mark) -> Trace | None:
    leveling, names = leveling_of(job), mark_names(job)
    found = leveling.levels.get(str(mark.id))
    if found is None:
        return None
    label = f"Level of {names[str(mark.id)]}"
    setups = {str(one.id): one for one in job.level_setups}
    steps = []
    for key, level in found.read.items():
        setup, height = setups[key], leveling.heights[key]
        filled = f"{number_text(height)} − {number_text(height - level)}"
        steps.append(_trace(f"Read from {setup.title}", "height of the instrument − rod", filled, level, "ft"))
    if found.typed:
        return _trace(label, "as typed", "", found.level, "ft", steps=tuple(steps))
    how = "benchmark + backsight − foresight" + (", shared over what was read twice" if leveling.shared else "")
    return _trace(label, how, "", found.level, "ft", steps=tuple(steps))


def setup_measured(job: Job, key: str, what: str) -> Trace | None:
    """How high the instrument stood: the level of a mark and the rod read on it; None for what is not known."""
    setup = next((one for one in job.level_setups if str(one.id) == key), None)
    leveling = leveling_of(job)
    if setup is None or what != "height" or key not in leveling.heights:
        return None
    height, benchmark = leveling.heights[key], leveling.levels.get(str(setup.benchmark_id))
    label = f"Height of the instrument, {setup.title}"
    if benchmark is None or setup.backsight is None:
        return _trace(label, "level of a mark that was read + rod", "", height, "ft")
    filled = f"{number_text(benchmark.level)} + {number_text(setup.backsight)}"
    shared = ", shared over what was read twice" if leveling.shared else ""
    return _trace(
        label, f"level of {mark_names(job)[str(setup.benchmark_id)]} + rod there{shared}", filled, height, "ft"
    )


def ground_measured(job: Job, way: Alternative, what: str) -> Trace | None:
    """How the fall of the ground under a zone, or the earth between it and the finish, came about."""
    if what in {"lowest", "highest"}:
        return _corner(way, what)
    surface = ground_of(job)
    ground = ground_fall(surface, way.outline) if way.outline else None
    if ground is None or way.outline is None:
        return None
    if what == "ground":
        return _ground(job, ground)
    if way.level is None or what not in {"cut", "fill"}:
        return None
    earth = cut_and_fill(surface, lambda point: finish_level(way, point), way.outline)
    told = f"{SPOTS}, {'above' if what == 'cut' else 'below'} the finish, over the outline; in place, without base"
    return _trace(what.capitalize(), told, "", earth.cut if what == "cut" else earth.fill, "cu ft")


def _corner(way: Alternative, what: str) -> Trace | None:
    """The lowest or highest corner of a finish, with the level of every corner."""
    corners = [(piece.start, finish_level(way, piece.start)) for piece in segments(way.outline)] if way.outline else []
    levels = {at: level for at, level in corners if level is not None}
    if not levels:
        return None
    steps = tuple(
        _trace(f"Corner at {number_text(x)}, {number_text(y)}", "level − fall × way down the slope", "", level, "ft")
        for (x, y), level in levels.items()
    )
    found = min(levels.values()) if what == "lowest" else max(levels.values())
    return _trace(
        f"{what.capitalize()} corner of the finish", f"the {what} of its corners", "", found, "ft", steps=steps
    )


def _ground(job: Job, ground: GroundFall) -> Trace:
    toward = f", to the {compass_word(ground.bearing, job.site.north)}" if ground.bearing is not None else ""
    told = f"the plane that fits {SPOTS} best within the outline; they lie up to {format_length(ground.off)} off it"
    return _trace("Fall of the ground", told, f"{format_slope(ground.fall)}{toward}", ground.fall, "")


def _trace(label: str, told: str, filled: str, result: float, unit: str, *, steps: tuple[Trace, ...] = ()) -> Trace:
    return Trace(label=label, expression=told, filled=filled, result=result, unit=unit, source="", steps=steps)
