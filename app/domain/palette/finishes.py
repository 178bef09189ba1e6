"""The palette as the client sees it: each finish that is a surface or is seen, where it lies, whether it is chosen."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.domain.basis import Basis, Material
from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import Line
from app.domain.job import Job, PlaceKind, Work
from app.domain.plan import area

PLANTED = "planting"  # the hatch of what is seen as plants, whatever lies between them
MULCH = "mulch"


@dataclass(frozen=True, slots=True, kw_only=True)
class Swatch:
    """A finish in the palette: where it lies, how much of it, whether it is chosen."""

    title: str
    color: str
    hatch: str
    letters: tuple[str, ...]
    share: float
    chosen: bool
    lead_days: int


def finishes_named(basis: Basis, worked: Estimate, work: Work) -> tuple[str, ...]:
    """The finishes a work is named by: its surface and what is seen of it. A planted work is seen as its plants."""
    assembly = basis.assemblies.get(work.assembly)
    planted = assembly is not None and assembly.drawing.hatch == PLANTED
    own = (line for line in worked.lines if line.work_id == str(work.id) and line.kind == "material")
    found = (basis.materials[line.key] for line in own if line.key in basis.materials)
    seen = (material for material in found if material.finish and not (planted and material.role == MULCH))
    return tuple(dict.fromkeys(material.title for material in seen))


def _lies_around(job: Job, line: Line) -> bool:
    """Whether a line is the mulch around one tree or shrub: too little of it to be a finish of its zone."""
    at_a_point = {str(work.id) for work in job.works if work.place is PlaceKind.FEATURE}
    return line.work_id in at_a_point


def palette(job: Job, basis: Basis, worked: Estimate) -> tuple[Swatch, ...]:
    """The finishes of a job, each once, the most of it first; the share is by what each covers or weighs in cost."""
    by_material: dict[str, list[Line]] = {}
    for line in worked.lines:
        material = basis.materials.get(line.key) if line.kind == "material" else None
        if material is None or not material.finish or (material.role == MULCH and _lies_around(job, line)):
            continue
        by_material.setdefault(line.key, []).append(line)
    covered = {key: _covered(job, basis.materials[key], lines) for key, lines in by_material.items()}
    whole = sum(covered.values()) or 1.0
    chosen = {choice.material for choice in job.choices}
    swatches = [
        Swatch(
            title=basis.materials[key].title,
            color=basis.materials[key].color or "#d9d2bf",
            hatch=basis.materials[key].hatch,
            letters=_letters_of(job, lines),
            share=covered[key] / whole,
            chosen=key in chosen,
            lead_days=basis.materials[key].lead_days,
        )
        for key, lines in by_material.items()
    ]
    return tuple(sorted(swatches, key=lambda swatch: (-swatch.share, swatch.title)))


def _covered(job: Job, material: Material, lines: Sequence[Line]) -> float:
    """Square feet of the zones a finish lies in, for a surface; a tenth of that for what only edges or stands there."""
    zones = {line.zone for line in lines}
    areas = [
        area(chosen.outline)
        for zone in job.zones
        if str(zone.id) in zones and (chosen := job.chosen(zone)) and chosen.outline
    ]
    return sum(areas) * (1.0 if material.role == "finish" else 0.1) or 1.0


def _letters_of(job: Job, lines: Sequence[Line]) -> tuple[str, ...]:
    zones = {line.zone for line in lines}
    return tuple(zone.letter for zone in job.zones if str(zone.id) in zones)
