"""A table per kind of thing, its columns derived from the thing's dataclass, which is the one declaration.

Columns hold plain values (`app.domain.codec.to_plain`): days, ids, decimals and enumerations as text, composites as
JSON. So a row compares equal with the fields of a change, and no database turns an exact decimal into a float.
"""

import dataclasses
import types
import typing
from collections.abc import Mapping
from typing import Any

from sqlalchemy import BigInteger, Boolean, CheckConstraint, Column, Float, Index, Integer, Table, Text

from app.db.tables.base import METADATA, Plain
from app.domain import basis
from app.domain.job import JOB_THINGS
from app.domain.reminder import Reminder

# things of the firm: the price book, the library, the firm itself; known by their key within the firm
FIRM_THINGS: Mapping[str, type] = {
    "firm": basis.Firm,
    "assembly": basis.Assembly,
    "material": basis.Material,
    "task": basis.Task,
    "price": basis.Price,
    "supplier": basis.Supplier,
    "labor_class": basis.LaborClass,
    "rule": basis.Rule,
    "reminder": Reminder,
    "subcontractor": basis.Subcontractor,
    "plant": basis.Plant,
}
# the field that is a thing's own name, held in the column thing_id instead
KEY_FIELD: Mapping[str, str] = {
    **dict.fromkeys(JOB_THINGS, "id"),
    "firm": "",
    "assembly": "key",
    "material": "key",
    "task": "key",
    "price": "material",
    "supplier": "key",
    "labor_class": "key",
    "rule": "id",
    "reminder": "key",
    "subcontractor": "key",
    "plant": "key",
}
KINDS: Mapping[str, type] = {**{kind: cls for kind, (cls, _) in JOB_THINGS.items()}, **FIRM_THINGS}


def _column_type(hint: Any) -> Any:
    """The column type of a field by its annotation; anything composite is JSON."""
    options = [a for a in typing.get_args(hint) if a is not type(None)]
    union = typing.get_origin(hint) in (typing.Union, types.UnionType)
    plain = options[0] if union and len(options) == 1 else hint
    if typing.get_origin(plain) is typing.Literal:
        return Text()
    if not isinstance(plain, type) or dataclasses.is_dataclass(plain) or typing.get_origin(plain):
        return Plain()
    if issubclass(plain, bool):
        return Boolean()
    if issubclass(plain, int):
        return BigInteger()
    return Float() if issubclass(plain, float) else Text()


def _table(kind: str, cls: type) -> Table:
    hints = typing.get_type_hints(cls)
    fields = [f.name for f in dataclasses.fields(cls) if f.name != KEY_FIELD[kind]]
    of_job = kind in JOB_THINGS
    return Table(
        kind,
        METADATA,
        Column("firm_id", Text, primary_key=True),
        Column("thing_id", Text, primary_key=True),
        *([Column("job_id", Text, nullable=kind == "client")] if of_job else []),
        Column("version", Integer, CheckConstraint("version > 0", name="version_counts"), nullable=False),
        Column("last_change", Text, nullable=False),
        *[Column(name, _column_type(hints[name])) for name in fields],
        *([Index(f"ix_{kind}_job_id", "job_id")] if of_job else []),
    )


TABLES: Mapping[str, Table] = {kind: _table(kind, cls) for kind, cls in KINDS.items()}
_JOB = TABLES["job"].c
Index("ix_job_next", _JOB.firm_id, _JOB.next_day, _JOB.number, _JOB.stage)  # the list of jobs, in its order


def field_names(kind: str) -> tuple[str, ...]:
    """The fields of a kind of thing that are columns of their own (all but its key)."""
    return tuple(f.name for f in dataclasses.fields(KINDS[kind]) if f.name != KEY_FIELD[kind])
