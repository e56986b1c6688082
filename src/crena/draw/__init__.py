"""Figures, true-size template and plan sheet: records in, bytes of PDF, SVG, DXF and PNG out.

`draw` shows the figures of a record and computes none; only the layout is its own.
"""

from crena.draw.consent_sheets import consent_pdf
from crena.draw.operation_note_sheets import operation_note_pdf
from crena.draw.paper import Paper
from crena.draw.patient_sheets import patient_pdf
from crena.draw.plan_pictures import Stage, plan_picture_svg
from crena.draw.plan_sheets import plan_pdf
from crena.draw.press import png_of
from crena.draw.specimen_cards import specimen_card_pdf
from crena.draw.template_files import template_dxf, template_svg
from crena.draw.template_sheets import template_pages, template_pdf
from crena.draw.theatre_cards import theatre_card_pdf
from crena.draw.ward_cards import ward_card_pdf

__all__ = [
    "Paper", "Stage", "consent_pdf", "operation_note_pdf", "patient_pdf", "plan_pdf",
    "plan_picture_svg", "png_of", "specimen_card_pdf", "template_dxf", "template_pages",
    "template_pdf", "template_svg", "theatre_card_pdf", "ward_card_pdf",
]  # fmt: skip
