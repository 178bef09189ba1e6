"""Tables by area."""

from app.db.tables.addresses import ADDRESS_PART, ADDRESS_WORD
from app.db.tables.base import METADATA
from app.db.tables.devices import DEVICE, PAIRING, PASSCODE, WRONG_TRY
from app.db.tables.kept import KEPT_MATERIAL, KEPT_PAPER, KEPT_TASK
from app.db.tables.mail import MAIL
from app.db.tables.office import COUNTER, DEVICE_EPOCH, RECORD, RECORD_EDIT, REVISION, REVISION_FILE
from app.db.tables.takings import TAKING
from app.db.tables.things import TABLES

__all__ = [
    "ADDRESS_PART",
    "ADDRESS_WORD",
    "COUNTER",
    "DEVICE",
    "DEVICE_EPOCH",
    "KEPT_MATERIAL",
    "KEPT_PAPER",
    "KEPT_TASK",
    "MAIL",
    "METADATA",
    "PAIRING",
    "PASSCODE",
    "RECORD",
    "RECORD_EDIT",
    "REVISION",
    "REVISION_FILE",
    "TABLES",
    "TAKING",
    "WRONG_TRY",
]
