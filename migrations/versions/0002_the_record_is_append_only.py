"""The record is append only."""

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

UTC_NOW = "to_char(now() at time zone 'utc', 'YYYY-MM-DD HH24:MI:SS')"
APPEND_ONLY = """
CREATE FUNCTION {table}_never() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION 'the {table} table is append only'; END $$;
CREATE TRIGGER {table}_never_changes BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW EXECUTE FUNCTION {table}_never();
CREATE TRIGGER {table}_never_empties BEFORE TRUNCATE ON {table} FOR EACH STATEMENT EXECUTE FUNCTION {table}_never()
"""


def upgrade() -> None:
    tables = ("record", "record_edit", "revision_file")
    if op.get_bind().dialect.name == "postgresql":
        for table in tables:
            op.execute(APPEND_ONLY.format(table=table))
        op.execute(f"INSERT INTO epoch (number, began, why) VALUES (1, {UTC_NOW}, 'first start')")
        return
    for table in tables:
        for verb in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_never_{verb.lower()} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, 'the {table} table is append only'); END"
            )
    op.execute("INSERT INTO epoch (number, began, why) VALUES (1, datetime('now'), 'first start')")
