"""What is billed and paid: milestones of the signed contract, invoices, payments, statement, money week by week."""

from app.domain.billing.account import (
    Account,
    InvoiceState,
    Part,
    Standing,
    account,
    by_payment,
    counting,
    late_charge,
)
from app.domain.billing.contract import ChangeToBill, Contract, Milestone, milestones_of
from app.domain.billing.draws import Beside, DrawnUp, changes_to_bill, draw_up, held_back, left_to_bill
from app.domain.billing.invoice import Invoice, InvoiceLine, LineKind, next_number, standing, total_of
from app.domain.billing.milestones import MilestoneRow, MilestoneState, milestone_rows, to_bill
from app.domain.billing.statement import AGES, OLDEST, StatementRow, age_of, payment_words, statement
from app.domain.billing.weeks import CashWeek, Flow, Moved, cash_weeks, deepest

__all__ = [
    "AGES", "OLDEST",
    "Account",
    "Beside",
    "CashWeek",
    "ChangeToBill",
    "Contract",
    "DrawnUp",
    "Flow",
    "Invoice",
    "InvoiceLine",
    "InvoiceState",
    "LineKind",
    "Milestone",
    "MilestoneRow",
    "MilestoneState",
    "Moved",
    "Part",
    "Standing",
    "StatementRow",
    "account",
    "age_of",
    "by_payment",
    "cash_weeks",
    "changes_to_bill",
    "counting",
    "deepest",
    "draw_up",
    "held_back",
    "late_charge",
    "left_to_bill",
    "milestone_rows",
    "milestones_of",
    "next_number",
    "payment_words",
    "standing",
    "statement",
    "to_bill",
    "total_of",
]  # fmt: skip
