"""The worker's task that looks for the best set under a budget: job and basis in, the set out.

The programs are solved by HiGHS, on one thread and from a fixed seed: one answer on every machine.
"""

from typing import Any

import msgspec
import numpy as np

from app.domain.basis import Basis
from app.domain.codec import from_plain, to_plain
from app.domain.costing.fitting import Fit, Program, fit
from app.domain.job import Job

CHOSEN = 0.5  # a yes or no that lies above this is a yes


def get_ready() -> None:
    """Load the solver before a job is there."""
    import highspy  # noqa: F401


def fit_payload(job: Job, basis: Basis, budget_cents: int) -> dict[str, Any]:
    """What the task is given, as plain values."""
    return {"job": to_plain(job), "basis": to_plain(basis), "budget": budget_cents}


def fit_task(payload: Any, tell: Any) -> bytes:
    """Look for the best set."""
    tell(0.0, "Trying sets")
    job, basis = from_plain(payload["job"], Job), from_plain(payload["basis"], Basis)
    return msgspec.json.encode(fit(job, basis, int(payload["budget"]), solved))


def fit_of(content: bytes) -> Fit:
    """What the task found."""
    return msgspec.json.decode(content, type=Fit)


def solved(program: Program) -> tuple[int, ...] | None:
    """The places of what a program chooses; None where nothing meets its rows."""
    return solved_within(program, None)[0]


def solved_within(program: Program, nodes: int | None) -> tuple[tuple[int, ...] | None, bool]:
    """The same, looking at so many branches at most: the best choice seen by then, and whether it is proven best.

    Branches are counted, not seconds: one answer on every machine.
    """
    import highspy

    solver: Any = highspy.Highs()  # type: ignore[no-untyped-call]
    options = OPTIONS if nodes is None else {**OPTIONS, "mip_max_nodes": nodes, **(ROUGH if nodes < MANY else {})}
    for name, value in options.items():
        solver.setOptionValue(name, value)
    solver.passModel(_model(program, highspy))
    solver.run()
    status = solver.getModelStatus()
    ended = status in {highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible}
    feasible = solver.getInfo().primal_solution_status == FEASIBLE
    if not feasible or (nodes is None and status != highspy.HighsModelStatus.kOptimal):
        return None, ended
    values = solver.getSolution().col_value
    return tuple(place for place, value in enumerate(values) if value > CHOSEN), ended


MANY = 1000  # branches: who asks for fewer is content with a good choice
ROUGH = {"mip_rel_gap": 0.03, "mip_heuristic_effort": 0.02}
FEASIBLE = 2  # HiGHS: kSolutionStatusFeasible


OPTIONS = {
    "output_flag": False,
    "threads": 1,
    "random_seed": 0,
    "mip_detect_symmetry": False,
    "mip_rel_gap": 0.0,
    "mip_abs_gap": 1e-6,
}


def _model(program: Program, highspy: Any) -> Any:
    """A program as the solver takes it: columns from 0 to 1, whole, and rows."""
    count = len(program.costs)
    found = highspy.HighsLp()
    found.num_col_, found.num_row_ = count, len(program.rows)
    found.col_cost_ = np.array(program.costs)
    found.col_lower_, found.col_upper_ = np.zeros(count), np.ones(count)
    found.row_lower_ = np.array([row.least for row in program.rows])
    found.row_upper_ = np.array([row.most for row in program.rows])
    found.integrality_ = [highspy.HighsVarType.kInteger] * count
    matrix = found.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kRowwise
    matrix.start_ = np.cumsum([0, *(len(row.places) for row in program.rows)])
    matrix.index_ = np.array([place for row in program.rows for place in row.places])
    matrix.value_ = np.array([one for row in program.rows for one in row.coefficients])
    return found
