"""The phase planner: budgets, days and wishes in, an order of zones out that breaks no rule."""

from app.domain.phasing.planner.asked import MOST_PHASES, Asked, PhaseAsked, Want, wants_of
from app.domain.phasing.planner.planning import Found, Order, plan

__all__ = ["MOST_PHASES", "Asked", "Found", "Order", "PhaseAsked", "Want", "plan", "wants_of"]
