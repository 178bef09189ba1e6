"""The record of changes, counters, epochs, and the revisions that were handed out."""

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, Integer, Table, Text, UniqueConstraint

from app.db.tables.base import METADATA

RECORD = Table(
    "record",
    METADATA,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    Column("id", Text, nullable=False, unique=True),
    Column("firm_id", Text, nullable=False),
    Column("job_id", Text),
    Column("epoch", Integer, nullable=False),
    Column("kind", Text, nullable=False),  # change, issue, sign, restore: what sort of entry this is
    Column("who", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("undoes", Text),
    Column("body", Text, nullable=False),  # canonical JSON
    Column("content_hash", Text, nullable=False),
    Column("previous_hash", Text, nullable=False),
    Column("hash", Text, nullable=False, unique=True),
    Column("answer", Text, nullable=False),  # what was answered, for the same change sent again
    Index("ix_record_job_id", "job_id", "seq"),
)

RECORD_EDIT = Table(
    "record_edit",
    METADATA,
    Column("seq", Integer, ForeignKey("record.seq"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("thing_id", Text, nullable=False),
    Column("version", Integer, nullable=False),  # the thing's version after this edit
    Index("ix_record_edit_thing", "kind", "thing_id", "version"),
)

COUNTER = Table(
    "counter",
    METADATA,
    Column("scope", Text, primary_key=True),  # "job:ID", "firm:ID"
    Column("value", Integer, nullable=False),
)

DEVICE_EPOCH = Table(
    "epoch",
    METADATA,
    Column("number", Integer, primary_key=True),
    Column("began", Text, nullable=False),
    Column("why", Text, nullable=False),
)

REVISION = Table(
    "revision",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("firm_id", Text, nullable=False),
    Column("job_id", Text, nullable=False),
    Column("number", Integer, nullable=False),
    Column("kind", Text, nullable=False),  # proposal, design agreement, change, change order
    Column("state", Text, nullable=False),  # offered, signed, expired, withdrawn, superseded
    Column("issued_at", Text, nullable=False),
    Column("holds_until", Text),
    Column("price_cents", Integer),
    Column("job_counter", Integer, nullable=False),
    Column("signers", Text, nullable=False),  # JSON: role, name, signed at, device, how
    Column("answer", Text, nullable=False, server_default=""),
    # an offer that is not open any more: how it is called where `state` has no word for it (declined), since when, why
    Column("closed_as", Text, nullable=False, server_default=""),
    Column("closed_at", Text, nullable=False, server_default=""),
    Column("closed_why", Text, nullable=False, server_default=""),
    UniqueConstraint("job_id", "kind", "number", name="uq_revision_number"),
    CheckConstraint("state in ('offered','signed','expired','withdrawn','superseded')", name="state_known"),
)

REVISION_FILE = Table(
    "revision_file",
    METADATA,
    Column("revision_id", Text, ForeignKey("revision.id"), primary_key=True),
    Column("role", Text, primary_key=True),  # job, results, offered, signed-1, signed-2, scan-1 …
    Column("file", Text, nullable=False),  # SHA-256 of the bytes
    Column("size", Integer, nullable=False),
)
