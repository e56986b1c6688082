"""The surgeon's word for one plan, and the print that was measured before it touches the skin."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import combinations
from math import ceil, dist

from fastapi import APIRouter

from crena.app.server.cases import CHANGED
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.entering import enter
from crena.app.server.plans import plan_set_of
from crena.app.server.problems import EntryError, EntryFault
from crena.app.server.side_words import folded, side_of, typed_side
from crena.app.server.standing import drawn_letter, has_template, printed_sign_off, refuse_old
from crena.draw.landmarks import BAR_MM
from crena.draw.templates import drawn_plan
from crena.records import (
    Closure,
    ConflictError,
    Dossier,
    InputError,
    PatientLabel,
    Plan,
    PlanSet,
    PrintedBars,
    Record,
    Revision,
    SignOff,
)
from crena.records.numbers import NEARLY_WHOLE, number_from

routes = APIRouter(prefix="/api/cases/{case_id}", tags=["signing"])

BAR_SLACK_MM = 0.5
"""A printed bar may be so much longer or shorter: what a steel ruler can tell (assumed)."""

BARS_MM = (50.0, 150.0)
"""No print of a bar of 100 mm reads anything else."""

OTHER = "Another plan is chosen now than the one you saw. Look at it again, then sign off."


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedSignOff(Record):
    """The plan that the surgeon saw, and what was typed for it."""

    code: str
    plan: str
    side: str  #: in full words of either language
    label: str
    identifier: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedBars(Record):
    """What the ruler showed on the two bars, as typed."""

    across_mm: str
    along_mm: str


@routes.post("/sign", responses=CHANGED)
def sign(case_id: str, typed: TypedSignOff, desk: AtDesk) -> Revision:
    """Sign off the chosen plan; side, label and identifier must be those of the case."""
    return enter(desk, case_id, lambda last: _signed(desk, last, typed), "signed off")


@routes.delete("/sign", responses=CHANGED)
def take_back(case_id: str, desk: AtDesk) -> Revision:
    """Take a sign-off back, and with it what was measured on its print."""
    return enter(
        desk, case_id, lambda last: replace(last, signed=None, bars=None), "sign-off taken back"
    )


@routes.post("/bars", responses=CHANGED)
def enter_bars(case_id: str, typed: TypedBars, desk: AtDesk) -> Revision:
    """Keep the two bars as measured, if the print has its true size."""
    return enter(desk, case_id, lambda last: _measured(desk, last, typed), "bars measured")


def _signed(desk: Desk, dossier: Dossier, typed: TypedSignOff) -> Dossier:
    plan = _plan_to_sign(desk, dossier, typed)
    faults = [
        *_side_faults(plan.closure, typed.side),
        *_who_faults(dossier.case.patient, typed),
    ]
    if faults:
        raise EntryError(faults)
    signed = SignOff(
        code=typed.code,
        plan=plan.id,
        flap_from=plan.closure.donor_side,
        typed_label=typed.label.strip(),
        typed_identifier=typed.identifier.strip(),
        by=desk.author("signed off").by,
        at=this_second(),
    )
    return replace(dossier, signed=signed, bars=None)


def _plan_to_sign(desk: Desk, dossier: Dossier, typed: TypedSignOff) -> Plan:
    """Return the chosen plan, if it is the one that was seen and the case is still the same."""
    plan_set = plan_set_of(desk, dossier)
    refuse_old(dossier, "sign off")
    if not drawn_letter(dossier):
        raise InputError("No plan is chosen yet. Choose one, then sign off.")
    _refuse_unseen(typed, plan_set)
    return drawn_plan(plan_set)


def _refuse_unseen(typed: TypedSignOff, plan_set: PlanSet) -> None:
    """Refuse a sign-off that was typed before another plan, in another tab or by another hand."""
    if (typed.code, typed.plan) != (plan_set.code, plan_set.chosen):
        raise ConflictError(OTHER)


def _side_faults(closure: Closure, typed: str) -> Iterator[EntryFault]:
    """Refuse another side than the plan's, without saying which it is."""
    side = typed_side(typed)
    if side is None:
        yield EntryFault(
            entry="side", code="side_words",
            sentence="Write the side in full words: patient's left, patient's right, both sides, "
            "or no flap.",
        )  # fmt: skip
    elif side != side_of(closure):
        yield EntryFault(
            entry="side", code="other_side",
            sentence="This plan takes its flap from elsewhere. Stop: look at the patient and at "
            "the drawing, then type the side again.",
        )  # fmt: skip


