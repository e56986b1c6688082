"""The operation note says what was recorded, beside what was planned, and names the rest."""

from dataclasses import fields, replace
from datetime import date, time

import pytest
from pydantic import TypeAdapter
from sample_plans import sample_plan_set

from crena.healing.operation_note import NAMES, note_text, operation_note
from crena.records import (
    Answer,
    Corner,
    Deviation,
    DrainPlaced,
    DyeSeen,
    InputError,
    LayerDone,
    MeasuredCorner,
    OperationRecord,
    Probing,
    Side,
    TimedStep,
    WallClearance,
)

PLAN = sample_plan_set().plans[0]
EMPTY = OperationRecord(operated_on=date(2026, 11, 26))
WALLS = list(dict.fromkeys(c.wall for c in PLAN.excision.clearances))
WHOLE = OperationRecord(
    operated_on=date(2026, 11, 26),
    plan_code="7F3A 91C2",
    plan=PLAN.id,
    dye_seen=DyeSeen.AT_WALL,
    dye_walls=(WALLS[0],),
    corners=(Corner(name="A", at_mm=(11.6, 83.0)), Corner(name="X", at_mm=(-3.4, -8.5))),
    defect_length_mm=73.0,
    defect_width_mm=44.5,
    defect_depth_mm=31.0,
    specimen_length_mm=71.0,
    specimen_width_mm=42.0,
    specimen_depth_mm=29.0,
    specimen_weight_g=92,
    clearances=(WallClearance(wall=WALLS[0], clearance_mm=6.8),),
    blood_loss_ml=40.0,
    layers=(LayerDone(name="deep", material="polydioxanone", size="2-0", stitches=14),),
    drains=(DrainPlaced(name="closed suction", size_charriere=12, leaves_on=Side.LEFT),),
    counts_agree=Answer.YES,
    deviations=(Deviation(what="Wall moved out by 8 mm", why="Dye at the wall"),),
    steps=(TimedStep(step="incision", at=time(9, 12)),),
)


def said_of(operation, plan=None):
    return note_text(operation_note(operation, plan))


@pytest.mark.parametrize(
    "words",
    [
        "Operation on Thursday 26 November 2026 (day 0)", f"seen in the wound at wall {WALLS[0]}",
        "Defect: 73 mm long, 45 mm wide, 31 mm deep.", "Specimen: 71 mm long, 42 mm wide",
        "The specimen weighs 92 g.", f"wall {WALLS[0]}: 6 mm", "Blood loss 40 mL.",
        "Layer 1: deep, polydioxanone 2-0, 14 stitches.", "the counts agree",
        "Drain closed suction, 12 charrière, leaves the skin on the patient's left.",
        "Wall moved out by 8 mm. Why: Dye at the wall.", "09:12 incision.",
        "Depth. Planned: 28 mm. Done: 31 mm.",
        f"Plan that was followed: {PLAN.id} of 7F3A 91C2, {PLAN.closure.name}, flap from the",
    ],
)  # fmt: skip
def test_each_thing_that_was_recorded_is_in_the_note(words):
    assert words in said_of(WHOLE, PLAN)


def test_a_recorded_text_that_ends_in_a_full_stop_gets_no_second_one():
    said = said_of(
        replace(
            WHOLE,
            deviations=(
                Deviation(what="Drain left out.", why=" Dry. "),
                Deviation(what="x", why="y?"),
            ),
            steps=(TimedStep(step="Incision.", at=time(9, 12)),),
        )
    )
    assert "Drain left out. Why: Dry.\nx. Why: y?\n" in said
    assert "09:12 Incision.\n" in said and ".." not in said


def test_a_whole_record_leaves_nothing_unrecorded():
    assert operation_note(WHOLE, PLAN).not_recorded == ()
    assert "NOT RECORDED" not in said_of(WHOLE, PLAN)


def test_an_empty_record_tells_no_finding_and_lists_all_that_is_missing():
    note = operation_note(EMPTY)
    assert note.sections == () and note.rows == ()
    assert len(note.not_recorded) == len(NAMES) + 2
    assert "none" not in note_text(note).lower() and "no drain" not in note_text(note).lower()


@pytest.mark.parametrize("name", list(NAMES))
def test_each_field_left_out_is_named_as_not_recorded(name):
    empty = "" if name == "plan" else None
    less = replace(WHOLE, **{name: empty})
    assert operation_note(less).not_recorded == (NAMES[name],)


def test_every_field_that_may_be_empty_has_its_name():
    may_be_empty = {f.name for f in fields(OperationRecord) if f.default is None}
    in_place_of_corners = {"hole_length_mm", "hole_width_mm"}
    assert may_be_empty - in_place_of_corners | {"plan"} == set(NAMES)


