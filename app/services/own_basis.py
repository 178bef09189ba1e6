"""What a job stands on: the firm's live basis, or the one it came with in a job file, until “use my prices”."""

from collections import OrderedDict
from dataclasses import fields, replace
from typing import Any

from app.db.files import FileStore
from app.domain.basis import Basis
from app.domain.job import Job
from app.interchange.job_file import read_job_file
from app.services.office import Office

KEPT = 16


def basis_of(office: Office, job: Job, live: Basis) -> Basis:
    """The basis of a job. What the file it came with does not hold (another recipe) is taken from the live one.

    Raises: NotFound or FileDamaged when the file is not here whole.
    """
    name = job.head.basis_file
    if not name:
        return live
    memory: OrderedDict[str, tuple[Basis, Basis]] = office.database.memory.setdefault("own bases", OrderedDict())
    found = memory.get(name)
    if found is None or found[0] is not live:
        came_with = read_job_file(FileStore(office.settings.files).read(name)).basis
        memory[name] = found = (live, laid_over(live, came_with))
        while len(memory) > KEPT:
            memory.popitem(last=False)
    return found[1]


def laid_over(live: Basis, own: Basis) -> Basis:
    """A basis of its own, filled up with what it lacks; a material it holds without a price stays without one."""
    mappings = [field.name for field in fields(Basis) if field.name != "firm"]
    filled: dict[str, Any] = {name: {**getattr(live, name), **getattr(own, name)} for name in mappings}
    unpriced = own.materials.keys() - own.prices.keys()
    filled["prices"] = {key: price for key, price in filled["prices"].items() if key not in unpriced}
    return replace(own, **filled)
