"""The template as SVG and DXF: millimetres, layers, the same bytes each time."""

import io
import re
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
from sample_plans import mirrored, sample_plan_set

from crena.draw import template_dxf, template_svg
from crena.draw.template_files import LAYERS


def read_dxf() -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(template_dxf(sample_plan_set()).decode()))


def svg_paths() -> list[list[tuple[float, float]]]:
    root = ElementTree.fromstring(template_svg(sample_plan_set()))
    found = []
    for path in root.iter("{http://www.w3.org/2000/svg}path"):
        numbers = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path.get("d", ""))
        found.append([(float(x), float(y)) for x, y in numbers])
    return found


def test_the_dxf_has_no_errors_and_is_in_millimetres() -> None:
    document = read_dxf()
    assert not document.audit().errors
    assert document.header["$INSUNITS"] == 4
    assert {entity.dxf.layer for entity in document.modelspace()} == set(LAYERS)


def test_the_bars_in_the_dxf_are_100_mm_both_ways() -> None:
    lines = read_dxf().modelspace().query('LINE[layer=="BARS"]')
    steps = [line.dxf.end - line.dxf.start for line in lines]
    assert sorted(max(abs(step.x), abs(step.y)) for step in steps) == pytest.approx([100.0, 100.0])
    assert sorted(min(abs(step.x), abs(step.y)) for step in steps) == pytest.approx([0.0, 0.0])


def test_the_cuts_in_the_dxf_are_the_record_in_the_skin_frame() -> None:
    plan = sample_plan_set().plans[0]
    space = read_dxf().modelspace()
    (outline,) = space.query('LWPOLYLINE[layer=="CUT"]')
    (flap_cut,) = space.query('LWPOLYLINE[layer=="FLAP_CUT"]')
    assert outline.closed
    assert np.allclose(outline.get_points("xy"), plan.closure.removed_mm)
    assert np.allclose(flap_cut.get_points("xy"), plan.closure.incisions_mm[0])


def test_the_dxf_names_sides_and_the_uncut_line_in_words() -> None:
    words = {text.dxf.text: text for text in read_dxf().modelspace().query("TEXT")}
    left, right = words["PATIENT'S LEFT"], words["PATIENT'S RIGHT"]
    assert left.get_placement()[1].x < 0 < right.get_placement()[1].x
    assert {"HEAD", "do not cut C–F"} <= set(words)


def test_the_svg_is_in_millimetres_with_an_equal_view_box() -> None:
    root = ElementTree.fromstring(template_svg(sample_plan_set()))
    width, height = root.get("width", ""), root.get("height", "")
    assert width.endswith("mm") and height.endswith("mm")
    assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}"


def test_the_bars_in_the_svg_are_100_mm_both_ways() -> None:
    steps = [
        (q[0] - p[0], q[1] - p[1]) for p, q in (path for path in svg_paths() if len(path) == 2)
    ]
    assert sum(abs(x) == pytest.approx(100.0, abs=1e-3) and y == 0 for x, y in steps) == 1
    assert sum(abs(y) == pytest.approx(100.0, abs=1e-3) and x == 0 for x, y in steps) == 1


def test_svg_and_dxf_are_the_same_bytes_each_time() -> None:
    for write in (template_svg, template_dxf):
        assert write(sample_plan_set()) == write(sample_plan_set())
        assert write(sample_plan_set()) != write(mirrored(sample_plan_set()))


def test_all_words_of_the_svg_are_8_pt_or_more() -> None:
    sizes = [
        float(v) for v in re.findall(rb'font-size="([\d.]+)"', template_svg(sample_plan_set()))
    ]
    assert min(sizes) * 72 / 25.4 >= 7.99
