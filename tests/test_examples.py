"""Each example of the documentation runs, and its closed-form facts hold."""

import runpy
from pathlib import Path

import numpy as np
import pytest

EXAMPLES = Path(__file__).parent.parent / "docs" / "examples"


def example(name):
    return runpy.run_path(str(EXAMPLES / f"{name}.py"), run_name="example")


def test_every_example_has_a_test_here():
    names = {p.stem.split("_")[0] for p in EXAMPLES.glob("ex*.py")}
    tested = {n.split("_")[1] for n in globals() if n.startswith("test_ex")}
    assert names == tested


def test_ex01_smallest_rhombus():
    found = example("ex01_smallest_rhombus")
    assert 2 * found["upright"].inradius_mm == pytest.approx(44.0, abs=1e-6)
    assert found["free"].area_mm2 <= found["upright"].area_mm2 + 1e-9
    assert found["bound"].area_mm2 > found["free"].area_mm2


def test_ex02_limberg_flap():
    found = example("ex02_limberg_flap")
    at = found["at"]
    assert found["tilt_deg"] == pytest.approx(13.35, abs=0.01)
    assert np.allclose(found["landed"], [at["B"], at["A"], at["D"]], atol=1e-9)
    assert found["scar"].lower_end_midline_mm == pytest.approx(20.0)


def test_ex03_plan_from_probing():
    found = example("ex03_plan_from_probing")
    assert len(found["plan_set"].plans) >= 3
    for plan in found["plan_set"].plans:
        assert plan.excision.least_wall_clearance_mm >= 7 - 0.05
        assert plan.scar.lower_end_midline_mm >= 20 - 1e-6


def test_ex04_scan_to_tract():
    found = example("ex04_scan_to_tract")
    assert found["error_mm"].mean() <= 0.9
    assert abs(found["tract"].length_mm - found["true_length_mm"]) <= 4.0


def test_ex05_chance_of_being_clear():
    table = example("ex05_chance_of_being_clear")["table"]
    assert table[5.0, 2.0] < 0.05
    assert table[10.0, 1.0] > 0.99
    assert table[8.0, 1.0] > table[8.0, 2.0] > table[8.0, 3.0]
