"""Jobs taken along to another machine: what went, to whom, and what came back."""

from sqlalchemy import CheckConstraint, Column, Index, Integer, Table, Text

from app.db.tables.base import METADATA, Plain

TAKING = Table(
    "taking",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("firm_id", Text, nullable=False),
    Column("job_id", Text, nullable=False),
    Column("side", Text, nullable=False),  # lent: it went from here; borrowed: it came here
    Column("name", Text, nullable=False),  # who or what took it along
    Column("firm", Text, nullable=False),  # whose office it left
    Column("at", Text, nullable=False),  # when it left, or came here
    Column("counter", Integer, nullable=False),  # the job's, as it left
    Column("head", Text, nullable=False),  # of the office's record, as it left
    Column("numbers", Plain(), nullable=False),  # kind of revision → the number after which those made there begin
    Column("parts", Plain(), nullable=False),  # of the file it left in: name → SHA-256
    Column("returns", Plain(), nullable=False),  # what came back: head and file of its record, its job, the change
    Column("state", Text, nullable=False),
    Column("merge_change", Text, nullable=False, server_default=""),  # of the newest return
    Column("ended_at", Text, nullable=False, server_default=""),
    Column("reason", Text, nullable=False, server_default=""),
    CheckConstraint("side in ('lent','borrowed')", name="side_known"),
    CheckConstraint("state in ('out','back','lifted')", name="state_known"),
    Index("ix_taking_job", "firm_id", "job_id"),
)
