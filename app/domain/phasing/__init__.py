"""Phases: what is built when, and in which order the ground lets it be built."""

from app.domain.job import in_number_order, phase_of
from app.domain.phasing.ground_order import ground_order
from app.domain.phasing.order_points import ORDER_RULES, order_points
from app.domain.phasing.phases import PhaseContent, contents, repeats, suggested_firmness

__all__ = [
    "ORDER_RULES", "PhaseContent", "contents", "ground_order", "in_number_order", "order_points", "phase_of", "repeats",
    "suggested_firmness",
]  # fmt: skip
