"""How each line is treated for sales tax: the rules of firm, materials and works, resolved for a line."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.basis import Basis, CostClass, Firm, Material
from app.domain.job import Job
from app.domain.keeping import KeptByInputs, Same

OURS, CLIENTS, EXEMPT = "ours", "client", "exempt"
LABOR_TOO = "client, labor too"
TREATMENTS: Mapping[str, str] = {
    OURS: "We pay it when we buy",
    CLIENTS: "The client pays it on the selling price",
    EXEMPT: "No tax",
}
WORK_TREATMENTS: Mapping[str, str] = {
    OURS: "We pay it on all but labor",
    CLIENTS: "The client pays it on all but labor",
    LABOR_TOO: "The client pays it on all, labor too",
    EXEMPT: "No tax on any of it",
}
BY_MODE: Mapping[str, str] = {"consumer": OURS, "retailer": CLIENTS, "none": EXEMPT}
WORKED = (CostClass.LABOR, CostClass.OWN_HOURS)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxRules:
    """Treatments by class, and those that materials and works have of their own, with the reason."""

    by_class: Mapping[CostClass, str]
    materials: Mapping[str, tuple[str, str]]
    works: Mapping[str, tuple[str, str]]

    def of(self, work_id: str, material: str, cost_class: CostClass) -> tuple[str, str]:
        """Treatment and reason; the reason is empty where it is the class's."""
        labor = cost_class in WORKED
        work = self.works.get(work_id)
        if work is not None and (not labor or work[0] in (EXEMPT, LABOR_TOO)):
            return (CLIENTS if work[0] == LABOR_TOO else work[0]), work[1]
        own = self.materials.get(material)
        return own if own is not None else (self.by_class[cost_class], "")

    @property
    def only_classes(self) -> bool:
        """Whether no material and no work has a rule of its own."""
        return not self.materials and not self.works


def class_rules(firm: Firm) -> Mapping[CostClass, str]:
    """The treatment of each class of cost: as the firm says, else materials by its mode and nothing else."""
    said = {one: firm.tax_by_class.get(one.value, "") for one in CostClass}
    usual = {CostClass.MATERIAL: BY_MODE[firm.tax_mode]}
    found = {one: said[one] if said[one] in TREATMENTS else usual.get(one, EXEMPT) for one in CostClass}
    worked = {one: EXEMPT for one in WORKED if found[one] == OURS}  # nobody pays sales tax on wages
    return {**found, **worked, CostClass.ALLOWANCE: EXEMPT}  # an allowance is sold as printed


_MATERIALS: KeptByInputs[Mapping[str, tuple[str, str]]] = KeptByInputs(1, each=8)


def _of_materials(materials: Mapping[str, Material]) -> Mapping[str, tuple[str, str]]:
    return {
        key: (one.tax, f"{one.title}: {one.tax_reason or 'no reason given'}")
        for key, one in materials.items()
        if one.tax in TREATMENTS
    }


def tax_rules(job: Job, basis: Basis) -> TaxRules:
    """The rules that a job's lines are treated by."""
    materials = _MATERIALS.get_or_make("materials", (Same(basis.materials),), lambda: _of_materials(basis.materials))
    works = {
        str(one.id): (one.tax, one.tax_reason or "a work of its own rule")
        for one in job.works
        if one.tax in WORK_TREATMENTS
    }
    return TaxRules(by_class=class_rules(basis.firm), materials=materials, works=works)
