"""What to settle before the operation: every question three-valued, none left out."""

from crena.records import Answer, Findings, Matter, Preparation

SKIN_AND_HAIR = {
    "skin_broken": (
        "a rash, boil or sore where skin will be cut",
        "Treat it first. Operate on healed skin.",
    ),
    "scars_in_field": (
        "earlier scars in the field",
        "Draw them on the plan. No pedicle may cross a scar.",
    ),
    "hair_in_field": ("hair in the field", "Clip it on the day of the operation. Do not shave."),
}

HABITS_AND_ILLNESSES = {
    "smokes": (
        "smoking",
        "Stop 4 weeks before until 4 weeks after (common practice, no source). Sources "
        "disagree on recurrence.",
    ),
    "diabetes": ("diabetes", "Settle the sugar first. Stitches may have to stay longer."),
    "frail_heart_or_liver": (
        "frailty, heart or liver disease",
        "Tell the anaesthetist. Less local anaesthetic.",
    ),
    "implanted_device": (
        "pacemaker or other implanted device",
        "Settle it with its clinic before a scan and before diathermy.",
    ),
}

DRUGS = {
    "anticoagulant": ("anticoagulant", "Agree with the prescriber when to pause it."),
    "serotonergic": ("serotonergic drug", "No methylene blue: serotonin toxicity."),
    "immunosuppressant": ("immunosuppressant", "Agree with the prescriber. Wounds heal later."),
    "g6pd_deficiency": ("G6PD deficiency", "No methylene blue: haemolysis."),
    "pregnancy": ("pregnancy", "Postpone what can wait. No dye."),
}

ALLERGIES = {
    "dye": ("allergy to dye", "No dye step."),
    "local_anaesthetic": ("allergy to local anaesthetic", "Settle which drug is safe."),
    "antibiotic": ("allergy to an antibiotic", "Choose another. Write both on the sheet."),
    "antiseptic": ("allergy to an antiseptic", "Choose another for skin and wound."),
    "latex": ("allergy to latex", "Gloves, drain and theatre free of latex."),
    "plaster": ("allergy to plaster", "Another dressing. Tape the buttocks with another tape."),
}


def matters_before_operation(findings: Findings, preparation: Preparation) -> tuple[Matter, ...]:
    """Return everything to settle before the operation, in the order of the clinic.

    Parameters
    ----------
    findings : Findings
        Holds the answers on drugs and allergies.
    preparation : Preparation
        Holds the answers on skin, hair, habits and illnesses.

    Returns
    -------
    tuple of Matter
        One for every question; a question that was not asked is to be asked.
    """
    asked = (
        ("skin and hair", SKIN_AND_HAIR, preparation),
        ("habits and illnesses", HABITS_AND_ILLNESSES, preparation),
        ("drugs and conditions", DRUGS, findings.drugs),
        ("allergies", ALLERGIES, findings.allergies),
    )
    return tuple(
        Matter(topic=topic, subject=subject, answer=answer, to_do=_to_do(subject, answer, action))
        for topic, questions, answers in asked
        for name, (subject, action) in questions.items()
        for answer in [getattr(answers, name)]
    )


def not_settled(matters: tuple[Matter, ...]) -> tuple[Matter, ...]:
    """Return the matters that ask for something still to be done."""
    return tuple(matter for matter in matters if matter.to_do)


def _to_do(subject: str, answer: Answer, action: str) -> str:
    if answer is Answer.NOT_ASKED:
        return f"Not asked: {subject}. Ask."
    return action if answer is Answer.YES else ""
