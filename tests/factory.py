"""Synthetic cases and maps for the tests; every field can be changed."""

from dataclasses import replace
from datetime import date

from crena.planning.compose import Provenance
from crena.records import (
    CASE_SCHEMA,
    AcuteSigns,
    Allergies,
    Answer,
    BodyEntry,
    Case,
    Findings,
    Limits,
    PatientLabel,
    PitEntry,
    Probing,
    Side,
)
from crena.sinus.mapping import map_from_probing

TODAY = date(2026, 11, 25)
CALM = AcuteSigns(
    redness=Answer.NO,
    swelling=Answer.NO,
    warmth=Answer.NO,
    pus_under_pressure=Answer.NO,
    fever=Answer.NO,
)
NO_ALLERGY = Allergies(
    dye=Answer.NO,
    local_anaesthetic=Answer.NO,
    antibiotic=Answer.NO,
    antiseptic=Answer.NO,
    latex=Answer.NO,
    plaster=Answer.NO,
)
PROVENANCE = Provenance(inputs_hash="0" * 64, code="0000 0000", versions={"crena": "test"})


def case(**changes):
    """An asymmetric case: one tract to the patient's left, a short one to the right."""
    plain = Case(
        schema=CASE_SCHEMA,
        patient=PatientLabel(label="Test", weight_kg=70.0),
        findings=Findings(
            seen_on=date(2026, 11, 20),
            acute_signs=CALM,
            recurrent=Answer.NO,
            allergies=NO_ALLERGY,
        ),
        pits=(
            PitEntry(name="1", above_coccyx_tip_mm=14.0),
            PitEntry(name="2", above_coccyx_tip_mm=26.0, off_midline_mm=1.5, side=Side.RIGHT),
        ),
        probings=(
            Probing(
                tract="T1", pit="1", length_mm=30.0, tip_depth_mm=13.0,
                from_cranial_deg=22.0, side=Side.LEFT, cavity_radius_mm=4.0,
            ),
            Probing(
                tract="T2", pit="2", length_mm=13.0, tip_depth_mm=8.0,
                from_cranial_deg=50.0, side=Side.RIGHT,
            ),
        ),
        body=BodyEntry(cleft_depth_mm=12.0),
        limits=Limits(drawn_margin_mm=7.0, least_clearance_mm=4.0),
    )  # fmt: skip
    return replace(plain, **changes)


def tract_map(**changes):
    return map_from_probing(case(**changes))


def mirrored(plain):
    """The same case with the patient's sides exchanged."""

    def other(side):
        return None if side is None else side.other

    return replace(
        plain,
        pits=tuple(replace(p, side=other(p.side)) for p in plain.pits),
        probings=tuple(replace(p, side=other(p.side)) for p in plain.probings),
    )
