"""What still holds of a case: its sign-off, its printed bars, its sheets on paper."""

import hashlib
from dataclasses import replace

from crena import __version__
from crena.app.case_files import CASES
from crena.app.planning_job import inputs_hash_of
from crena.records import (
    Case,
    Choice,
    ConflictError,
    Dossier,
    IssuedSheet,
    PrintedBars,
    SignOff,
)

TEMPLATES = ("template.pdf", "template.svg", "template.dxf")
"""Sheets that are laid on the skin."""

SAY_WHETHER_SIGNED = (*TEMPLATES, "theatre-card.pdf")
"""Sheets on which the sign-off is printed, or that there is none."""

MAPPED_FIELDS = ("pits", "probings", "body", "clicks", "precision")
"""What of a case the map is made from."""

OPERATED = (
    "The operation is recorded, so this case is not planned again: what was done stays as it was "
    "planned. For another operation make a new case; if the record was begun by mistake, remove "
    "it in Theatre."
)

CHANGED_SINCE = (
    "The operation is recorded, and the case was changed since its plans were made. What was done "
    "can still be printed in Healing."
)


def map_hash(dossier: Dossier) -> str:
    """Return the SHA-256 of all that changes the map of a scan."""
    scan = dossier.scan.voxels_sha256 if dossier.scan else ""
    made_from = CASES.dump_json(replace(dossier.case, choice=None), include=set(MAPPED_FIELDS))
    return hashlib.sha256(f"{__version__} {scan} ".encode() + made_from).hexdigest()


def are_old(dossier: Dossier) -> bool:
    """Tell whether the case is another one than its plans were made for."""
    return dossier.plans is not None and dossier.plans.inputs_hash != _inputs(dossier)


def placed(dossier: Dossier) -> Dossier:
    """Return the case with what its plans lie in its scan by, where that is known.

    Plans get old by any change of what is asked of them; where they lie in the scan depends on
    the scan, its marks and the probing alone.
    """
    plans = dossier.plans
    if plans is None or plans.placed_by or are_old(dossier):
        return dossier
    return replace(dossier, plans=replace(plans, placed_by=map_hash(dossier)))


def lie_as_planned(dossier: Dossier) -> bool:
    """Tell whether the plans of a case lie in its scan where they were planned."""
    plans = dossier.plans
    if plans is None or not plans.placed_by:
        return not are_old(dossier)
    return plans.placed_by == map_hash(dossier)


def refuse_old(dossier: Dossier, then: str) -> None:
    """Refuse what rests on plans of the case as it is now.

    Parameters
    ----------
    dossier : Dossier
        As saved last.
    then : str
        What was asked for, to be done once the case is planned again.

    Raises
    ------
    ConflictError
        If the plans are old; after the operation nothing is planned again.
    """
    if not are_old(dossier):
        return
    if dossier.case.operation is not None:
        raise ConflictError(CHANGED_SINCE)
    raise ConflictError(
        f"The case was changed after these plans were made. Plan it again, then {then}."
    )


def refuse_operated(dossier: Dossier) -> None:
    """Refuse to put other plans in the place of those that an operation followed.

    Raises
    ------
    ConflictError
        If the operation is recorded; a record without any plans may still be planned.
    """
    if dossier.case.operation is not None and dossier.plans is not None:
        raise ConflictError(OPERATED)


def _inputs(dossier: Dossier) -> str:
    return inputs_hash_of(dossier.case, dossier.scan.voxels_sha256 if dossier.scan else None)


def drawn_letter(dossier: Dossier) -> str:
    """Return the letter of the plan that the surgeon chose among these plans, or nothing."""
    choice, plans = dossier.case.choice, dossier.plans
    if choice is None or plans is None or choice.code not in ("", plans.code):
        return ""
    return choice.plan


def followed_choice(case: Case) -> Choice | None:
    """Return the plan that the operation followed by its record, or nothing.

    A record without a letter follows the choice among its plans, one without a code the plans of
    the case.
    """
    done, choice = case.operation, case.choice
    if done is None or not (done.plan or done.plan_code):
        return None
    if not done.plan and choice is not None and choice.code in ("", done.plan_code):
        return replace(choice, code=done.plan_code)
    return Choice(plan=done.plan, code=done.plan_code)


def printed_name(dossier: Dossier) -> tuple[str, str]:
    """Return code and letter of the plan that is printed; the letter is empty before a choice."""
    followed, code = followed_choice(dossier.case), dossier.plans.code if dossier.plans else ""
    if followed is None:
        return code, drawn_letter(dossier)
    return followed.code or code, followed.plan


def standing_sign_off(dossier: Dossier) -> SignOff | None:
    """Return the sign-off if it is still for this plan of this case, else nothing.

    A changed case, other plans or another choice make it void; it is kept, and not shown as
    valid.
    """
    signed, plans = dossier.signed, dossier.plans
    if signed is None or plans is None or are_old(dossier):
        return None
    holds = (signed.code, signed.plan) == (plans.code, drawn_letter(dossier))
    return signed if holds else None


def printed_sign_off(dossier: Dossier) -> SignOff | None:
    """Return the standing sign-off if it is of the plan that is printed, else nothing."""
    return of_this_plan(standing_sign_off(dossier), printed_name(dossier))


def of_this_plan(signed: SignOff | None, name: tuple[str, str]) -> SignOff | None:
    """Return a sign-off if it is of the plan with this code and letter, else nothing.

    The plan that was taken in theatre is another one than the plan that was signed off.
    """
    return signed if signed and (signed.code, signed.plan) == name else None


def standing_bars(dossier: Dossier) -> PrintedBars | None:
    """Return the measured bars if they are of a print of the plan that is signed off."""
    signed, bars = printed_sign_off(dossier), dossier.bars
    if signed is None or bars is None:
        return None
    return bars if (bars.code, bars.plan) == (signed.code, signed.plan) else None


def is_superseded(dossier: Dossier, sheet: IssuedSheet) -> bool:
    """Tell whether a sheet on paper says something else than the case says now."""
    if dossier.plans is None or are_old(dossier):
        return True
    signed = printed_sign_off(dossier)
    signed_at = signed.at if signed and sheet.kind in SAY_WHETHER_SIGNED else None
    return (sheet.code, sheet.plan, sheet.signed_at) != (*printed_name(dossier), signed_at)


def has_template(dossier: Dossier) -> bool:
    """Tell whether a template is about that shows the plan as it is now."""
    return any(
        sheet.kind in TEMPLATES and not is_superseded(dossier, sheet) for sheet in dossier.sheets
    )
