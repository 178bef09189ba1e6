"""Where a warranty reserve by kind of work comes from: each kind's share of its direct cost."""

import numpy as np

from app.domain.basis import CostClass, Firm
from app.domain.costing.price import Cells
from app.domain.costing.warranty import by_kind
from app.domain.takeoff.trace import Trace, number_text
from app.domain.units import format_share


def warranty_steps(cells: Cells, firm: Firm) -> tuple[Trace, ...]:
    """One step a kind of work that has cost."""
    set_aside = np.array([one is CostClass.ALLOWANCE for one in cells.classes], dtype=bool)
    priced = np.where(set_aside, 0, np.array(cells.cents, dtype=np.int64))
    return tuple(
        Trace(
            label=one.kind.capitalize() or "What belongs to no kind",
            expression="share of its direct cost",
            filled=f"{format_share(one.share, 4)} of {number_text(one.direct_cents / 100)}",
            result=one.cents / 100,
            unit=firm.currency,
            source="firm settings" if one.kind in firm.warranty_by_group else "the firm's usual share",
        )
        for one in by_kind(priced, cells.kinds, firm)
    )
