"""Counters by scope: how new a job is, which number comes next."""

from sqlalchemy import Connection, bindparam, insert, select, update

from app.db.tables.office import COUNTER


def counter(connection: Connection, scope: str) -> int:
    """How often something in this scope has changed."""
    return connection.execute(_COUNT, {"in_scope": scope}).scalar_one_or_none() or 0


_COUNT = select(COUNTER.c.value).where(COUNTER.c.scope == bindparam("in_scope"))


def raise_counter(connection: Connection, scope: str) -> int:
    """Count one more change of this scope."""
    raised = connection.execute(_RAISE, {"in_scope": scope}).scalar_one_or_none()
    if raised is None:
        connection.execute(insert(COUNTER).values(scope=scope, value=1))
    return raised or 1


_RAISE = (
    update(COUNTER)
    .where(COUNTER.c.scope == bindparam("in_scope"))
    .values(value=COUNTER.c.value + 1)
    .returning(COUNTER.c.value)
)
