"""Stitches, thread and loads, against a hand-worked example and drawn threads."""

from dataclasses import replace

import numpy as np
import pytest
from sample_closings import IN_SKIN, RUNNING, SKIN, TABLES, TEMPLATE

from crena.healing.layers import loop_mm, plan_layers, seam_line, thread_mm
from crena.records import InputError, LineForce, Mark, Material, SeamLine, SeamPull, ThreadTerms

TERMS = ThreadTerms()
LINE = SeamLine(name="A to B", length_mm=200.0)
PULLED = (
    replace(LINE, force=LineForce(low_n_per_mm=0.1, middle_n_per_mm=0.2, high_n_per_mm=0.3)),
    SeamLine(
        name="donor",
        donor=True,
        length_mm=35.0,
        force=LineForce(low_n_per_mm=0.2, middle_n_per_mm=0.5, high_n_per_mm=0.9),
    ),
    SeamLine(
        name="C to D",
        length_mm=71.0,
        force=LineForce(low_n_per_mm=0.3, middle_n_per_mm=0.4, high_n_per_mm=0.5),
    ),
)


def planned(*templates, seams=(LINE,), depth_mm=20.0, terms=TERMS):
    return plan_layers(depth_mm, seams, templates, TABLES, terms)


def test_interrupted_example_worked_by_hand():
    """200 mm, 10 apart, bite 5, depth 5: 19 loops of 30 mm and 40 mm tails, 15 % lost."""
    layer = planned(TEMPLATE).layers[0]
    assert (layer.stitches, layer.loop_mm) == (19, 30.0)
    assert layer.thread_mm == pytest.approx(19 * 70 * 1.15)
    assert layer.thread_mm == pytest.approx(1530, abs=1)
    assert layer.packets == 3


def test_running_in_the_skin_example_worked_by_hand():
    """20 slants of sqrt(200) mm and the tails of two knots, 15 % lost."""
    layer = planned(IN_SKIN).layers[0]
    assert layer.stitches == 20 and layer.packets == 1
    assert layer.thread_mm == pytest.approx(417, abs=0.5)


@pytest.mark.parametrize("template", [RUNNING, IN_SKIN, replace(RUNNING, spacing_mm=7.0)])
def test_running_thread_is_as_long_as_its_drawing(template):
    """The thread is drawn in space, needle hole by needle hole, and measured."""
    b, z, p = template.bite_mm, template.depth_mm, template.spacing_mm
    over_and_over = [(0, -b, 0), (0, -b, -z), (0, b, -z), (0, b, 0), (p, -b, 0)]
    in_skin = [(0, -b, 0), (p, b, 0)]
    drawn = np.array(over_and_over if template is not IN_SKIN else in_skin, dtype=float)
    once = np.linalg.norm(np.diff(drawn, axis=0), axis=1).sum()
    spaces = np.ceil(203.0 / p)
    bare = ThreadTerms(tails_mm=0.0, loss_fraction=0.0)
    assert loop_mm(template) == pytest.approx(once)
    assert thread_mm(203.0, template, bare) == pytest.approx(spaces * once)


def test_an_interrupted_loop_is_a_running_one_with_no_way_between():
    close = replace(RUNNING, spacing_mm=1e-6)
    assert loop_mm(close) == pytest.approx(loop_mm(TEMPLATE), abs=1e-6)


def test_seams_add_up_in_any_order():
    forth, back = planned(TEMPLATE, seams=PULLED), planned(TEMPLATE, seams=PULLED[::-1])
    assert forth.layers[0].stitches == 19 + 3 + 7
    assert forth.layers[0].thread_mm == pytest.approx(back.layers[0].thread_mm)
    assert forth.order == back.order


def test_deep_rows_follow_the_depth_below_the_skin():
    deep = replace(TEMPLATE, row_pitch_mm=12.0)
    assert [planned(deep, depth_mm=d).layers[0].rows for d in (14.0, 14.5, 15.0, 38.6)] == [
        1, 1, 2, 4,
    ]  # fmt: skip
    assert planned(deep, depth_mm=38.6).layers[0].stitches == 4 * 19
    shallow = planned(deep, depth_mm=2.0)
    assert shallow.layers == () and "left out" in shallow.warnings[0]


