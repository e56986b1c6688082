"""What the command line says when a plan is made."""

from pathlib import Path

from crena.app.planning_job import PLAN_FILES
from crena.draw.filling_words import filling_sentence
from crena.draw.words import (
    chance_sentence,
    clearance_sentence,
    lower_end_sentence,
    pull_sentence,
    scar_after_sentence,
    volume_sentence,
)
from crena.records import HealingPlan, Plan, PlanSet, weekday_date

NEXT_DATES = 6
"""Dates that are said on the command line; all stand in the calendar file."""


def figures_that_matter(plan_set: PlanSet, folder: Path) -> str:
    """Return the figures a surgeon asks for first, one plan a paragraph, and the files."""
    lines = [plan_set.order, *([plan_set.would_change] if plan_set.would_change else []), ""]
    for plan in plan_set.plans:
        lines += [f"{plan.id}  {_title(plan)}", *(f"   {s}" for s in _sentences(plan)), ""]
    lines += [f"{folder / name}" for name in PLAN_FILES]
    lines += ["", plan_set.cautions[0]]
    return "\n".join(lines)


def healing_figures(healing: HealingPlan, names: tuple[str, ...], folder: Path) -> str:
    """Return what a ward asks for first: the drain, the stitches, the next dates; and the files."""
    lines = [healing.drain.words] if healing.drain else ["Drain: nothing read yet."]
    lines += [_support_sentence(healing), ""]
    if healing.schedule:
        lines += [
            f"{weekday_date(entry.on)}, day {entry.day}: {entry.task}"
            for entry in healing.schedule.entries[:NEXT_DATES]
        ]
    lines += ["", *(f"{folder / name}" for name in names)]
    lines += ["", *healing.cautions]
    return "\n".join(lines)


def _support_sentence(healing: HealingPlan) -> str:
    support = healing.support
    if support is None:
        return f"Support: not computed, {healing.support_reason}."
    lowest = support.lowest_worst
    return (
        f"Support is lowest on day {lowest.on_day:.0f}: {lowest.over_load_ratio:.0f} times the "
        "hardest pull by the lowest figures known. Relative, not validated; threads, not tissue."
    )


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
        *([filling_sentence(plan.filling)] if plan.filling else []),
        f"{pull_sentence(plan)} Relative, not validated.",
        scar_after_sentence(plan),
    )
    return [sentence.replace("*", "") for sentence in sentences]
