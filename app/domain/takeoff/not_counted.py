"""What keeps a work from being counted, as findings: nothing is left out without a word."""

from app.domain.basis import Assembly, Basis
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Work
from app.domain.takeoff.compiled import CompiledAssembly
from app.domain.takeoff.measures import Place
from app.domain.takeoff.tree import nearest
from app.domain.takeoff.vocabulary import PLACE_WORDS
from app.domain.takeoff.working_out import Problem, Taken


def not_counted(
    work: Work, place: Place, compiled: CompiledAssembly, taken: tuple[Taken, ...], problems: tuple[Problem, ...]
) -> tuple[Finding, ...]:
    """What keeps pieces of a work from being counted, what is out of its bounds, and what is not chosen yet."""
    where, title = f"work:{work.id}", f"{place.title}, {work.title or compiled.title}"
    found = [_finding(problem, where, title) for problem in problems]
    found.extend(
        Finding(
            rule=wrong.rule,
            severity=Severity.STOP,
            where=where,
            what=f"{place.title}: {wrong.what}",
            measured=wrong.what,
            remedy=wrong.remedy,
            stop=Stop.MONEY,
        )
        for wrong in compiled.findings
    )
    found.extend(
        Finding(
            rule="finish-missing",
            severity=Severity.STOP,
            where=where,
            what=f"{title}: no material is chosen for the {role}; it is not counted.",
            measured=role,
            remedy=f"Choose the {role}, or set an allowance for it.",
            stop=Stop.MONEY,
        )
        for role in dict.fromkeys(one.piece.role for one in taken if not one.piece.key)
    )
    return tuple(found)


def _finding(problem: Problem, where: str, title: str) -> Finding:
    warns = problem.rule == "out-of-bounds"
    return Finding(
        rule=problem.rule,
        severity=Severity.WARN if warns else Severity.STOP,
        where=where,
        what=f"{title}: {problem.sentence}",
        measured=problem.measured,
        limit=problem.limit,
        remedy=problem.remedy,
        stop=Stop.NONE if warns else Stop.MONEY,
    )


def unknown_assembly(work: Work, place: Place, basis: Basis) -> Finding:
    """A work whose recipe is not in the library."""
    return Finding(
        rule="assembly-missing",
        severity=Severity.STOP,
        where=f"work:{work.id}",
        what=f"{place.title}: the recipe “{work.assembly}” is not in the library; it is not counted."
        f"{nearest(work.assembly, basis.assemblies)}",
        remedy="Choose another recipe, or bring this one back.",
        stop=Stop.MONEY,
    )


def wrong_place(work: Work, place: Place, assembly: Assembly) -> Finding:
    """A work whose recipe is built on another kind of place."""
    one, other = PLACE_WORDS[assembly.measures], PLACE_WORDS[place.kind]
    return Finding(
        rule="wrong-place",
        severity=Severity.STOP,
        where=f"work:{work.id}",
        what=f"{place.title}: {assembly.title} is built on {one}, not on {other}; it is not counted.",
        remedy="Choose a recipe for this kind of place.",
        stop=Stop.MONEY,
    )
