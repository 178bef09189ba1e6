"""Alembic's entry: runs the migrations on the connection it is handed."""

from alembic import context

from app.db.tables import METADATA
from app.db.tables.base import Plain


def plain_types(kind: str, item: object, _context: object) -> str | bool:
    """Write our own column type as the text it is, so that a migration rests on no code of ours."""
    return "sa.Text()" if kind == "type" and isinstance(item, Plain) else False


connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=METADATA,
    render_as_batch=True,
    compare_type=True,
    render_item=plain_types,
)
with context.begin_transaction():
    context.run_migrations()
