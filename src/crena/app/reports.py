"""What the command line says when a plan is made."""

from pathlib import Path

from crena.app.planning_job import PLAN_FILES
from crena.records import Plan, PlanSet


def figures_that_matter(plan_set: PlanSet, folder: Path) -> str:
    """Return the figures a surgeon asks for first, one plan a paragraph, and the files."""
    lines = [plan_set.order, ""]
    for plan in plan_set.plans:
        lines += [f"{plan.id}  {_title(plan)}", *(f"   {s}" for s in _sentences(plan)), ""]
    lines += [f"{folder / name}" for name in PLAN_FILES]
    lines += ["", plan_set.cautions[0]]
    return "\n".join(lines)


def _title(plan: Plan) -> str:
    side = plan.closure.donor_side
    return f"{plan.closure.name}, flap from the {side}" if side else plan.closure.name


def _sentences(plan: Plan) -> list[str]:
    cut, scar, chance = plan.excision, plan.scar, plan.excision.chance_clear
    low, high = round(100 * chance.chance_low), round(100 * chance.chance_high)
    return [
        f"{plan.best_at} {plan.price}".strip(),
        f"Clear of every wall by {cut.least_wall_clearance_mm:.0f} mm as drawn; "
        f"{chance.at_least_mm:.0f} mm hold in {low}–{high} of 100 repeats.",
        f"Takes {cut.volume_low_ml:.0f}–{cut.volume_high_ml:.0f} mL. Lower end of the scar "
        f"{scar.lower_end_low_mm:.0f}–{scar.lower_end_high_mm:.0f} mm off the midline.",
    ]
