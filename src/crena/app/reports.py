"""What the command line says when a plan is made."""

from pathlib import Path

from crena.app.planning_job import PLAN_FILES
from crena.draw.words import (
    chance_sentence,
    clearance_sentence,
    lower_end_sentence,
    pull_sentence,
    volume_sentence,
)
from crena.records import Plan, PlanSet


def figures_that_matter(plan_set: PlanSet, folder: Path) -> str:
    """Return the figures a surgeon asks for first, one plan a paragraph, and the files."""
    lines = [plan_set.order, *([plan_set.would_change] if plan_set.would_change else []), ""]
    for plan in plan_set.plans:
        lines += [f"{plan.id}  {_title(plan)}", *(f"   {s}" for s in _sentences(plan)), ""]
    lines += [f"{folder / name}" for name in PLAN_FILES]
    lines += ["", plan_set.cautions[0]]
    return "\n".join(lines)


def _title(plan: Plan) -> str:
    side = plan.closure.donor_side
    return f"{plan.closure.name}, flap from the {side}" if side else plan.closure.name


def _sentences(plan: Plan) -> list[str]:
    sentences = (
        f"{plan.best_at} {plan.price}".strip(),
        clearance_sentence(plan, plan.excision.chance_clear.at_least_mm),
        chance_sentence(plan),
        volume_sentence(plan),
        lower_end_sentence(plan),
        f"{pull_sentence(plan)} Relative, not validated.",
    )
    return [sentence.replace("*", "") for sentence in sentences]
