"""What the forms of packets that were given away send: going on, a payment, a lien release."""

from app.domain.job import LIEN_RELEASES
from app.web.forms.fields import choice, day, money, text, yes

GOING = (text("by", "Who decides it"), text("reason", "Why it goes on", most=1_000))
PAID = (
    money("cents", "Amount paid", required=True),
    day("day", "Day", required=True),
    yes("final", "This is the final payment"),
    text("words", "A few words", most=300),
    *GOING,
)
RELEASE = (
    choice("kind", "Which release it is", LIEN_RELEASES, required=True),
    day("day", "Received on", required=True),
    day("through", "Through which day it releases"),
    money("release_cents", "Amount on the paper"),
)
