"""A case as the surgeon enters it: who, what was found, what was probed, what is asked for."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Final, Literal

from crena.records.aftercare import Aftercare
from crena.records.base import Between, CalendarDay, Record
from crena.records.operations import OperationRecord
from crena.records.preparations import Preparation
from crena.records.probings import Probing
from crena.records.scans import ScanClicks
from crena.records.sides import Answer, Side
from crena.records.skins import SkinEntry

CASE_SCHEMA: Final = "crena.case/1"
"""Name and version of the case file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PatientLabel(Record):
    """How the patient is named on screen and paper; no more than local rules allow."""

    label: str
    identifier: str = ""
    birth_date: Annotated[date, CalendarDay()] | None = None
    weight_kg: Annotated[float, Between(20, 300, "kg")] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AcuteSigns(Record):
    """Signs of acute inflammation; each is asked, none is guessed."""

    redness: Answer = Answer.NOT_ASKED
    swelling: Answer = Answer.NOT_ASKED
    warmth: Answer = Answer.NOT_ASKED
    pus_under_pressure: Answer = Answer.NOT_ASKED
    fever: Answer = Answer.NOT_ASKED


@dataclass(frozen=True, slots=True, kw_only=True)
class Allergies(Record):
    """Allergies that matter on the day of the operation."""

    dye: Answer = Answer.NOT_ASKED
    local_anaesthetic: Answer = Answer.NOT_ASKED
    antibiotic: Answer = Answer.NOT_ASKED
    antiseptic: Answer = Answer.NOT_ASKED
    latex: Answer = Answer.NOT_ASKED
    plaster: Answer = Answer.NOT_ASKED
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drugs(Record):
    """Drugs and conditions that change what may be given."""

    anticoagulant: Answer = Answer.NOT_ASKED
    serotonergic: Answer = Answer.NOT_ASKED
    immunosuppressant: Answer = Answer.NOT_ASKED
    g6pd_deficiency: Answer = Answer.NOT_ASKED
    pregnancy: Answer = Answer.NOT_ASKED
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings(Record):
    """What was found on the day that the patient was seen."""

    seen_on: Annotated[date, CalendarDay()]
    acute_signs: AcuteSigns = AcuteSigns()
    recurrent: Answer = Answer.NOT_ASKED
    allergies: Allergies = Allergies()
    drugs: Drugs = Drugs()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PitEntry(Record):
    """An opening in the skin, measured with a ruler laid on the skin."""

    name: str
    above_coccyx_tip_mm: Annotated[float, Between(-60, 120, "mm")]
    off_midline_mm: Annotated[float, Between(0, 80, "mm")] = 0.0
    side: Side | None = None  #: needed when the pit is off the midline
    radius_mm: Annotated[float, Between(0.2, 10, "mm")] = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyEntry(Record):
    """The shape of the region, measured by hand; a scan replaces what it shows better."""

    anal_verge_below_coccyx_tip_mm: Annotated[float, Between(10, 90, "mm")] = 42.0
    cleft_depth_mm: Annotated[float, Between(0, 70, "mm")] = 20.0
    cleft_half_width_mm: Annotated[float, Between(5, 80, "mm")] = 20.0
    presacral_depth_mm: Annotated[float, Between(5, 100, "mm")] = 25.0
    gluteal_depth_mm: Annotated[float, Between(5, 150, "mm")] = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Precision(Record):
    """How exact each kind of measurement is taken to be, as one standard deviation."""

    registration_sd_mm: Annotated[float, Between(0, 10, "mm")] = 2.0
    click_sd_mm: Annotated[float, Between(0, 10, "mm")] = 1.5
    probe_length_sd_mm: Annotated[float, Between(0, 10, "mm")] = 1.5
    probe_angle_sd_deg: Annotated[float, Between(0, 45, "degrees")] = 7.0
    marking_sd_mm: Annotated[float, Between(0, 10, "mm")] = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits(Record):
    """What the surgeon asks of every plan."""

    drawn_margin_mm: Annotated[float, Between(0, 30, "mm")] = 8.0
    least_clearance_mm: Annotated[float, Between(0, 30, "mm")] = 5.0
    wall_angle_deg: Annotated[float, Between(0, 30, "degrees")] = 0.0
    lower_end_midline_mm: Annotated[float, Between(0, 60, "mm")] = 20.0
    anal_verge_mm: Annotated[float, Between(0, 80, "mm")] = 25.0
    base_to_length_ratio: Annotated[float, Between(0, 3)] = 0.7
    edge_mismatch_mm: Annotated[float, Between(0, 60, "mm")] = 25.0
    flap_from: Side | None = None  #: the side that must give the flap; none: both are tried
    recheck_after_day: Annotated[int, Between(1, 365, "days")] = 42


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice(Record):
    """The plan that the surgeon chose, and among which plans."""

    plan: str  #: its letter
    code: str = ""  #: of the plans it was chosen from; empty: of those that are made now


@dataclass(frozen=True, slots=True, kw_only=True)
class Case(Record):
    """One case, whole: the content of a case file."""

    schema: Literal["crena.case/1"]
    patient: PatientLabel
    findings: Findings
    pits: tuple[PitEntry, ...] = ()
    probings: tuple[Probing, ...] = ()
    body: BodyEntry = BodyEntry()
    skin: SkinEntry = SkinEntry()
    clicks: ScanClicks | None = None
    limits: Limits = Limits()
    precision: Precision = Precision()
    choice: Choice | None = None
    preparation: Preparation = Preparation()
    operation: OperationRecord | None = None
    aftercare: Aftercare = Aftercare()
    seed: Annotated[int, Between(0, 2**31)] = 1