def test_a_hole_known_by_its_size_is_told_by_it_and_one_known_by_its_corners_is_not():
    sized = replace(EMPTY, hole_length_mm=91.0, hole_width_mm=61.0)
    words = "The hole measured 91 mm from end to end and 61 mm across."
    assert words in said_of(sized)
    corner = MeasuredCorner(name="A", above_coccyx_tip_mm=40.0)
    assert words not in said_of(replace(sized, measured=(corner,)))


@pytest.mark.parametrize(("name", "words"), [("drains", "No drain."), ("deviations", "None.")])
def test_none_is_said_only_where_none_was_recorded(name, words):
    assert words in said_of(replace(WHOLE, **{name: ()}))
    assert words not in said_of(replace(WHOLE, **{name: None}))


@pytest.mark.parametrize("seen", list(DyeSeen))
def test_dye_is_told_as_recorded(seen):
    note = operation_note(replace(EMPTY, dye_seen=seen))
    told = any(str(seen) in p for s in note.sections for p in s.paragraphs)
    assert told == (seen is not DyeSeen.NOT_RECORDED)
    assert ("whether dye was seen" in note.not_recorded) == (seen is DyeSeen.NOT_RECORDED)
    assert ("at which wall dye was seen" in note.not_recorded) == (seen is DyeSeen.AT_WALL)


def test_counts_that_do_not_agree_are_said():
    assert "the counts do not agree" in said_of(replace(WHOLE, counts_agree=Answer.NO))
    unasked = operation_note(replace(WHOLE, counts_agree=Answer.NOT_ASKED))
    assert unasked.not_recorded == ("counts of swabs, needles and instruments",)


def test_planned_and_done_stand_side_by_side():
    rows = {row.what: row for row in operation_note(WHOLE, PLAN).rows}
    assert rows["Depth"].planned == f"{PLAN.excision.depth_mm:.0f} mm"
    assert rows["Depth"].done == "31 mm"
    least = min(c.least_mm for c in PLAN.excision.clearances if c.wall == WALLS[0])
    clearance = rows[f"Clearance, wall {WALLS[0]}"]
    assert (clearance.planned, clearance.done) == (f"{int(least)} mm", "6 mm")
    assert rows["Corner B"].done == "not recorded"
    assert rows["Corner X"].planned == "not in the plan"


def test_corners_are_told_with_sides_in_full_words():
    rows = {row.what: row for row in operation_note(WHOLE, PLAN).rows}
    above, below = rows["Corner A"].done, rows["Corner X"].done
    assert above == "12 mm to the patient's right, 83 mm above the tip of the coccyx"
    assert below == "3 mm to the patient's left, 9 mm below the tip of the coccyx"


def test_a_plan_other_than_the_one_that_was_followed_is_refused():
    other = sample_plan_set().plans[1]
    with pytest.raises(InputError, match=f"names plan {PLAN.id}, but plan {other.id}"):
        operation_note(WHOLE, other)


def test_dye_seen_nowhere_and_at_a_wall_cannot_both_be_recorded():
    with pytest.raises(InputError, match="at a wall"):
        operation_note(replace(WHOLE, dye_seen=DyeSeen.NOWHERE))


def test_a_record_comes_back_from_a_file_as_it_was_written():
    adapter = TypeAdapter(OperationRecord)
    assert adapter.validate_json(adapter.dump_json(WHOLE)) == WHOLE
    assert adapter.validate_json('{"operated_on": "2026-11-26"}') == EMPTY


def test_measured_corners_stand_in_the_note_and_one_without_its_side_does_not():
    corners = (
        MeasuredCorner(name="A", above_coccyx_tip_mm=63.0, off_midline_mm=12.0, side=Side.LEFT),
        MeasuredCorner(name="B", above_coccyx_tip_mm=30.0, off_midline_mm=9.0),
    )
    note = operation_note(replace(EMPTY, plan=PLAN.id, measured=corners), PLAN)
    rows = {row.what: row.done for row in note.rows}
    assert rows["Corner A"].startswith("12 mm to the patient's left, 63 mm above")
    assert rows["Corner B"] == "not recorded"


def test_a_new_branch_stands_among_the_findings():
    branch = Probing(
        tract="T7", pit="2", length_mm=24.0, tip_depth_mm=9.0, from_cranial_deg=70.0,
        side=Side.RIGHT,
    )  # fmt: skip
    text = note_text(operation_note(replace(EMPTY, branches=(branch,))))
    assert "New branch T7 from pit 2: 24 mm long, its tip 9 mm deep" in text
    assert "70° from cranial to the patient's right" in text


def test_a_drain_whose_size_nobody_wrote_down_is_still_a_drain():
    text = note_text(operation_note(replace(EMPTY, drains=(DrainPlaced(name="1"),))))
    assert "Drain 1, size not recorded." in text and "No drain" not in text


def test_no_clearance_at_all_is_not_a_clearance():
    assert "clearance measured" in note_text(operation_note(replace(EMPTY, clearances=())))
