"""The editions of recipes that jobs are written in: kept by the hash of their content, laid over the live library.

A job holds one edition of a recipe, whichever its works name, with all that it includes; a newer one of the library is
only offered (`app.services.editions`).
"""

from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import msgspec

from app.db.files import FileStore
from app.domain.basis import Assembly, Basis
from app.domain.change import Edit
from app.domain.job import Job, Work
from app.domain.keeping import BoundedCache
from app.domain.takeoff.edition import Edition, edition_bytes, edition_name, is_same, read_edition
from app.domain.takeoff.included import with_included
from app.services.office import Office

KEPT = 64


@dataclass(frozen=True, slots=True)
class _Known:
    """What was worked out of a basis while it stands: names by recipe, and whether a named edition is still its own."""

    basis: Basis
    names: dict[str, str] = field(default_factory=dict)
    same: dict[tuple[str, str], bool] = field(default_factory=dict)


def _known(office: Office, basis: Basis) -> _Known:
    memory: OrderedDict[int, _Known] = office.database.memory.setdefault("hashes", OrderedDict())
    found = memory.get(id(basis))
    if found is None or found.basis is not basis:
        memory[id(basis)] = found = _Known(basis)
        while len(memory) > KEPT:
            memory.popitem(last=False)
    return found


def name_in(office: Office, basis: Basis, key: str) -> str:
    """The name of a recipe's edition in a basis, worked out once while that stands; empty for an unknown recipe."""
    names = _known(office, basis).names
    if key not in names:
        names[key] = _named(office, with_included(basis.assemblies, key), key)
    return names[key]


def _named(office: Office, recipes: Mapping[str, Assembly], key: str) -> str:
    """As `edition_name`; kept while the recipes are the very same, as they are when only a price changed."""
    memory: dict[str, tuple[Mapping[str, Assembly], str]] = office.database.memory.setdefault("edition names", {})
    found = memory.get(key)
    if found is None or found[0].keys() != recipes.keys() or any(found[0][one] is not recipes[one] for one in recipes):
        memory[key] = found = (recipes, edition_name(recipes, key))
    return found[1]


def same_in(office: Office, basis: Basis, key: str, name: str) -> bool:
    """Whether a recipe of a basis, with all that it includes, is the edition of that name."""
    if name_in(office, basis, key) == name:
        return True
    same = _known(office, basis).same
    if (key, name) not in same:
        same[key, name] = is_same(basis.assemblies, key, name, kept_edition(office, name))
    return same[key, name]


def keep(office: Office, basis: Basis, key: str) -> str:
    """Keep the edition of a recipe that a basis holds, so that it stays when the library moves on; its name."""
    known: set[str] = office.database.memory.setdefault("editions", set())
    name = name_in(office, basis, key)
    if name and name not in known:
        FileStore(office.settings.files).keep(edition_bytes(basis.assemblies, key))
        known.add(name)
    return name


def remember(office: Office, edits: Iterable[Edit], bases: Iterable[Basis]) -> None:
    """Keep the editions that edits place works of, from the first of `bases` that holds them."""
    placed = {
        (str(edit.after["assembly"]), str(edit.after["assembly_hash"]))
        for edit in edits
        if edit.kind == "work" and edit.after and edit.before is None and edit.after.get("assembly_hash")
    }
    known: set[str] = office.database.memory.setdefault("editions", set())
    lacking = {(key, name) for key, name in placed if name not in known}
    for basis in bases if lacking else ():
        lacking -= {
            (key, name) for key, name in lacking if name_in(office, basis, key) == name == keep(office, basis, key)
        }
        if not lacking:
            return


def held(office: Office, job: Job, basis: Basis) -> Basis:
    """A basis with the editions the job's works name, where they differ and are kept here; else the basis itself."""
    named = named_editions(job.works).items()
    wanted = tuple(sorted((key, name) for key, name in named if not same_in(office, basis, key, name)))
    if not wanted:
        return basis
    memory: OrderedDict[Any, tuple[Basis, Basis]] = office.database.memory.setdefault("held", OrderedDict())
    found = memory.get((id(basis), wanted))
    if found is None or found[0] is not basis:
        memory[id(basis), wanted] = found = (basis, _laid_over(office, basis, wanted))
        while len(memory) > KEPT:
            memory.popitem(last=False)
    return found[1]


def _laid_over(office: Office, basis: Basis, wanted: Iterable[tuple[str, str]]) -> Basis:
    """What the editions include first, then each recipe itself: what a job names of a recipe goes before."""
    editions = [one for _, name in wanted if (one := kept_edition(office, name)) is not None]
    own = {key: recipe for one in editions for key, recipe in one.recipes.items()}
    own |= {one.recipe: one.recipes[one.recipe] for one in editions if one.recipe in one.recipes}
    return replace(basis, assemblies={**basis.assemblies, **own}) if own else basis


def named_editions(works: Iterable[Work]) -> Mapping[str, str]:
    """The edition (its name) each recipe of a job is written in: the one its first work names."""
    found: dict[str, str] = {}
    for work in works:
        if work.assembly_hash:
            found.setdefault(work.assembly, work.assembly_hash)
    return found


def kept_edition(office: Office, name: str) -> Edition | None:
    """An edition by its name, which is its content's; None where it is not kept here."""
    memory: BoundedCache[str, Edition] = office.database.memory.setdefault("editions read", BoundedCache(KEPT))
    found, store = memory.get(name), FileStore(office.settings.files)
    if found is None and len(name) == 64 and store.has(name):
        found = memory.keep(name, read_edition(msgspec.json.decode(store.read(name))))
    return found
