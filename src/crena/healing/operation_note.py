"""The operation note, written from what was recorded; nothing else is said to have happened."""

from collections.abc import Iterator

from crena.records import (
    Answer,
    DrainPlaced,
    DyeSeen,
    InputError,
    LayerDone,
    NoteSection,
    OperationNote,
    OperationRecord,
    Plan,
    PlannedDone,
    Point2,
    Probing,
    Side,
    weekday_date,
)
from crena.records.numbers import at_least, whole

NOT_RECORDED = "not recorded"

NOT_PLANNED = "not in the plan"

NAMES = {
    "plan": "the plan that was followed",
    "corners": "corners of the defect",
    "defect_length_mm": "length of the defect",
    "defect_width_mm": "width of the defect",
    "defect_depth_mm": "depth of the defect",
    "specimen_length_mm": "length of the specimen",
    "specimen_width_mm": "width of the specimen",
    "specimen_depth_mm": "depth of the specimen",
    "specimen_weight_g": "weight of the specimen",
    "clearances": "clearance measured on the specimen",
    "blood_loss_ml": "blood loss",
    "layers": "layers",
    "drains": "drains",
    "deviations": "deviations from the plan",
    "steps": "times of the steps",
}
"""By the name of the field: how the note calls it."""


def operation_note(operation: OperationRecord, plan: Plan | None = None) -> OperationNote:
    """Write the note of an operation.

    Parameters
    ----------
    operation : OperationRecord
        What was found and done, as far as it was recorded.
    plan : Plan, optional
        The plan that was followed, to stand beside what was done.

    Returns
    -------
    OperationNote
        Sections of plain paragraphs, planned against done, and what was not recorded.

    Raises
    ------
    InputError
        If the plan is not the one that the record names, or if dye is recorded at a wall and
        also as not seen.
    """
    _refuse_other_plan(operation, plan)
    _refuse_two_dyes(operation)
    sections = (
        NoteSection(heading="Findings", paragraphs=tuple(_findings(operation))),
        NoteSection(heading="Excision", paragraphs=tuple(_excision(operation))),
        NoteSection(heading="Closure", paragraphs=tuple(_closure(operation, plan))),
        NoteSection(heading="Deviations from the plan", paragraphs=tuple(_deviations(operation))),
        NoteSection(heading="Course", paragraphs=tuple(_course(operation))),
    )
    return OperationNote(
        title=f"Operation on {weekday_date(operation.operated_on)} (day 0)",
        sections=tuple(section for section in sections if section.paragraphs),
        rows=tuple(_rows(operation, plan)),
        not_recorded=tuple(_not_recorded(operation)),
    )


def note_text(note: OperationNote) -> str:
    """Return a note as plain text with headings, to be edited at will."""
    blocks = [note.title]
    blocks += ["\n".join((s.heading.upper(), *s.paragraphs)) for s in note.sections]
    rows = [f"{r.what}. Planned: {r.planned}. Done: {r.done}." for r in note.rows]
    if rows:
        blocks.append("\n".join(("PLANNED AND DONE", *rows)))
    if note.not_recorded:
        blocks.append(f"NOT RECORDED\n{_capital(', '.join(note.not_recorded))}.")
    return "\n\n".join(blocks) + "\n"


def _findings(operation: OperationRecord) -> Iterator[str]:
    if operation.dye_seen is not DyeSeen.NOT_RECORDED:
        walls = ", ".join(f"wall {wall}" for wall in operation.dye_walls)
        yield f"Dye: {operation.dye_seen}{f' at {walls}' if walls else ''}."
    for branch in operation.branches:
        yield (
            f"New branch {branch.tract} from pit {branch.pit}: {whole(branch.length_mm)} mm long, "
            f"its tip {whole(branch.tip_depth_mm)} mm deep, {_way(branch)}."
        )


def _excision(operation: OperationRecord) -> Iterator[str]:
    length, width = operation.hole_length_mm, operation.hole_width_mm
    if length is not None and width is not None and not operation.measured:
        yield f"The hole measured {whole(length)} mm from end to end and {whole(width)} mm across."
    for name in ("defect", "specimen"):
        sizes = [
            f"{whole(size)} mm {word}"
            for dimension, word in (("length", "long"), ("width", "wide"), ("depth", "deep"))
            if (size := getattr(operation, f"{name}_{dimension}_mm")) is not None
        ]
        if sizes:
            yield f"{_capital(name)}: {', '.join(sizes)}."
    if operation.specimen_weight_g is not None:
        yield f"The specimen weighs {operation.specimen_weight_g} g."
    for found in operation.clearances or ():
        yield f"Clearance on the specimen, wall {found.wall}: {at_least(found.clearance_mm)} mm."


def _closure(operation: OperationRecord, plan: Plan | None) -> Iterator[str]:
    if operation.plan:
        code = f" of {operation.plan_code}" if operation.plan_code else ""
        yield f"Plan that was followed: {operation.plan}{code}{_plan_words(plan)}."
    for number, layer in enumerate(operation.layers or (), start=1):
        yield f"Layer {number}: {_layer_words(layer)}."
    if operation.drains == ():
        yield "No drain."
    for drain in operation.drains or ():
        yield f"Drain {_drain_words(drain)}."


