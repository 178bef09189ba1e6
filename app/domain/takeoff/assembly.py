"""An assembly compiled against a basis: formulas checked, parameters in the order of need, includes resolved.

Compiling returns what can be worked out and findings for what cannot: one wrong formula does not hide the others.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any, Literal, TypeVar

import msgspec

from app.domain.basis import Assembly, Basis, Include, Material, Parameter, Part, Task, TaskUse
from app.domain.errors import OutlayError, UnknownAssembly
from app.domain.findings import Finding, Severity
from app.domain.keeping import BoundedByIdentity, BoundedCache
from app.domain.takeoff.buying import buying_words, constant, coverage_of, trade_unit, wanted_dimensions
from app.domain.takeoff.compiled import Chosen, CompiledAssembly, CompiledInclude, CompiledParameter, CompiledPiece
from app.domain.takeoff.formula import Formula, fits, formula
from app.domain.takeoff.kind import Kind, Special, said
from app.domain.takeoff.parameters import ParameterKinds, in_order_of_need
from app.domain.takeoff.tree import DimensionMismatch, FormulaRefused, Scope, nearest
from app.domain.takeoff.vocabulary import PLACE_WORDS
from app.domain.trades.functions import FUNCTIONS
from app.domain.units import LENGTH, RATIO, Dimension

T = TypeVar("T")
DEEPEST_INCLUDE = 5


NOTHING_CHOSEN = Chosen()


@dataclass(frozen=True, slots=True, eq=False)
class _Own:
    """An assembly compiled with its own parameters; and what those that are set otherwise are checked against."""

    compiled: CompiledAssembly
    parameters: Mapping[str, CompiledParameter]
    scope: Scope


_OWN: BoundedCache[bytes, _Own] = BoundedCache(512)
_SET: BoundedCache[tuple[bytes, tuple[tuple[str, str], ...]], CompiledAssembly] = BoundedCache(4096)


def compile_assembly(assembly: Assembly, basis: Basis, chosen: Chosen = NOTHING_CHOSEN) -> CompiledAssembly:
    """Compile an assembly with a basis' assemblies, materials and tasks. What is wrong stands in its findings.

    Kept by the content of all it rests on, the 512 used last. A parameter that is set otherwise is checked by itself;
    every other formula stays what it is.
    """
    key = _content(assembly, basis, chosen)
    own = _OWN.get_or_make(key, lambda: _Compiler(basis, chosen, ()).own(assembly))
    if not chosen.parameters:
        return own.compiled
    settings = tuple(sorted(chosen.parameters.items()))
    return _SET.get_or_make((key, settings), lambda: _Compiler(basis, chosen, ()).set_otherwise(own))


def check_assembly(assembly: Assembly, basis: Basis) -> tuple[Finding, ...]:
    """Everything that would keep an assembly from being taken off, each as a sentence with its place."""
    return compile_assembly(assembly, basis).findings


@dataclass(frozen=True, slots=True)
class _Content:
    """All that an assembly is compiled from, as bytes; the basis it was looked up in, and what was found there."""

    basis: Basis
    finishes: Mapping[str, str]
    closure: list[object]
    content: bytes


_CONTENTS: BoundedByIdentity[Assembly, _Content] = BoundedByIdentity(512)


def _content(assembly: Assembly, basis: Basis, chosen: Chosen) -> bytes:
    """The content of all an assembly is compiled from, kept while those are the very same values."""
    kept = _CONTENTS.get(assembly)
    if kept is not None and kept.finishes != chosen.finishes:
        kept = None
    if kept is not None and kept.basis is basis:
        return kept.content
    closure = list(_closure(assembly, basis, chosen, 0))
    if kept is not None and [*map(id, kept.closure)] == [*map(id, closure)]:
        content = kept.content
    else:
        content = msgspec.json.encode((chosen.finishes, closure), order="deterministic")
    _CONTENTS.keep(assembly, _Content(basis, dict(chosen.finishes), closure, content))
    return content


def _closure(assembly: Assembly, basis: Basis, chosen: Chosen, depth: int) -> Iterator[object]:
    """Everything a compiled assembly is made from, itself and what it includes."""
    yield assembly
    for part in assembly.parts:
        yield basis.materials.get(chosen.finishes.get(part.role, part.material))
    for use in assembly.tasks:
        yield basis.tasks.get(use.task)
    for include in assembly.includes:
        inner = basis.assemblies.get(include.assembly)
        if inner is not None and depth < DEEPEST_INCLUDE:
            yield from _closure(inner, basis, chosen, depth + 1)


class _Compiler:
    """Compiles one assembly; `outer` are the keys of those it is included by."""

    def __init__(self, basis: Basis, chosen: Chosen, outer: tuple[str, ...]) -> None:
        self.basis = basis
        self.chosen = chosen
        self.outer = outer
        self.findings: list[Finding] = []
        self.title = ""
        self.where = ""

    def own(self, assembly: Assembly) -> _Own:
        """The assembly as its recipe has it."""
        self.title = assembly.title or assembly.key
        self.where = f"assembly:{assembly.key}"
        materials = [self._material(part) for part in assembly.parts]
        filled: dict[str, Material | None] = {}
        for part, material in zip(assembly.parts, materials, strict=True):
            filled.setdefault(part.role, material)
        kinds = ParameterKinds(assembly, self._role_scope(filled))
        parameters = self._parameters(assembly, kinds)
        scope, order = kinds.scope, self._in_order(parameters)
        includes = [self._include(include, assembly, scope) for include in assembly.includes]
        pieces = [self._part(*pair, scope) for pair in zip(assembly.parts, materials, strict=True)]
        pieces += [self._task(use, scope) for use in assembly.tasks]
        mass, in_drawing = assembly.drawing.mass, "Height in the drawing"
        height = self._try("", lambda: formula(mass, scope, wanted=LENGTH, place=in_drawing)) if mass else None
        compiled = CompiledAssembly(
            key=assembly.key,
            title=self.title,
            measures=assembly.measures,
            parameters=order,
            includes=tuple(one for one in includes if one),
            pieces=tuple(one for one in pieces if one),
            constants=_constants(filled),
            findings=tuple(self.findings),
            height=height,
        )
        return _Own(compiled, parameters, scope)

    def set_otherwise(self, own: _Own) -> CompiledAssembly:
        """The assembly with the parameters that are set on a work."""
        compiled = own.compiled
        self.title, self.where = compiled.title, f"assembly:{compiled.key}"
        self.findings = list(compiled.findings)
        parameters = dict(own.parameters)
        for name, text in self.chosen.parameters.items():
            self._override(parameters, name, text, own.scope)
        return replace(compiled, parameters=self._in_order(parameters), findings=tuple(self.findings))

    def _say(self, sentence: str, *, remedy: str = "") -> None:
        self.findings.append(
            Finding(
                rule="recipe",
                severity=Severity.STOP,
                where=self.where,
                what=f"{self.title}: {sentence}",
                remedy=remedy or "Correct the recipe, or choose another material, task or parameter.",
            )
        )

    def _material(self, part: Part) -> Material | None:
        key = self.chosen.finishes.get(part.role, part.material)
        material = self.basis.materials.get(key)
        if key and material is None:
            self._say(f"{part.role} is filled with “{key}”, which is in no book.{nearest(key, self.basis.materials)}")
        return material

    def _role_scope(self, filled: Mapping[str, Material | None]) -> tuple[Mapping[str, Kind], Mapping[str, Kind]]:
        """What one unit of each role covers and the dimension of its thickness, as far as roles are filled.

        A role that nothing fills yet is taken to cover an area; it is checked again when it is filled.
        """
        coverage: dict[str, Kind] = {}
        for role, material in filled.items():
            covered = None
            try:
                covered = coverage_of(material) if material else None
            except OutlayError as wrong:
                self._say(f"{role}: {wrong.sentence}")
            coverage[role] = covered[1] if covered else LENGTH * LENGTH
        return coverage, dict.fromkeys(filled, LENGTH)

    def _parameters(self, assembly: Assembly, kinds: ParameterKinds) -> dict[str, CompiledParameter]:
        for name in assembly.parameters:
            self._try("", lambda name=name: kinds.resolve(name))  # type: ignore[misc]
        return {name: one for name in kinds.done if (one := self._bounded(kinds, assembly.parameters[name], name))}

    def _in_order(self, parameters: Mapping[str, CompiledParameter]) -> tuple[CompiledParameter, ...]:
        order = self._try("", lambda: in_order_of_need(parameters))
        return tuple(parameters[name] for name in order or ())

    def _bounded(self, kinds: ParameterKinds, parameter: Parameter, name: str) -> CompiledParameter | None:
        found = kinds.done[name]
        kind = RATIO if found.kind is Special.ANY else found.kind

        def bound(text: str, label: str) -> Formula | None:
            place = f"{parameter.label}, {label}"
            return self._try("", lambda: formula(text, kinds.scope, wanted=kind, place=place)) if text else None

        return CompiledParameter(
            name=name,
            label=parameter.label or name,
            formula=found,
            kind=kind,
            least=bound(parameter.least, "least"),
            most=bound(parameter.most, "most"),
            source=parameter.source,
        )

    def _override(self, compiled: dict[str, CompiledParameter], name: str, text: str, scope: Scope) -> None:
        own = compiled.get(name)
        if own is None:
            self._say(f"“{name}” is set on this job, but the recipe has no such parameter.{nearest(name, compiled)}")
            return
        changed = self._try("", lambda: formula(text, scope, wanted=own.kind, place=own.label))
        if changed:
            compiled[name] = replace(own, formula=changed, source="set on this job")
        else:
            del compiled[name]  # never the recipe's own value where the job said something else

    def _include(self, include: Include, assembly: Assembly, scope: Scope) -> CompiledInclude | None:
        inner = self._try("", lambda: self._included(include.assembly, assembly))
        if inner is None:
            return None
        compiler = _Compiler(self.basis, self.chosen, (*self.outer, assembly.key))
        compiled = compiler.own(inner).compiled
        self.findings += [replace(f, what=f"{self.title}: {f.what}", where=self.where) for f in compiled.findings]
        known = {parameter.name: parameter for parameter in compiled.parameters}
        passes: list[tuple[str, Formula]] = []
        for name, text in include.passes.items():
            if name not in known:
                self._say(f"{inner.title} has no parameter “{name}”.{nearest(name, known)}")
                return None
            kind, place = known[name].kind, f"{inner.title}, {known[name].label}"
            passed = self._try("", lambda t=text, k=kind, p=place: formula(t, scope, wanted=k, place=p))  # type: ignore[misc]
            if passed is None:
                return None
            passes.append((name, passed))
        when = self._when(include.when, inner.title, scope)
        return None if when is False else CompiledInclude(replace(compiled, findings=()), tuple(passes), when)

    def _included(self, key: str, assembly: Assembly) -> Assembly:
        inner = self.basis.assemblies.get(key)
        chain = (*self.outer, assembly.key)
        if inner is None:
            raise UnknownAssembly(f"it includes “{key}”, which is not known.{nearest(key, self.basis.assemblies)}")
        if key in chain:
            raise FormulaRefused(f"it includes itself: {' → '.join((*chain, key))}.")
        if len(chain) >= DEEPEST_INCLUDE:
            raise FormulaRefused(f"{' → '.join((*chain, key))} is nested more than {DEEPEST_INCLUDE} deep.")
        if inner.measures != assembly.measures:
            one, other = PLACE_WORDS[inner.measures], PLACE_WORDS[assembly.measures]
            raise FormulaRefused(f"it is built on {other} and includes {inner.title}, which is built on {one}.")
        return inner

    def _part(self, part: Part, material: Material | None, scope: Scope) -> CompiledPiece | None:
        label = part.role.capitalize()
        amount = self._try(label, lambda: formula(part.amount, scope))
        when = self._when(part.when, label, scope)
        if amount is None or when is False:
            return None
        dimension = self._try(label, lambda: _buyable(amount, material))
        if dimension is None:
            return None
        own_loss = material.loss if material else 0.0
        loss = own_loss if part.loss is None else part.loss
        if not (0 <= loss < 1 and 0 <= part.keep < 1):
            self._say(f"{label}: loss {loss:g} and keep {part.keep:g} must be shares from 0 to 1; 8% is 0.08.")
            return None
        return CompiledPiece(
            is_task=False,
            key=material.key if material else "",
            role=part.role,
            label=material.title if material else label,
            amount=amount,
            dimension=dimension,
            when=when,
            loss=loss,
            keep=part.keep,
            source=material.source if material else "",
        )

    def _task(self, use: TaskUse, scope: Scope) -> CompiledPiece | None:
        task: Task | None = self.basis.tasks.get(use.task)
        if task is None:
            self._say(f"task “{use.task}” is not known.{nearest(use.task, self.basis.tasks)}")
            return None
        wanted = self._try(task.title, lambda: trade_unit(task.unit).dimension)
        when = self._when(use.when, task.title, scope)
        if wanted is None or when is False:
            return None
        amount = self._try("", lambda: formula(use.amount, scope, wanted=wanted, place=task.title))
        if amount is None:
            return None
        return CompiledPiece(
            is_task=True,
            key=task.key,
            role="",
            label=task.title,
            amount=amount,
            dimension=wanted,
            when=when,
            source=task.source,
        )

    def _when(self, text: str, label: str, scope: Scope) -> Formula | Literal[False] | None:
        """The checked condition; None where there is none; False where it is wrong, which is said."""
        if not text:
            return None
        return self._try(label, lambda: formula(text, scope)) or False

    def _try(self, label: str, work: Callable[[], T]) -> T | None:
        try:
            return work()
        except OutlayError as wrong:
            self._say(f"{label}: {wrong.sentence}" if label else wrong.sentence)
            return None


def _buyable(amount: Formula, material: Material | None) -> Dimension:
    """The dimension of a part's amount, which its material must be bought in. Raises: DimensionMismatch."""
    kind = amount.kind
    if kind is Special.TRUTH:
        raise DimensionMismatch(f"{amount.source} is true or false; an amount is wanted.")
    if material is None:
        return kind if isinstance(kind, Dimension) else RATIO
    wanted = wanted_dimensions(material)
    for dimension in wanted:
        if fits(kind, dimension):
            return dimension
    raise DimensionMismatch(f"{amount.source} gives {said(kind)}; {buying_words(material)}.")


def _constants(filled: Mapping[str, Material | None]) -> Mapping[str, Any]:
    """`thickness_of` and `coverage_of` of the roles filled with materials that say so, and the trades' functions."""
    found: dict[str, Any] = {name: one.work for name, one in FUNCTIONS.items()}
    for role, material in filled.items():
        said_of = {"thickness_of": material.thickness, "coverage_of": material.coverage} if material else {}
        for function, text in said_of.items():
            with suppress(OutlayError):  # said where the role's kinds are found
                if text:
                    found[f"{function}('{role}')"] = constant(text)[0]
    return found
