"""Mutants that change nothing one could notice: module, the line as written, what was changed; and why it is the same."""

SAME: dict[tuple[str, str, str], str] = {
    ("sharing", "if greatest * max(total, len(weights)) > MOST:", "Gt → GtE"): "both ways are exact at the bound",
    (
        "client_prices",
        "for phase in sorted({phase for _, phase in cells} - outside):",
        "sorted → list",
    ): "sums in any order",
    (
        "purchases",
        "_WANTED: BoundedByIdentity[Requirement, tuple[Material, float]] = BoundedByIdentity(10_000)",
        "10000 → 10001",
    ): "speed only",
    ("purchases", "_ROWS: KeptRows[Requirement, _Group | None] = KeptRows(32)", "32 → 33"): "speed only",
    ("purchases", "_GROUPS: KeptByInputs[list[tuple[_Group, list[int]]]] = KeptByInputs(32)", "32 → 33"): "speed only",
    ("purchases", "_PURCHASES: KeptByInputs[Purchase] = KeptByInputs(4096)", "4096 → 4097"): "speed only",
    ("money", "return -rounded if above < 0 else rounded", "Lt → LtE"): "minus zero is zero",
    ("money", "return -rounded if above < 0 else rounded", "0 → 1"): "minus zero is zero, and this is a whole number",
    ("money", "return -rounded if hundredths < 0 else rounded", "Lt → LtE"): "minus zero is zero",
    (
        "money",
        "return exact if any(exact) else [1] * len(exact)",
        "1 → 2",
    ): "equal weights share evenly, whatever they are",
    ("client_prices", "return dict(zip(names, even, strict=True))", "True → False"): "share gives one part a name",
    (
        "client_prices",
        "spread = {zone: own[zone] + part for zone, part in zip(zones, parts, strict=True)}",
        "True → False",
    ): "share gives one part a zone",
    (
        "client_prices",
        "works |= dict(zip(names, parts, strict=True))",
        "True → False",
    ): "share gives one part a name",
    ("history", "PAGE = 60", "60 → 61"): "a page of any length serves",
    (
        "history",
        "read = record.history(connection, str(view.job.head.id), limit=PAGE + 1, before=before)",
        "1 → 2",
    ): "a row more is read and left out",
    (
        "changes",
        "if row.version <= edit.version:",
        "LtE → Lt",
    ): "nothing happened after the version that is now",
    (
        "payments",
        "for at, part in zip(open_ones, share(left, [1] * len(open_ones)), strict=True):",
        "True → False",
    ): "one amount each",
    ("payments", "for one, amount in zip(payments, final, strict=True)", "True → False"): "one amount each",
    (
        "payments",
        "for (phase, _), part in zip(rows, _shared(rest, [weight for _, weight in rows]), strict=True):",
        "True → False",
    ): "one amount each",
    ("payments", "for event, amount in zip(_EVENTS, _in_parts(part), strict=True)", "True → False"): "one amount each",
    (
        "payments",
        "base = prices.phases.get(str(payment.phase_id), 0) if payment.phase_id else prices.contract",
        "0 → 1",
    ): "a cent's share is less than a unit of money",
    (
        "payments",
        "for at, part in zip(open_ones, share(left, [1] * len(open_ones)), strict=True):",
        "1 → 2",
    ): "equal weights share evenly, whatever they are",
    ("payments", "rows = [row for row in rows if row[1]] or [(None, 1)]", "1 → 2"): "a single weight takes all",
    ("price", "FINER = 1000  # overhead is shared by thousandths of a cent", "1000 → 1001"): "as fine",
    ("formula", 'return product if exponent > 0 else f"(1.0 / {product})"', "Gt → GtE"): "no exponent is 0",
    ("tree", "value: float = 0.0", "0.0 → 1.0"): "read only of nodes that were given one",
}