def test_the_greatest_pull_is_sewn_first_and_the_donor_seam_is_named():
    plan = planned(TEMPLATE, seams=PULLED)
    assert plan.order == ("donor", "C to D", "A to B")
    assert plan.donor_seams == ("donor",)


def test_without_pull_the_donor_seam_comes_first_and_no_load_is_stated():
    seams = tuple(replace(seam, force=None) for seam in PULLED)
    plan = planned(TEMPLATE, seams=seams)
    assert plan.order == ("donor", "A to B", "C to D")
    assert plan.layers[0].loads == ()


def test_a_stitch_carries_its_spacing_and_is_held_against_its_knot():
    donor = planned(TEMPLATE, seams=PULLED).layers[0].loads[1]
    assert (donor.load_low_n, donor.load_n, donor.load_high_n) == (2.0, 5.0, 9.0)
    assert donor.margin_ratio == pytest.approx(17.36 / 9.0)
    assert donor.strength_basis.mark is Mark.MEMORY
    nylon = planned(SKIN, seams=PULLED).layers[0].loads[1]
    assert nylon.margin_ratio == pytest.approx(5.88 / 7.2)


def test_a_seam_spreads_its_pull_over_its_length():
    pull = SeamPull(name="donor", donor=True, force_n=10.0, force_low_n=5.0, force_high_n=20.0)
    line = seam_line(pull, 40.0)
    assert line.donor and line.force == LineForce(
        low_n_per_mm=0.125, middle_n_per_mm=0.25, high_n_per_mm=0.5
    )


def test_thread_over_wound_length_is_checked_for_running_layers_alone():
    wide = planned(replace(RUNNING, spacing_mm=5.0))
    assert wide.layers[0].thread_over_wound_ratio == pytest.approx(4.236, abs=1e-3)
    assert wide.warnings == ()
    assert "2.4 times" in planned(RUNNING).warnings[0]
    assert planned(TEMPLATE).layers[0].thread_over_wound_ratio is None


@pytest.mark.parametrize("size", ["2.0", "2/0", "00", "02", "2-O", ""])
def test_a_size_that_could_be_another_is_refused(size):
    with pytest.raises(InputError, match="not a size on the list"):
        planned(replace(TEMPLATE, size=size))


@pytest.mark.parametrize(("size", "metric"), [("2-0", "3"), ("2", "5")])
def test_a_size_is_always_written_with_both_names(size, metric):
    said = planned(replace(TEMPLATE, size=size)).layers[0].size
    assert said.startswith(f"{size} (metric {metric}, 0.")


@pytest.mark.parametrize("material", [Material.POLYAMIDE, Material.POLYPROPYLENE])
def test_skin_stitches_that_never_dissolve_need_a_day_of_removal(material):
    forgotten = replace(SKIN, material=material, removal_day=None)
    with pytest.raises(InputError, match="does not dissolve"):
        planned(forgotten)


def test_absorbable_thread_left_in_the_skin_is_warned_of():
    visible = replace(SKIN, material=Material.POLIGLECAPRONE_DYED, removal_day=None)
    assert "irritates" in planned(visible).warnings[0]
    assert planned(replace(visible, removal_day=7.0)).warnings == ()


@pytest.mark.parametrize("seams", [(), (replace(LINE, length_mm=0.0),)])
def test_nothing_to_sew_is_refused(seams):
    with pytest.raises(InputError, match="seam|Seam"):
        planned(TEMPLATE, seams=seams)


@pytest.mark.parametrize("depth_mm", [0.0, -3.0, float("nan"), float("inf")])
def test_a_wound_without_depth_is_refused(depth_mm):
    with pytest.raises(InputError, match="depth"):
        planned(TEMPLATE, depth_mm=depth_mm)
