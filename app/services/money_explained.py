"""Where each figure of the Money sheet comes from: `money:WHAT` or `money:WHAT:KEY`."""

from collections.abc import Callable, Iterable, Mapping

from app.domain.billing import LineKind, payment_words
from app.domain.errors import NotFound
from app.domain.takeoff.trace import Trace
from app.services.billed import JobMoney, counts, job_money
from app.services.office import Office
from app.services.sheets import Sheet

GONE = "This figure is not part of the account any more. Open the Money sheet again."
Row = tuple[str, int]
OPEN_SUM = "what is open on each invoice"


class _Told:
    """The figures of one job's money."""

    def __init__(self, money: JobMoney, view: Sheet) -> None:
        self.money, self.view = money, view
        self.currency = view.basis.firm.currency

    def sum(self, label: str, expression: str, rows: Iterable[Row]) -> Trace:
        """A sum of rows."""
        steps = tuple(self.plain(words, "", cents) for words, cents in rows)
        total = sum(round(one.result * 100) for one in steps)
        return Trace(label=label, expression=expression, filled="", result=total / 100, unit=self.currency, steps=steps)

    def plain(self, label: str, expression: str, cents: int) -> Trace:
        """One amount."""
        return Trace(label=label, expression=expression, filled="", result=cents / 100, unit=self.currency)

    def contract(self, _key: str) -> Trace:
        """The contract sum with its changes."""
        found = self.money.contract
        if found is None:
            raise NotFound(GONE)
        rows = [(f"Proposal {found.number} as signed", found.cents), *((one.title, one.cents) for one in found.changes)]
        return self.sum("Contract sum", "as signed + signed changes", rows)

    def left(self, _key: str) -> Trace:
        """What is on no invoice yet."""
        whole = round(self.contract("").result * 100)
        of = (LineKind.DRAW, LineKind.CHANGE)
        billed = [(f"Invoice {row.invoice.number}", -row.invoice.sum_of(*of)) for row in self.money.account.rows]
        words = "contract sum with changes − draws and changes on invoices"
        return self.sum("Still to invoice", words, [("Contract sum with changes", whole), *billed])

    def held(self, _key: str) -> Trace:
        """Retainage."""
        of = (LineKind.RETAINED, LineKind.RELEASED)
        rows = [(f"Invoice {row.invoice.number}", -row.invoice.sum_of(*of)) for row in self.money.account.rows]
        return self.sum("Held back", "retainage of each invoice, until the last one", rows)

    def invoiced(self, _key: str) -> Trace:
        """All that was asked for."""
        rows = [(f"Invoice {row.invoice.number}", row.invoice.total_cents) for row in self.money.account.rows]
        return self.sum("Invoiced", "sum of the invoices that are not void", rows)

    def received(self, _key: str) -> Trace:
        """All that came in."""
        rows = [(payment_words(one), one.cents) for one in self.money.payments if counts(one)]
        return self.sum("Received", "sum of the payments that were not taken back", rows)

    def balance(self, _key: str) -> Trace:
        """What the client owes."""
        rows = [("Invoiced", self.money.account.invoiced_cents), ("Received", -self.money.account.received_cents)]
        return self.sum("Balance", "invoiced − received", rows)

    def credit(self, _key: str) -> Trace:
        """What was paid too much."""
        rows = [("Received", self.money.account.received_cents)]
        rows += [(f"Went on invoice {row.invoice.number}", -row.paid_cents) for row in self.money.account.rows]
        rows += [
            (f"Invoice {row.invoice.number}, a credit", -min(0, row.invoice.total_cents))
            for row in self.money.account.rows
        ]
        return self.sum("Credit", "received − what went on invoices", [one for one in rows if one[1]])

    def overdue(self, _key: str) -> Trace:
        """What is open past its day."""
        late = [row for row in self.money.account.rows if row.overdue_days]
        rows = [(f"Invoice {row.invoice.number}, {row.overdue_days} days", row.open_cents) for row in late]
        return self.sum("Overdue", OPEN_SUM, rows)

    def milestone(self, key: str) -> Trace:
        """A payment of the signed table."""
        row = next((one for one in self.money.milestones if one.milestone.key == key), None)
        if row is None:
            raise NotFound(GONE)
        return self.plain(row.milestone.words, "as printed in the signed proposal", row.milestone.cents)

    def invoice(self, key: str) -> Trace:
        """An invoice, line by line."""
        one = self.money.invoice(key)
        return self.sum(f"Invoice {one.number}", "sum of its lines", [(line.words, line.cents) for line in one.lines])

    def open(self, key: str) -> Trace:
        """What is open on an invoice."""
        row = self.money.account.row(key)
        if row is None:
            raise NotFound(GONE)
        paid = [(f"Paid on {part.day:%b} {part.day.day}", -part.cents) for part in row.parts]
        rows = [(f"Invoice {row.invoice.number}", row.invoice.total_cents), *paid]
        return self.sum("Open", "invoice − what was paid on it", rows)

    def payment(self, key: str) -> Trace:
        """A payment."""
        one = self.money.payment(key)
        return self.plain(payment_words(one), f"typed on the day, by {one.said_by or 'the office'}", one.cents)

    def out(self, key: str) -> Trace:
        """What was paid out, one by one or all."""
        held = [one for one in self.view.job.paid_out if key in ("all", str(one.id))]
        if not held:
            raise NotFound(GONE)
        rows = [(f"{one.to}, {one.day:%b} {one.day.day}", one.cents) for one in held]
        return self.sum("Paid out", "as typed", rows)

    def week(self, key: str) -> Trace:
        """`MONDAY:WHAT`: a figure of a week."""
        monday, _, what = key.partition(":")
        weeks = self.money.weeks
        at = next((at for at, one in enumerate(weeks) if one.monday.isoformat() == monday), None)
        if at is None or what not in ("received", "spent", "ahead"):
            raise NotFound(GONE)
        one = weeks[at]
        label = f"Week of {one.monday:%B} {one.monday.day}"
        if what == "received":
            return self.plain(label, "payments of its days, and the design fee on the day of signing", one.received)
        if what == "spent":
            rows = [("Hours of the crew", one.labor), ("Receipts", one.receipts), ("Paid out", one.paid_out)]
            rows.append(("Bills of orders, and deposits", one.bills))
            return self.sum(label, "hours at the cost of the bid + receipts + paid out + bills of orders", rows)
        before = weeks[at - 1].ahead if at else 0
        rows = [("Before this week", before), ("Received", one.received), ("Spent", -one.spent)]
        return self.sum(label, "received − spent, from the first week on", rows)

    def row(self, key: str) -> Trace:
        """A row of the statement: its balance, or `NUMBER:alone` what it adds."""
        number, _, alone = key.partition(":")
        if not number.isascii() or not number.isdigit() or int(number[:6]) >= len(self.money.rows):
            raise NotFound(GONE)
        if alone:
            one = self.money.rows[int(number)]
            return self.plain(one.words, "as issued or typed", one.cents)
        rows = [(row.words, row.cents) for row in self.money.rows[: int(number) + 1]]
        return self.sum("Balance", "all rows up to this one", rows)


def explain_money(office: Office, view: Sheet, figure: str) -> Trace:
    """A figure of the Money sheet. Raises: NotFound."""
    what, _, key = figure.partition(":")
    told = _Told(job_money(office, view), view)
    say: Mapping[str, Callable[[str], Trace]] = {
        name: getattr(told, name)
        for name in (
            "contract", "left", "held", "invoiced", "received", "balance", "credit", "overdue", "milestone", "invoice",
            "open", "payment", "out", "week", "row",
        )
    }  # fmt: skip
    if what not in say:
        raise NotFound(GONE)
    return say[what](key)
