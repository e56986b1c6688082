"""The nouns of Crena: what the rooms hand to each other, with units and errors."""

from crena.records.base import Between, Record
from crena.records.cases import (
    CASE_SCHEMA,
    AcuteSigns,
    Allergies,
    BodyEntry,
    Case,
    Choice,
    Drugs,
    Findings,
    Limits,
    PatientLabel,
    PitEntry,
    Precision,
    Probing,
)
from crena.records.closures import (
    Closure,
    ClosureKind,
    Flap,
    Parameter,
    RigidMotion,
    Scar,
    Seam,
    Shape,
)
from crena.records.dates import long_date
from crena.records.errors import (
    Cancelled,
    CrenaError,
    InputError,
    NoPlanError,
    NotNowError,
    ScanError,
)
from crena.records.excisions import (
    ChanceClear,
    Clearance,
    Corner,
    Excision,
    Outline,
    OutlineKind,
    Wall,
)
from crena.records.mechanics import Mechanics, SeamPull
from crena.records.numbers import number_from
from crena.records.plans import (
    PLAN_SCHEMA,
    Classification,
    Comparator,
    LimitCheck,
    Plan,
    PlanSet,
    Refusal,
)
from crena.records.scans import (
    CavityClicks,
    ScanClicks,
    SkinFrame,
    TractClicks,
    Volume,
)
from crena.records.shapes import Point2, Point3, Polyline2, Polyline3, line2, point2, point3
from crena.records.sides import Answer, Origin, Side
from crena.records.tracts import (
    Cavity,
    Disagreement,
    Pit,
    Spot,
    Surface,
    Tract,
    TractMap,
)

__all__ = [
    "CASE_SCHEMA", "PLAN_SCHEMA", "AcuteSigns", "Allergies", "Answer", "Between", "BodyEntry",
    "Cancelled", "Case", "Cavity", "CavityClicks", "ChanceClear", "Choice", "Classification",
    "Clearance", "Closure", "ClosureKind", "Comparator", "Corner", "CrenaError", "Disagreement",
    "Drugs", "Excision", "Findings", "Flap", "InputError", "LimitCheck", "Limits", "Mechanics",
    "NoPlanError", "NotNowError", "Origin", "Outline", "OutlineKind", "Parameter",
    "PatientLabel", "Pit", "PitEntry", "Plan", "PlanSet", "Point2", "Point3", "Polyline2",
    "Polyline3", "Precision", "Probing", "Record", "Refusal", "RigidMotion", "ScanClicks",
    "ScanError", "Scar", "Seam", "SeamPull", "Shape", "Side", "SkinFrame", "Spot", "Surface",
    "Tract", "TractClicks", "TractMap", "Volume", "Wall", "line2", "long_date", "number_from",
    "point2", "point3",
]  # fmt: skip
