"""Tables by area."""

from app.db.tables.base import METADATA
from app.db.tables.office import COUNTER, DEVICE_EPOCH, RECORD, RECORD_EDIT, REVISION, REVISION_FILE
from app.db.tables.things import TABLES

__all__ = ["COUNTER", "DEVICE_EPOCH", "METADATA", "RECORD", "RECORD_EDIT", "REVISION", "REVISION_FILE", "TABLES"]
