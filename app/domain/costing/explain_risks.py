"""Where the money for risks comes from, risk by risk; and one risk alone (`risk:ID`), whoever carries it."""

from app.domain.costing.risks import expected_cents, ours, three_points
from app.domain.job import CARRIERS, Job, Risk
from app.domain.takeoff.trace import Trace, number_text


def explain_risks(job: Job, currency: str, cents: int) -> Trace:
    """The step of the build-up: what the risks cost on average that the firm carries."""
    parts = tuple(explain_one(one, currency) for one in ours(job))
    return Trace(
        label="Risks we carry",
        expression="sum of chance × cost; those of a zone on its lines, the others on all, by direct cost",
        filled=" + ".join(number_text(one.result) for one in parts),
        result=cents / 100,
        unit=currency,
        steps=parts,
    )


def explain_one(risk: Risk, currency: str) -> Trace:
    """What one risk costs on average."""
    low, likely, high = (number_text(one / 100) for one in three_points(risk))
    return Trace(
        label=risk.title or "Risk",
        expression="chance × (low + 4 × likely + high) / 6, the mean of a three-point estimate",
        filled=f"{risk.chance:f} × ({low} + 4 × {likely} + {high}) / 6",
        result=expected_cents(risk) / 100,
        unit=currency,
        source=f"typed on this job; carried by: {CARRIERS.get(risk.carried_by, risk.carried_by)}",
    )


def explain_risk(job: Job, currency: str, risk_id: str) -> Trace | None:
    """One risk by its id; None for what is gone."""
    found = next((one for one in job.risks if str(one.id) == risk_id), None)
    return explain_one(found, currency) if found else None
