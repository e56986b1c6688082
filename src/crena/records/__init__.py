"""The nouns of Crena: what the rooms hand to each other, with units and errors."""

from crena.records.aftercare import Aftercare
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
from crena.records.complications import Complication, Grade
from crena.records.dates import Language, long_date, weekday_date
from crena.records.dossiers import (
    DOSSIER_SCHEMA,
    Dossier,
    IssuedSheet,
    PrintedBars,
    SignOff,
    StoredMap,
    StoredPlans,
    StoredScan,
)
from crena.records.drains import (
    DayChance,
    DrainCourse,
    DrainFluid,
    DrainForecast,
    DrainPrior,
    DrainReading,
    DrainRule,
    drain_volume_ml,
)
from crena.records.errors import (
    Cancelled,
    ConflictError,
    CrenaError,
    InputError,
    MissingError,
    NoPlanError,
    NotNowError,
    RightsError,
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
from crena.records.fillings import Filling, FillingOption, FillingSection, GapMap, Quilting
from crena.records.healing_plans import HEALING_SCHEMA, DrainRead, HealingPlan
from crena.records.jobs import Job, JobKind, JobState
from crena.records.mechanics import Mechanics, ScarAfter, ScarFromLine, SeamPull, SittingPull
from crena.records.moves import Move, Moved, MoveKind
from crena.records.numbers import number_from
from crena.records.operations import (
    Deviation,
    DrainPlaced,
    DyeSeen,
    LayerDone,
    MeasuredCorner,
    NoteSection,
    OperationNote,
    OperationRecord,
    PlannedDone,
    TimedStep,
    WallClearance,
)
from crena.records.plans import (
    PLAN_SCHEMA,
    Classification,
    Comparator,
    LimitCheck,
    Plan,
    PlanSet,
    Recut,
    Refusal,
)
from crena.records.preparations import Matter, Preparation
from crena.records.previews import HandleAct, HandlePoint, Preview
from crena.records.probings import Probing
from crena.records.rates import RECURRENCE, OutcomeRate
from crena.records.revisions import Author, CaseLine, Revision, RevisionLine
from crena.records.scan_pictures import (
    ScanMap,
    ScanPicture,
    ShownKind,
    SignalWindow,
    SliceOutline,
    SliceView,
    ViewName,
    VoxelAxis,
    Way,
)
from crena.records.scans import (
    CavityClicks,
    ScanClicks,
    SkinFrame,
    TractClicks,
    Volume,
)
from crena.records.schedules import DatedTask, DateRule, OwnDay, Schedule, ScheduleSettings
from crena.records.shapes import Point2, Point3, Polyline2, Polyline3, line2, point2, point3
from crena.records.sides import Answer, Origin, Side
from crena.records.skin_films import (
    PullClass,
    ScarWindow,
    SkinFilm,
    SkinMoment,
    TensionBand,
)
from crena.records.skins import Posture, SkinEntry, SkinFolds
from crena.records.support import (
    EarliestDay,
    LowestSupport,
    RemovalChance,
    Support,
    SupportCurve,
    SupportTerms,
)
from crena.records.sutures import (
    Basis,
    CustomaryRemoval,
    KnotPull,
    Layer,
    LayerPlan,
    LayerTemplate,
    LineForce,
    Mark,
    Material,
    RetentionPoint,
    SeamLine,
    Stitch,
    StitchLoad,
    StrengthClass,
    SutureSize,
    SutureTables,
    ThreadTerms,
    WoundPoint,
    basis_words,
    mark_words,
    size_words,
)
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
    "HandleAct", "HandlePoint", "Move", "MoveKind", "Moved", "Preview",
    "CASE_SCHEMA", "DOSSIER_SCHEMA", "HEALING_SCHEMA", "PLAN_SCHEMA", "RECURRENCE",
    "AcuteSigns", "Aftercare", "Allergies", "Answer", "Author", "Basis", "Between", "BodyEntry",
    "Cancelled", "Case", "CaseLine", "Cavity", "CavityClicks", "ChanceClear", "Choice",
    "Classification", "Clearance", "Closure", "ClosureKind", "Comparator", "Complication",
    "ConflictError", "Corner", "CrenaError", "CustomaryRemoval", "DateRule", "DatedTask",
    "DayChance", "Deviation", "Disagreement", "Dossier", "DrainCourse", "DrainFluid",
    "DrainForecast", "DrainPlaced", "DrainPrior", "DrainRead", "DrainReading", "DrainRule",
    "Drugs", "DyeSeen", "EarliestDay", "Excision", "Filling", "FillingOption", "FillingSection",
    "Findings", "Flap", "GapMap", "Grade", "HealingPlan", "InputError", "IssuedSheet", "Job",
    "JobKind", "JobState", "KnotPull", "Language", "Layer", "LayerDone", "LayerPlan",
    "LayerTemplate", "LimitCheck", "Limits", "LineForce", "LowestSupport", "Mark", "Material",
    "MeasuredCorner",
    "Matter", "Mechanics", "MissingError", "NoPlanError", "NotNowError", "NoteSection",
    "OperationNote", "OperationRecord", "Origin", "OutcomeRate", "Outline", "OutlineKind",
    "OwnDay", "Parameter", "PatientLabel", "Pit", "PitEntry", "Plan", "PlanSet", "PlannedDone",
    "Point2", "Point3", "Polyline2", "Polyline3", "Posture", "Precision", "Preparation",
    "PrintedBars", "Probing", "PullClass", "Quilting", "Record", "Recut", "Refusal",
    "RemovalChance", "RetentionPoint", "Revision", "RevisionLine", "RightsError", "RigidMotion",
    "ScanClicks", "ScanError", "ScanMap", "ScanPicture", "Scar", "ScarAfter", "ScarFromLine",
    "ScarWindow", "Schedule", "ScheduleSettings", "Seam", "SeamLine", "SeamPull", "Shape",
    "ShownKind", "Side", "SignOff", "SignalWindow", "SittingPull", "SkinEntry", "SkinFilm",
    "SkinFolds", "SkinFrame", "SkinMoment", "SliceOutline", "SliceView", "Spot", "Stitch",
    "StitchLoad", "StoredMap", "StoredPlans", "StoredScan", "StrengthClass", "Support",
    "SupportCurve", "SupportTerms", "Surface", "SutureSize", "SutureTables", "TensionBand",
    "ThreadTerms", "TimedStep", "Tract", "TractClicks", "TractMap", "ViewName", "Volume",
    "VoxelAxis", "Wall", "WallClearance", "Way", "WoundPoint", "basis_words", "drain_volume_ml",
    "line2", "long_date", "mark_words", "number_from", "point2", "point3", "size_words",
    "weekday_date",
]  # fmt: skip
