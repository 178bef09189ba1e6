"""A proposal's PDF by the worker, beside bare WeasyPrint on the same HTML and styles, both warm.

Warm means: libraries and styles read. The bare floor runs in this process after a first run; ours runs in a process
that stood ready, is fresh for this job, and ends with it. Run alone: `python -m bench.proposal_pdf`.
"""

import asyncio
import statistics
import sys
import time
from datetime import UTC, datetime

import weasyprint
from weasyprint.text.fonts import FontConfiguration

from app.documents.fonts import print_stylesheet
from app.documents.pdf import PdfOrder, pdf_payload
from app.worker import Worker
from bench import Result

LIMIT = 1.2  # times the floor
ROUNDS = 5
SECONDS_TO_STAND_READY = 2.5

WORDS = "Clay brick in a herringbone, just outside the kitchen door. " * 12
ZONES = "".join(f"<section class='page'><h2>Zone {zone}</h2><p>{WORDS}</p></section>" for zone in range(8))
LINES = "".join(f"<tr><td>Line {n}</td><td>{n} sq ft</td><td>$1,{n:03}</td></tr>" for n in range(120))
HTML = f"<html lang='en'><body><h1>Proposal</h1>{ZONES}<table>{LINES}</table></body></html>"
ORDER = PdfOrder(
    html=HTML,
    paper="letter",
    title="Proposal",
    language="en",
    identifier="bench",
    source_date=datetime(2027, 3, 9, tzinfo=UTC),
)


def floor() -> float:
    """Seconds of the bare library."""
    start = time.perf_counter()
    fonts = FontConfiguration()
    styles = weasyprint.CSS(string=print_stylesheet(), font_config=fonts)
    weasyprint.HTML(string=HTML).write_pdf(stylesheets=[styles], font_config=fonts, pdf_tags=True)
    return time.perf_counter() - start


async def ours(worker: Worker) -> float:
    """Seconds from asking to having the bytes."""
    await asyncio.sleep(SECONDS_TO_STAND_READY)
    start = time.perf_counter()
    await worker.run("pdf", pdf_payload(ORDER))
    return time.perf_counter() - start


async def measure() -> tuple[float, float, float]:
    """Medians of floor and ours in seconds, and the worker's peak in MB."""
    worker = Worker()
    await worker.warm("pdf")
    floor()
    try:
        pairs = [(floor(), await ours(worker)) for _ in range(ROUNDS)]
    finally:
        await worker.close()
    return statistics.median(a for a, _ in pairs), statistics.median(b for _, b in pairs), worker.peak_mb


def run() -> list[Result]:
    bare, made, peak = asyncio.run(measure())
    return [
        Result(name="proposal PDF, bare library", value=bare * 1000, unit="ms"),
        Result(name="proposal PDF, ours", value=made * 1000, unit="ms"),
        Result(name="proposal PDF over bare", value=made / bare, unit="×", most=LIMIT),
        Result(name="proposal PDF, the worker's peak", value=peak, unit="MB", most=200),
    ]


def main() -> int:
    bare, made, peak = asyncio.run(measure())
    ratio = f"{made / bare:.2f} × (limit {LIMIT})"
    print(f"proposal PDF: bare {bare:.2f} s, ours {made:.2f} s, {ratio}; worker {peak:.0f} MB (limit 200)")
    return int(made / bare > LIMIT or peak > 200)


if __name__ == "__main__":
    sys.exit(main())
