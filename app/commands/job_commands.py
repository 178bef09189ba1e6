"""Commands on a job file: they need no server, no data folder, and change nothing."""

import argparse
from collections.abc import Callable, Mapping
from typing import Any

from app.commands.output import columns, say, say_json, write_new
from app.documents.pdf import PdfOrder, pdf_payload
from app.domain.costing.outlook import outlook
from app.domain.findings import Finding
from app.domain.job import Job
from app.domain.takeoff.measures import WHOLE_JOB
from app.domain.units import format_money, format_number
from app.interchange.estimate_classes import estimate_classes
from app.interchange.order_sheets import order_csv, order_text
from app.services import build, plan_print, proposals
from app.services.estimate_class import class_number
from app.services.opened_file import opened_file
from app.services.sheets import Sheet
from app.worker.running import run_now


def estimate(args: argparse.Namespace) -> int:
    """What a job costs and is sold for."""
    with opened_file(args.file, args.today) as (_, view):
        if args.json:
            say_json(_estimate_plain(view))
        else:
            say(*_estimate_words(view))
    return 0


def check(args: argparse.Namespace) -> int:
    """What is still open; 1 while something stops the signing."""
    with opened_file(args.file, args.today) as (_, view):
        ready = view.readiness
    if args.json:
        say_json({"ready": ready.ready, "findings": ready.open})
    else:
        say(*[line for one in ready.open for line in _finding_words(one)])
        say("Ready to sign." if ready.ready else f"Not ready to sign: {len(ready.signing_stops)} to settle first.")
    return 0 if ready.ready else 1


def order(args: argparse.Namespace) -> int:
    """What a job buys, rents, hires and hauls."""
    with opened_file(args.file, args.today) as (office, view):
        _, lists = build.orders_of(office, view)
        if args.out:
            return _printed(args, build.order_pdf(office, view))
        if args.json:
            say_json(lists)
        elif args.csv:
            say(order_csv(lists).rstrip())
        else:
            say(order_text(lists, f"{_title(view.job)}: draft, not signed").rstrip())
    return 0


def crew(args: argparse.Namespace) -> int:
    """What the crew builds."""
    with opened_file(args.file, args.today) as (office, view):
        if args.out:
            return _printed(args, build.crew_pdf(office, view, "all"))
        if args.json:
            say_json(build.build_sheet(office, view).crews)
            return 0
        for page in build.crew_pages(office, view, "all")[1]:
            say("", f"{page.sheet.letter} {page.title}".strip(), f"{page.hours} hours")
            for work in page.works:
                say(f"  {work.title}, {work.where}", *(f"    {thick:>8}  {what}" for thick, what in work.layers))
            say(*(f"  {line}" for line in columns(page.materials)))
            say(*(f"  CAUTION {title}: {words}" for _, title, words in page.cautions))
    return 0


def proposal(args: argparse.Namespace) -> int:
    """The proposal as it would be offered, as a PDF. It is a draft: only the pages can offer and sign."""
    with opened_file(args.file, args.today) as (office, view):
        made = proposals.draft(office, view, number=1, made_on=view.today)
        return _printed(args, proposals.pdf_order(office, view, made))


def plan(args: argparse.Namespace) -> int:
    """The plan true to scale, as a PDF."""
    with opened_file(args.file, args.today) as (office, view):
        return _printed(args, plan_print.plan_pdf(office, view, paper=args.paper, scale=args.scale))


def _printed(args: argparse.Namespace, made: PdfOrder) -> int:
    write_new(args.out, run_now("pdf", pdf_payload(made)))
    say(f"Printed to {args.out}.")
    return 0


def _title(job: Job) -> str:
    return ", ".join(part for part in (job.client.name, job.head.title) if part) or "Job"


def _estimate_plain(view: Sheet) -> Mapping[str, Any]:
    worked = view.estimate
    band, told = worked.range, outlook(worked, worked.inputs.distribution)
    return {
        "firm": not worked.reasons,
        "price_cents": worked.firm_price_cents,
        "low_cents": band.low,
        "likely_cents": band.likely,
        "high_cents": band.high,
        "cost_cents": worked.cost_cents,
        "class": class_number(view),
        "percentiles": {one.number: one.price_cents for one in told.percentiles},
        "chance_over_contingency": round(told.over_contingency, 4),
        "chance_over_price": round(told.over_price, 4),
        "reasons": worked.reasons,
        "by_zone": worked.price_by_zone,
        "by_phase": worked.price_by_phase,
        "by_class": worked.price_by_class,
        "hours_by_zone": worked.hours_by_zone,
        "findings": worked.findings,
    }


def _estimate_words(view: Sheet) -> list[str]:
    worked, firm, band = view.estimate, view.estimate.firm_price_cents, view.estimate.range
    whole = _dollars(view)
    price = whole(firm) if firm is not None else f"{whole(band.low)} to {whole(band.high)}, a range"
    names = {str(zone.id): f"{zone.letter} {zone.title}".strip() for zone in view.job.zones} | {WHOLE_JOB: "Whole job"}
    rows = [
        (names.get(zone, zone), whole(cents), f"{format_number(worked.hours_by_zone.get(zone, 0.0), 1)} hours")
        for zone, cents in sorted(worked.price_by_zone.items(), key=lambda row: names.get(row[0], ""))
    ]
    why = [f"Not firm yet: {reason}" for reason in worked.reasons]
    told, number = estimate_classes().classes, class_number(view)
    known = f"Class {number} of {len(told)}: {told[number - 1].title}"
    return [f"{_title(view.job)}: {price}", known, *columns(rows), *why]


def _dollars(view: Sheet) -> Callable[[int], str]:
    """Money to the whole dollar: a person reads it; `--json` has the cents."""
    return lambda cents: format_money(round(cents, -2), view.basis.firm.currency)


def _finding_words(one: Finding) -> list[str]:
    remedy = [f"    {one.remedy}"] if one.remedy else []
    return [f"{one.severity.value.upper()}  {one.what}", *remedy]
