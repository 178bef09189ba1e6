"""Mutants that change nothing one could notice: module, the line as written, what was changed; and why it is the same."""

SAME: dict[tuple[str, str, str], str] = {
    ("sharing", "SAFE = 2**62  # products and sums below this stay exact in 64 bits", "Pow → Mult"): "slower, as exact",
    ("sharing", "if greatest * max(size, len(weights)) >= SAFE:", "GtE → Gt"): "both ways are exact at the bound",
    ("sharing", "return parts if total > 0 else -parts", "Gt → GtE"): "a total of zero is answered before",
    (
        "client_prices",
        "for phase in sorted({phase for _, phase in cells} - outside):",
        "sorted → list",
    ): "sums in any order",
    ("purchases", "_PURCHASES: BoundedCache[tuple[int, ...], _Kept] = BoundedCache(4096)", "4096 → 4097"): "speed only",
    ("money", "return _half_up(abs(amount) * 100, amount < 0)", "Lt → LtE"): "minus zero is zero",
    ("money", "return -rounded if amount < 0 else rounded", "Lt → LtE"): "minus zero is zero",
    ("money", "return _half_up(abs(value) / 100, value < 0)", "Lt → LtE"): "minus zero is zero",
    (
        "money",
        "return tuple(parts) if total >= 0 else tuple(-part for part in parts)",
        "GtE → Gt",
    ): "minus zero is zero",
}
