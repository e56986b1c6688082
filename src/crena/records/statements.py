"""Statements that every edge makes alike."""

CAUTION = (
    "Research and teaching software, not a medical device. A plan is a proposal to a licensed "
    "surgeon, who decides, follows local protocols, and trusts the dye and the tissue over the "
    "drawing."
)
"""Stands wherever a plan, a dose or a date is shown."""

NINE_OF_TEN_SDS = 1.645
"""A band of this many standard deviations either way holds nine of ten normal errors."""
