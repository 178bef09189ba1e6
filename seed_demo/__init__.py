"""The demo: an invented firm with its price book and three clients, made through the services as a person would.

Everything in it is invented. Days stand relative to the office's clock, so the demo is never stale.
"""

from app.services.home import home
from app.services.office import Office
from seed_demo.agreement import offer_and_sign
from seed_demo.firm import open_the_book, set_up_firm
from seed_demo.telling import Teller, read_data

JOBS = ("whitlock", "asante", "lindqvist")


def load_if_empty(office: Office) -> bool:
    """Load the demo into an office without any job; returns whether it did. Another office is left as it is."""
    if not all(home(office, closed=closed).empty for closed in (False, True)):
        return False
    say("Loading the demo: the invented firm Brackenfold Yards, its price book and three clients.")
    set_up_firm(office)
    open_the_book(office)
    told = {name: Teller(office, read_data(name)).tell() for name in JOBS}
    say("Printing and signing the proposal of the Whitlocks' yard.")
    if not offer_and_sign(office, told["whitlock"], read_data("whitlock")):
        say("Nothing was signed: the PDF needs the Pango library. The demo is complete without it.")
    return True


def say(words: str) -> None:
    """Tell the person at the terminal what happens."""
    print(words, flush=True)  # noqa: T201 - said while the server starts


__all__ = ["load_if_empty"]