def _deviations(operation: OperationRecord) -> Iterator[str]:
    if operation.deviations == ():
        yield "None."
    for deviation in operation.deviations or ():
        yield f"{_ended(deviation.what)} Why: {_ended(deviation.why)}"


def _course(operation: OperationRecord) -> Iterator[str]:
    for step in operation.steps or ():
        yield f"{step.at:%H:%M} {_ended(step.step)}"
    if operation.blood_loss_ml is not None:
        yield f"Blood loss {whole(operation.blood_loss_ml)} mL."
    if operation.counts_agree is Answer.YES:
        yield "Swabs, needles and instruments: the counts agree."
    if operation.counts_agree is Answer.NO:
        yield "Swabs, needles and instruments: the counts do not agree."
    if operation.note:
        yield operation.note


def _rows(operation: OperationRecord, plan: Plan | None) -> Iterator[PlannedDone]:
    """Yield each figure of the plan beside the one that was recorded."""
    if plan is None:
        return
    yield _row("Depth", plan.excision.depth_mm, operation.defect_depth_mm)
    planned = {corner.name: corner.at_mm for corner in plan.excision.outline.corners}
    done = {corner.name: corner.at_mm for corner in operation.defect}
    for name in dict.fromkeys([*planned, *done]):
        yield PlannedDone(
            what=f"Corner {name}",
            planned=_place(planned[name]) if name in planned else NOT_PLANNED,
            done=_place(done[name]) if name in done else NOT_RECORDED,
        )
    yield from _clearance_rows(operation, plan)


def _clearance_rows(operation: OperationRecord, plan: Plan) -> Iterator[PlannedDone]:
    planned: dict[str, float] = {}
    for clearance in plan.excision.clearances:
        least_mm = at_least(clearance.least_mm)
        planned[clearance.wall] = min(least_mm, planned.get(clearance.wall, least_mm))
    done = {found.wall: at_least(found.clearance_mm) for found in operation.clearances or ()}
    for wall in dict.fromkeys([*planned, *done]):
        yield _row(f"Clearance, wall {wall}", planned.get(wall), done.get(wall))


def _row(what: str, planned_mm: float | None, done_mm: float | None) -> PlannedDone:
    return PlannedDone(
        what=what,
        planned=NOT_PLANNED if planned_mm is None else f"{whole(planned_mm)} mm",
        done=NOT_RECORDED if done_mm is None else f"{whole(done_mm)} mm",
    )


def _not_recorded(operation: OperationRecord) -> Iterator[str]:
    if operation.dye_seen is DyeSeen.NOT_RECORDED:
        yield "whether dye was seen"
    if operation.dye_seen is DyeSeen.AT_WALL and not operation.dye_walls:
        yield "at which wall dye was seen"
    yield from (word for name, word in NAMES.items() if _is_missing(operation, name))
    if operation.counts_agree is Answer.NOT_ASKED:
        yield "counts of swabs, needles and instruments"


def _is_missing(operation: OperationRecord, name: str) -> bool:
    """Tell whether nothing was recorded in a field, nor in what stands for it."""
    if name == "corners" and operation.measured:
        return not operation.defect
    value = getattr(operation, name)
    return value in (None, "") or (name == "clearances" and not value)


def _plan_words(plan: Plan | None) -> str:
    if plan is None:
        return ""
    side = plan.closure.donor_side
    return f", {plan.closure.name}{f', flap from the {side}' if side else ''}"


def _layer_words(layer: LayerDone) -> str:
    count = "" if layer.stitches is None else f", {layer.stitches} stitches"
    return f"{layer.name}, {layer.material} {layer.size}{count}"


def _drain_words(drain: DrainPlaced) -> str:
    side = f", leaves the skin on the {drain.leaves_on}" if drain.leaves_on else ""
    size = (
        "size not recorded" if drain.size_charriere is None else f"{drain.size_charriere} charrière"
    )
    return f"{drain.name}, {size}{side}"


def _place(at_mm: Point2) -> str:
    across, along = whole(at_mm[0]), whole(at_mm[1])
    side = Side.RIGHT if across > 0 else Side.LEFT
    off = f"{abs(across)} mm to the {side}" if across else "on the midline"
    level = "above" if along >= 0 else "below"
    return f"{off}, {abs(along)} mm {level} the tip of the coccyx"


def _way(branch: Probing) -> str:
    """Say which way a branch runs on the skin, from the head's end."""
    turned = f"{whole(branch.from_cranial_deg)}° from cranial"
    return f"{turned} to the {branch.side}" if branch.side else turned


def _ended(text: str) -> str:
    """Return what was recorded with one mark at its end."""
    text = text.strip()
    return text if text.endswith(("!", "?")) else f"{text.rstrip('. ')}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _refuse_other_plan(operation: OperationRecord, plan: Plan | None) -> None:
    if plan is not None and plan.id != operation.plan:
        raise InputError(
            f"The record names plan {operation.plan or 'none'}, but plan {plan.id} was given. "
            "Take the plan that was followed."
        )


def _refuse_two_dyes(operation: OperationRecord) -> None:
    if operation.dye_walls and operation.dye_seen is not DyeSeen.AT_WALL:
        raise InputError(
            f"Dye is recorded at a wall ({operation.dye_walls[0]}), and also: "
            f"{operation.dye_seen}. Keep one."
        )
