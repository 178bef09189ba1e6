"""The job: one immutable value that holds everything a client, a yard, a plan and an agreement consist of.

Each class with an `id` is a *thing*: one row, one version, changed by one mechanism (`app.domain.change`).
Lengths are in feet, areas in square feet, money in integer cents. A text that is empty is unknown.
"""

from app.domain.job.daily import PERCENTS, WHOLE_JOB, LoggedHours, SaidDone
from app.domain.job.head import Client, Head, Need
from app.domain.job.included import only_included
from app.domain.job.kinds import (
    EXISTING_KINDS,
    PRIVATE_LINES,
    UTILITIES,
    Answer,
    Covers,
    EdgeChoice,
    Fate,
    Firmness,
    Measured,
    PlaceKind,
    PriceShown,
    Reply,
    RunKind,
    Stage,
    ZoneKind,
)
from app.domain.job.naming import without_names
from app.domain.job.offering import Option, Package
from app.domain.job.plan import Alternative, Dimension, Edge, Feature, Note, Run, Work, Zone
from app.domain.job.site import (
    Existing,
    LevelSetup,
    Mark,
    Opening,
    OwnFactor,
    Photo,
    RodReading,
    Site,
    Tape,
    Underlay,
)
from app.domain.job.subs import Packet, Quote, Stands
from app.domain.job.terms import (
    CARRIERS,
    Allowance,
    Choice,
    Payment,
    Phase,
    ReminderAnswer,
    Risk,
    Settlement,
    UnitPrice,
)
from app.domain.job.whole import JOB_THINGS, Job, Thing
from app.domain.plan.laying.pattern import BorderCourse, Laying

__all__ = [
    "CARRIERS",
    "EXISTING_KINDS",
    "JOB_THINGS",
    "PERCENTS",
    "PRIVATE_LINES",
    "UTILITIES",
    "WHOLE_JOB",
    "Allowance",
    "Alternative",
    "Answer",
    "BorderCourse",
    "Choice",
    "Client",
    "Covers",
    "Dimension",
    "Edge",
    "EdgeChoice",
    "Existing",
    "Fate",
    "Feature",
    "Firmness",
    "Head",
    "Job",
    "Laying",
    "LevelSetup",
    "LoggedHours",
    "Mark",
    "Measured",
    "Need",
    "Note",
    "Opening",
    "Option",
    "OwnFactor",
    "Package",
    "Packet",
    "Payment",
    "Phase",
    "Photo",
    "PlaceKind",
    "PriceShown",
    "Quote",
    "ReminderAnswer",
    "Reply",
    "Risk",
    "RodReading",
    "Run",
    "RunKind",
    "SaidDone",
    "Settlement",
    "Site",
    "Stage",
    "Stands",
    "Tape",
    "Thing",
    "Underlay",
    "UnitPrice",
    "Work",
    "Zone",
    "ZoneKind",
    "only_included",
    "without_names",
]
