"""The record is append only."""

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    if op.get_bind().dialect.name != "sqlite":
        return
    for table in ("record", "record_edit", "revision_file"):
        for verb in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_never_{verb.lower()} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, 'the {table} table is append only'); END"
            )
    op.execute("INSERT INTO epoch (number, began, why) VALUES (1, datetime('now'), 'first start')")
