"""What is kept of papers that never change, so that many jobs are looked back at without reading one of them whole.

All of it follows from the papers' own files: emptied, it is read again from them.
"""

from sqlalchemy import BigInteger, Boolean, Column, Float, Index, Integer, Table, Text

from app.db.tables.base import METADATA

KEPT_PAPER = Table(
    "kept_paper",
    METADATA,
    Column("revision_id", Text, primary_key=True),
    Column("firm_id", Text, nullable=False),
    Column("job_id", Text, nullable=False),
    Column("edition", Integer, nullable=False),  # of the reading: one of an older edition is read again
    Column("labor_cents", BigInteger, nullable=False),
    Column("other_cents", BigInteger, nullable=False),
    Column("tax_cents", BigInteger, nullable=False),
    Index("ix_kept_paper_job", "firm_id", "job_id"),
)

KEPT_MATERIAL = Table(
    "kept_material",
    METADATA,
    Column("revision_id", Text, primary_key=True),
    Column("material", Text, primary_key=True),
    Column("way", Text, primary_key=True),  # how it was measured
    Column("job_id", Text, nullable=False),
    Column("measured", Float, nullable=False),
    Column("lost", Float, nullable=False),
    Column("kept", Float, nullable=False),
    Index("ix_kept_material_job", "job_id"),
)

KEPT_TASK = Table(
    "kept_task",
    METADATA,
    Column("revision_id", Text, primary_key=True),
    Column("zone", Text, primary_key=True),
    Column("phase", Text, primary_key=True),
    Column("task", Text, primary_key=True),
    Column("job_id", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Column("crew", Text, nullable=False),  # labor class
    Column("own", Boolean, nullable=False),
    Column("amount", Float, nullable=False),
    Column("places", Integer, nullable=False),
    Column("slowed_amount", Float, nullable=False),
    Column("slowed_places", Float, nullable=False),
    Column("hours", Float, nullable=False),
    Column("cents", BigInteger, nullable=False),
    Index("ix_kept_task_job", "job_id"),
)