def _who_faults(patient: PatientLabel, typed: TypedSignOff) -> Iterator[EntryFault]:
    """Refuse another label or identifier than the case's, without repeating either."""
    for name, known, said in (
        ("label", patient.label, typed.label),
        ("identifier", patient.identifier, typed.identifier),
    ):
        if not known.strip():
            yield EntryFault(
                entry=name, code=f"no_{name}",
                sentence=f"This case has no {name}. Enter it with the case first: two are needed.",
            )  # fmt: skip
        elif folded(known) != folded(said):
            yield EntryFault(
                entry=name, code=f"other_{name}",
                sentence=f"This is not the {name} of this case. Read it from the patient's papers "
                "and type it again.",
            )  # fmt: skip


def _measured(desk: Desk, dossier: Dossier, typed: TypedBars) -> Dossier:
    signed = printed_sign_off(dossier)
    if signed is None:
        raise ConflictError("The plan is not signed off. Sign it off, print it, then measure.")
    if not has_template(dossier):
        raise ConflictError("No template was printed since the sign-off. Print it, then measure.")
    plan = drawn_plan(plan_set_of(desk, dossier))
    across_mm, along_mm = _bars_mm(typed, plan.closure)
    bars = PrintedBars(
        code=signed.code, plan=plan.id, across_mm=across_mm, along_mm=along_mm, at=this_second()
    )
    return replace(dossier, bars=bars)


def _bars_mm(typed: TypedBars, closure: Closure) -> tuple[float, float]:
    """Return both bars, mm; each that cannot be used has its own sentence."""
    lengths: list[float] = []
    faults: list[EntryFault] = []
    for name, text in (("across", typed.across_mm), ("along", typed.along_mm)):
        try:
            lengths.append(_bar_mm(name, text, closure))
        except EntryError as refusal:
            faults += refusal.faults
    if faults:
        raise EntryError(faults)
    return lengths[0], lengths[1]


def _bar_mm(name: str, text: str, closure: Closure) -> float:
    what, entry = f"The bar {name}", f"{name}_mm"
    try:
        length_mm = number_from(text, what=what)
    except InputError as refusal:
        fault = EntryFault(entry=entry, code="no_number", sentence=str(refusal))
        raise EntryError([fault]) from None
    low, high = BARS_MM
    if not low <= length_mm <= high:
        sentence = f"{what} reads {low:.0f} to {high:.0f} mm. Type millimetres."
        raise EntryError([EntryFault(entry=entry, code="bar_range", sentence=sentence)])
    off_mm = abs(length_mm - BAR_MM)
    if not off_mm <= BAR_SLACK_MM + NEARLY_WHOLE:
        raise EntryError([_scale_fault(name, length_mm - BAR_MM, closure)])
    return length_mm


def _scale_fault(name: str, over_mm: float, closure: Closure) -> EntryFault:
    """Say how wrong a print is, on its bar and on the longest distance of the plan."""
    way = "long" if over_mm > 0 else "short"
    points = [corner.at_mm for corner in closure.corners]
    longest_mm = max((dist(p, q) for p, q in combinations(points, 2)), default=BAR_MM)
    off, on_skin = tenths_up(abs(over_mm)), tenths_up(abs(over_mm) * longest_mm / BAR_MM)
    return EntryFault(
        entry=f"{name}_mm",
        code=f"bar_{way}",
        sentence=f"The bar {name} is {off} mm too {way}; {BAR_SLACK_MM} mm is allowed. On the "
        f"skin the plan would be up to {on_skin} mm too {way}. Do not use this print: print at "
        "100 %, not fitted to the page, or draw it by the ruler table.",
        figures={"off_mm": off, "skin_mm": on_skin},
    )


def tenths_up(value_mm: float) -> str:
    """Return a length rounded up to a tenth.

    >>> tenths_up(1.5), tenths_up(0.51)
    ('1.5', '0.6')
    """
    return f"{ceil(10 * value_mm - NEARLY_WHOLE) / 10:.1f}"


def this_second() -> datetime:
    """Return the time of the clock on the wall."""
    return datetime.now().replace(microsecond=0)
