"""The index of an address search: the words of each job, and the parts of words that a fragment may begin with."""

from sqlalchemy import Column, Index, Table, Text

from app.db.tables.base import METADATA

ADDRESS_WORD = Table(
    "address_word",
    METADATA,
    Column("word", Text, primary_key=True),
    Column("job_id", Text, primary_key=True),
    Index("ix_address_word_job", "job_id"),
)

ADDRESS_PART = Table(
    "address_part",
    METADATA,
    Column("part", Text, primary_key=True),  # the word from one of its letters on
    Column("word", Text, primary_key=True),
    Index("ix_address_part_word", "word"),
)
