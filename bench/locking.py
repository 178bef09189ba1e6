"""Locking a signed copy of 30 pages, libraries loaded: the certification signature, and looking whether it holds."""

import statistics
import time
from datetime import UTC, datetime

from app.documents.appending import append_drawn_pages
from app.documents.locking import LockKey, lock_of, locked
from app.documents.pdf import html_to_pdf
from app.interchange.certificates import new_signing
from bench import Result

LIMIT_MS = 1000.0
ROUNDS = 7
NOW = datetime(2027, 3, 9, 20, 4, 5, tzinfo=UTC)
PAGES = 30


def copy() -> bytes:
    """A paper of 30 pages with one update after it, as a signed copy has."""
    pages = "".join(f"<section style='page-break-after:always'><h2>{n}</h2></section>" for n in range(PAGES - 1))
    order = {"paper": "letter", "title": "Proposal", "language": "en", "identifier": "bench", "source_date": NOW}
    made = html_to_pdf(f"<h1>Proposal</h1>{pages}", **order)  # type: ignore[arg-type]
    return append_drawn_pages(made, [("Signatures", html_to_pdf("<h1>Signatures</h1>", **order))])  # type: ignore[arg-type]


def run() -> list[Result]:
    document, made = copy(), new_signing("Brackenfold Yards", NOW)
    key = LockKey(key=made.key, certificate=made.certificate)
    done = locked(document, key, NOW)  # libraries loaded
    locking, looking = [], []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        done = locked(document, key, NOW)
        middle = time.perf_counter()
        found = lock_of(done)
        locking.append(middle - start)
        looking.append(time.perf_counter() - middle)
        if found is None:
            raise RuntimeError("the lock that was just made does not hold")
    return [
        Result(name="locking a signed copy", value=statistics.median(locking) * 1000, unit="ms", most=LIMIT_MS),
        Result(name="looking whether its lock holds", value=statistics.median(looking) * 1000, unit="ms"),
    ]
