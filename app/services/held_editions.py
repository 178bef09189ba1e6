"""The editions of recipes that jobs are written in: kept by the hash of their content, laid over the live library.

A job holds one edition of a recipe, whichever its works name; a newer one of the library is only offered
(`app.services.editions`).
"""

from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import msgspec

from app.db.files import FileStore
from app.domain.basis import Assembly, Basis
from app.domain.change import Edit
from app.domain.codec import canonical_bytes, content_hash, from_plain, to_plain
from app.domain.job import Job, Work
from app.services.office import Office

KEPT = 64


def hash_in(office: Office, basis: Basis, key: str) -> str:
    """The content hash of a recipe of a basis, worked out once while that basis stands; empty for an unknown one."""
    memory: OrderedDict[int, tuple[Basis, dict[str, str]]] = office.database.memory.setdefault("hashes", OrderedDict())
    kept = memory.get(id(basis))
    if kept is None or kept[0] is not basis:
        memory[id(basis)] = kept = (basis, {})
        while len(memory) > KEPT:
            memory.popitem(last=False)
    hashes = kept[1]
    if key not in hashes and key in basis.assemblies:
        hashes[key] = content_hash(basis.assemblies[key])
    return hashes.get(key, "")


def remember(office: Office, edits: Iterable[Edit]) -> None:
    """Keep the recipes that edits place works of, so that the edition stays when the library moves on."""
    placed = {
        (str(edit.after["assembly"]), str(edit.after["assembly_hash"]))
        for edit in edits
        if edit.kind == "work" and edit.after and edit.before is None and edit.after.get("assembly_hash")
    }
    known: set[str] = office.database.memory.setdefault("editions", set())
    basis = office.basis()
    for key, name in placed:
        if name not in known and hash_in(office, basis, key) == name:
            FileStore(office.settings.files).keep(canonical_bytes(to_plain(basis.assemblies[key])))
            known.add(name)


def held(office: Office, job: Job, basis: Basis) -> Basis:
    """A basis with the editions the job's works name, where they differ and are kept here; else the basis itself."""
    wanted = {key: name for key, name in named_editions(job.works).items() if _differs(office, basis, key, name)}
    if not wanted:
        return basis
    memory: OrderedDict[Any, tuple[Basis, Basis]] = office.database.memory.setdefault("held", OrderedDict())
    names = tuple(sorted(wanted.items()))
    found = memory.get((id(basis), names))
    if found is None or found[0] is not basis:
        own = {key: one for key, name in names if (one := kept_edition(office, name)) is not None}
        memory[id(basis), names] = found = (basis, replace(basis, assemblies={**basis.assemblies, **own}))
        while len(memory) > KEPT:
            memory.popitem(last=False)
    return found[1]


def named_editions(works: Iterable[Work]) -> Mapping[str, str]:
    """The edition (hash) each recipe of a job is written in: the one its first work names."""
    found: dict[str, str] = {}
    for work in works:
        if work.assembly_hash:
            found.setdefault(work.assembly, work.assembly_hash)
    return found


def _differs(office: Office, basis: Basis, key: str, name: str) -> bool:
    here = hash_in(office, basis, key)
    return bool(here) and here != name


def kept_edition(office: Office, name: str) -> Assembly | None:
    """A recipe by its content hash; None where that edition is not kept here."""
    store = FileStore(office.settings.files)
    if len(name) != 64 or not store.has(name):
        return None
    return from_plain(msgspec.json.decode(store.read(name)), Assembly)
