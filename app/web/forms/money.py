"""What the forms of the Money sheet may send: a milestone reached, an invoice, a payment, what was paid out."""

from collections.abc import Mapping
from typing import Any

from app.domain.job import HOW_PAID, PAID_FOR
from app.services.invoicing import Asked
from app.web.forms.fields import choice, day, keys, money, text, things, yes

MOST_KEY = 60
REACHED = (day("day", "Day", required=True), things("photo_ids", "Photos"))
RECEIVED = (
    money("cents", "Amount", required=True),
    day("day", "Day", required=True),
    choice("how", "How it was paid", list(HOW_PAID), required=True),
    text("number", "Number of the check", most=MOST_KEY),
    text("words", "Note", most=300),
    text("invoice", "Invoice", most=MOST_KEY),
    yes("back", "Paid back to the client"),
)
PAID_OUT = (
    money("cents", "Amount", required=True),
    day("day", "Day", required=True),
    text("to", "Paid to", required=True, most=80),
    choice("paid_for", "What for", list(PAID_FOR), required=True),
    text("words", "Note", most=300),
)
REASON = (text("reason", "Why", most=300),)
ASKED = (
    keys("milestones", "Milestones"),
    money("credit", "Credit", empty=0),
    text("credit_words", "What the credit is for", most=200),
    keys("late", "Late charges"),
    things("photo_ids", "Photos"),
)
DAY = (day("day", "Day"),)


def asked_of(values: Mapping[str, Any], usual: Asked) -> Asked:
    """What an invoice is to bill, as a form says it; what it does not say is as usual."""
    return Asked(
        milestones=values.get("milestones", usual.milestones),
        credit_cents=values.get("credit", 0),
        credit_words=values.get("credit_words", ""),
        late=values.get("late", ()),
        photo_ids=values.get("photo_ids", usual.photo_ids),
    )
