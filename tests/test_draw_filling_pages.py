"""The page of the filling: the plans by what they leave empty, options as options."""

from dataclasses import replace

import pytest
from printed_pages import overlaps, pages_of, words_of
from sample_plans import sample_plan_set
from test_draw_filling_pictures import sample_filling

from crena.draw import Paper, plan_pdf
from crena.draw.filling_pages import filling_page
from crena.records import FillingOption, Quilting


def plan_set(*gaps_ml):
    """Give the sample's plans the gaps, in order."""
    sample = sample_plan_set()
    plans = tuple(
        replace(plan, filling=filling_with(gap_ml) if gap_ml is not None else None)
        for plan, gap_ml in zip(sample.plans, gaps_ml, strict=False)
    )
    return replace(sample, plans=plans, chosen=plans[0].id)


def filling_with(gap_ml):
    option = FillingOption(
        name="fat turned in from the edge", how="Turn in fat 15 mm wide.", outline_mm=(),
        volume_ml=4.0, gap_ml=2.6,
    )  # fmt: skip
    row = Quilting(spacing_mm=15.0, stitches=13, farthest_mm=9.0, pocket_ratio=0.01, gap_ratio=0.08)
    return sample_filling(
        gap_ml=gap_ml, gap_low_ml=gap_ml - 2, gap_high_ml=gap_ml + 3,
        options=(option,), quilting=(row,),
    )  # fmt: skip


def test_plans_stand_in_the_order_of_what_they_leave_empty():
    found = plan_set(9.0, 4.0)
    page = filling_page(found, found.plans[0])
    assert [one[1] for one in page["plans"]] == ["B", "A"]
    assert "*2–7\u202fmL*" in page["plans"][0] or "*2–7\u00a0mL*" in page["plans"][0]


def test_a_plan_without_a_figure_is_not_set_beside_the_others():
    found = plan_set(9.0, None)
    assert len(filling_page(found, found.plans[0])["plans"]) == 1


def test_without_a_filling_there_is_no_page():
    found = plan_set(None, 4.0)
    assert filling_page(found, found.plans[0]) is None


@pytest.mark.parametrize("paper", Paper)
def test_the_printed_page_names_options_as_options(paper):
    found = plan_set(9.0, 4.0)
    page = next(
        p for p in pages_of(plan_pdf(found, paper=paper)) if "The wound, filled" in words_of(p)
    )
    words = words_of(page)
    assert "Options to fill what stays empty, each alone" in words
    assert "Fat turned in from the edge. Turn in fat 15 mm wide. It brings 4 mL" in words
    assert "patient's left" in words and "patient's right" in words
    assert overlaps(page) == []
