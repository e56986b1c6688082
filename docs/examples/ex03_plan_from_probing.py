"""A plan without a scan: two pits, one probing, and what the surgeon asks for."""

from datetime import date

from crena.planning.compose import Provenance, plan_case
from crena.records import (
    CASE_SCHEMA,
    AcuteSigns,
    Answer,
    Case,
    Findings,
    Limits,
    PatientLabel,
    PitEntry,
    Probing,
    Side,
)
from crena.sinus.mapping import map_from_probing

no = Answer.NO
case = Case(
    schema=CASE_SCHEMA,
    patient=PatientLabel(label="Example"),
    findings=Findings(
        seen_on=date(2026, 11, 20),
        acute_signs=AcuteSigns(redness=no, swelling=no, warmth=no, pus_under_pressure=no, fever=no),
    ),
    pits=(
        PitEntry(name="1", above_coccyx_tip_mm=14.0),
        PitEntry(name="2", above_coccyx_tip_mm=27.0),
    ),
    probings=(
        Probing(
            tract="T1",
            pit="2",
            length_mm=24.0,
            tip_depth_mm=12.0,
            from_cranial_deg=20.0,
            side=Side.LEFT,
        ),
    ),
    limits=Limits(drawn_margin_mm=7.0, least_clearance_mm=4.0),
)
tract_map = map_from_probing(case)
provenance = Provenance(inputs_hash="example", code="example", versions={})
plan_set = plan_case(case, tract_map, provenance, today=date(2026, 11, 25))

if __name__ == "__main__":
    print(plan_set.order)
    for plan in plan_set.plans:
        print(
            f"{plan.id} {plan.closure.name}, flap from the {plan.closure.donor_side}: takes "
            f"{plan.excision.volume_ml:.0f} mL, lower end "
            f"{plan.scar.lower_end_midline_mm:.0f} mm off the midline"
        )
