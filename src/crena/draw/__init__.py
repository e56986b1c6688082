"""Figures, true-size template and plan sheet: records in, bytes of PDF, SVG, DXF and PNG out.

`draw` shows the figures of a record and computes none; only the layout is its own.
"""

from crena.draw.paper import Paper
from crena.draw.plan_pictures import Stage, plan_picture_svg
from crena.draw.plan_sheets import plan_pdf
from crena.draw.press import png_of
from crena.draw.template_files import template_dxf, template_svg
from crena.draw.template_sheets import template_pdf

__all__ = [
    "Paper", "Stage", "plan_pdf", "plan_picture_svg", "png_of", "template_dxf", "template_pdf",
    "template_svg",
]  # fmt: skip
