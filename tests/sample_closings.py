"""Layers, tables and terms for the tests of healing."""

from dataclasses import replace

from crena.records import Answer, LayerTemplate, Material, Stitch, SupportTerms
from crena.store.tables import suture_tables

TABLES = suture_tables()

TEMPLATE = LayerTemplate(
    name="deep",
    material=Material.POLYGLYCOLIC_ACID,
    size="3-0",
    spacing_mm=10.0,
    bite_mm=5.0,
    depth_mm=5.0,
)
SKIN = replace(
    TEMPLATE,
    name="skin",
    material=Material.POLYAMIDE,
    size="4-0",
    spacing_mm=8.0,
    bite_mm=6.0,
    through_skin=True,
    removal_day=12.0,
)
RUNNING = replace(TEMPLATE, stitch=Stitch.RUNNING)
IN_SKIN = replace(TEMPLATE, stitch=Stitch.RUNNING_IN_SKIN)
TERMS = SupportTerms(load_n_per_mm=0.6, contaminated=Answer.NO)
