"""Devices that were let in, pairings under way, wrong tries, the passcode. Secrets stand here as hashes only."""

from sqlalchemy import CheckConstraint, Column, Index, Integer, Table, Text

from app.db.tables.base import METADATA

DEVICE = Table(
    "device",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("firm_id", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("face", Text, nullable=False),  # what it was paired as
    Column("job_id", Text),  # the job a client's device is bound to
    Column("token_hash", Text, nullable=False, unique=True),  # SHA-256 of 256 random bits
    Column("paired_at", Text, nullable=False),
    Column("last_seen", Text, nullable=False),
    Column("turned", Text),  # what it was turned to since
    Column("turned_job", Text),
    Column("revoked_at", Text),
    CheckConstraint("face in ('ours','field','client')", name="face_known"),
    CheckConstraint("turned in ('ours','field','client')", name="turned_known"),
    CheckConstraint("face <> 'client' or job_id is not null", name="client_bound"),
)

PAIRING = Table(
    "pairing",
    METADATA,
    Column("id", Text, primary_key=True),  # its code follows from this and the data folder's secret, and is not kept
    Column("firm_id", Text, nullable=False),
    Column("face", Text, nullable=False),
    Column("job_id", Text),
    Column("stands", Text, nullable=False),
    Column("began_at", Text, nullable=False),
    Column("asked_at", Text),
    Column("name", Text, nullable=False, server_default=""),
    Column("address", Text, nullable=False, server_default=""),
    Column("wrong", Integer, nullable=False, server_default="0"),
    Column("token_hash", Text, unique=True),  # of the device that asked
    Index("ix_pairing_began_at", "firm_id", "began_at"),
)

WRONG_TRY = Table(
    "wrong_try",
    METADATA,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("firm_id", Text, nullable=False),
    Column("secret", Text, nullable=False),  # of what it was a try: code, passcode
    Column("address", Text, nullable=False),
    Column("at", Text, nullable=False),
    Index("ix_wrong_try_at", "firm_id", "secret", "at"),
)

PASSCODE = Table(
    "passcode",
    METADATA,
    Column("firm_id", Text, primary_key=True),
    Column("salt", Text, nullable=False),
    Column("hash", Text, nullable=False),  # scrypt
    Column("set_at", Text, nullable=False),
)
