"""Mail that leaves with a signed copy, and what became of it."""

from sqlalchemy import CheckConstraint, Column, Index, Integer, Table, Text

from app.db.tables.base import METADATA

MAIL = Table(
    "mail",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("firm_id", Text, nullable=False),
    Column("job_id", Text, nullable=False),
    Column("revision_id", Text, nullable=False),
    Column("address", Text, nullable=False),  # of the client: goes when the client is erased
    Column("file", Text, nullable=False),  # the copy, by its hash
    Column("made_at", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("tries", Integer, nullable=False, server_default="0"),
    Column("next_at", Text, nullable=False),  # when it is tried (again)
    Column("ended_at", Text, nullable=False, server_default=""),
    Column("why", Text, nullable=False, server_default=""),  # what the last try said
    CheckConstraint("state in ('waiting','sending','sent','failed','stopped')", name="state_known"),
    Index("ix_mail_job", "firm_id", "job_id"),
    Index("ix_mail_state", "state", "next_at"),
)
