"""Numbers of a recipe set for one job: typed as a length where one is wanted, else as a formula; checked when saved."""

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from uuid import UUID

from app.domain.basis import Assembly, Basis
from app.domain.errors import BadValue, NotFound, OutlayError
from app.domain.job import Work
from app.domain.takeoff.assembly import compile_assembly
from app.domain.takeoff.compiled import Chosen, CompiledAssembly, CompiledParameter
from app.domain.takeoff.formula import Formula
from app.domain.units import LENGTH, parse_length
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.work_numbers import shown, values_of
from app.services.zones import find, without

SAME = 1e-9  # canonical units
_THOUSANDS = re.compile(r"-?\d{1,3}(,\d{3})+(\.\d+)?")  # as the page itself writes them
_BELOW_ZERO = re.compile(r"-\s*(?=[\d.])")


def set_parameter(office: Office, job_id: UUID, work_id: UUID, name: str, typed: str, order: Order) -> Applied:
    """Set a number of a work's recipe; an empty text goes back to the recipe's own.

    Raises: NotFound; BadValue with a sentence where the text is no such amount or lies out of the recipe's bounds.
    """
    opened = jobs.open_job(office, job_id)
    work: Work = find(opened.job.works, work_id, "piece of work")
    assembly = opened.basis.assemblies.get(work.assembly)
    if assembly is None or name not in assembly.parameters:
        raise NotFound("This recipe has no such number (any more).")
    parameters = without(work.parameters, name)
    if typed:
        formula = formula_of(opened.basis, work, assembly, name, typed)
        parameters = {**parameters, name: formula}
    edit = changed("work", work.id, opened.version_read(order, "work", work.id), {"parameters": parameters})
    return jobs.save(office, job_id, (edit,), replace(order, what=assembly.parameters[name].label))


def formula_of(basis: Basis, work: Work, assembly: Assembly, name: str, typed: str) -> str:
    """The formula of what was typed for a parameter, checked against its dimension and bounds.

    Raises: BadValue.
    """
    own = _parameter(compile_assembly(assembly, basis, Chosen({}, work.finishes)), name)
    formula = typed.replace(",", "") if _THOUSANDS.fullmatch(typed.strip()) else typed
    if own is not None and own.kind == LENGTH:
        formula = _as_length(basis, formula) or formula
    tried = compile_assembly(assembly, basis, Chosen({**work.parameters, name: formula}, work.finishes))
    found = _parameter(tried, name)
    label = assembly.parameters[name].label
    if found is None:
        raise BadValue(f"{label}: {_why_not(tried, label, typed)}", field="formula")
    _check_bounds(tried, found, label, typed, basis)
    return formula


def _as_length(basis: Basis, typed: str) -> str:
    """A typed length as a formula in inches, also one below zero, so that its bounds speak of it; empty for others."""
    unit = "in" if basis.firm.system == "feet" else "cm"
    below = _BELOW_ZERO.match(typed.strip())
    with suppress(OutlayError):
        found = parse_length(typed.strip()[below.end() :] if below else typed, unit=unit, system=basis.firm.system)
        return f"{'-' if below else ''}{round(found.feet * 12, 6):.12g}*inch"
    return ""


def _parameter(compiled: CompiledAssembly, name: str) -> CompiledParameter | None:
    return next((one for one in compiled.parameters if one.name == name), None)


def _why_not(tried: CompiledAssembly, label: str, typed: str) -> str:
    said = next((finding.what.partition(": ")[2] for finding in tried.findings), "").removeprefix(f"{label}: ")
    return said or f"“{typed}” is not understood. Type an amount, such as 6 in, or a formula."


def _check_bounds(tried: CompiledAssembly, found: CompiledParameter, label: str, typed: str, basis: Basis) -> None:
    values, system = values_of(tried), basis.firm.system
    value = values.get(found.name)
    if value is None:
        return
    for bound, words, sign in ((found.least, "at least", 1), (found.most, "at most", -1)):
        limit = _limit(bound, values)
        if limit is not None and sign * (limit - value) > SAME:
            understood, allowed = shown(found, value, system), shown(found, limit, system)
            raise BadValue(f"{label}: “{typed}” is {understood}; this recipe takes {words} {allowed}.", field="formula")


def _limit(bound: Formula | None, values: Mapping[str, float]) -> float | None:
    """A bound as a number; None where there is none, or where it needs a measure of the place."""
    if bound is not None:
        with suppress(OutlayError):
            return bound.number(values)
    return None
