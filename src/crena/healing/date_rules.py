"""Times after the operation that are common, each with its source or with none."""

from crena.records import DateRule

NO_SOURCE = "common practice, no source"

TEACHING_PAGES = "teaching pages of low authority: back 12 to 14 days, trunk from day 10"

IRETON = "4 to 6 weeks, by the strength of wounds: Ireton 2013"

DOLL = "recurrence is seen for 20 years: Doll 2007; the days are common practice, no source"

EARLIEST_DAYS = {
    "stitches-half": (10, TEACHING_PAGES),
    "stitches-rest": (12, TEACHING_PAGES),
    "sitting": (14, NO_SOURCE),
    "desk-work": (14, NO_SOURCE),
    "heavy-work": (28, IRETON),
    "sport": (28, IRETON),
}
"""By the code of an entry: the earliest customary day and where it comes from."""

DRAIN_READING = DateRule(
    code="drain",
    task="Read the drain, write its volume down, empty it",
    who="ward nurse",
    days=(1, 2, 3),
    source=NO_SOURCE,
    caution="At the same hour each day until it is out. A sudden stop may be a blocked drain.",
)
"""Until there is a forecast, the first three days; then each day that it reaches."""

AT_THE_WARD = (DRAIN_READING,)

STITCHES = (
    DateRule(
        code="stitches-half",
        task="Take out every second skin stitch",
        who="surgeon or practice nurse",
        days=(12,),
        visit=True,
        source=TEACHING_PAGES,
        caution="Not while the skin is under tension. Stop if the wound gapes.",
    ),
    DateRule(
        code="stitches-rest",
        task="Take out the other skin stitches",
        who="surgeon or practice nurse",
        days=(14,),
        visit=True,
        source=TEACHING_PAGES,
        caution="Later if the wound healed slowly; the donor point comes last.",
    ),
)

VISITS = (
    DateRule(
        code="visit",
        task="Visit: flap, wound and scar",
        who="surgeon",
        days=(2, 7, 14, 30),
        months=(3, 6, 12),
        years=(2, 3, 4, 5),
        visit=True,
        source=DOLL,
    ),
    DateRule(
        code="contact",
        task="Telephone: pain, discharge, another operation?",
        who="practice",
        years=(10,),
        visit=True,
        source=DOLL,
    ),
)

HISTOLOGY = DateRule(
    code="histology",
    task="Read the histology of the specimen and tell the patient",
    who="surgeon",
    days=(14,),
    source=NO_SOURCE,
)

DAILY_LIFE = (
    DateRule(
        code="sitting",
        task="Sitting straight is allowed again",
        who="patient",
        days=(14,),
        source=NO_SOURCE,
        caution="Until then lie on the front or the side, or perch on a cushion.",
    ),
    DateRule(code="desk-work", task="Work at a desk", who="patient", days=(14,), source=NO_SOURCE),
    DateRule(code="heavy-work", task="Work with lifting", who="patient", days=(42,), source=IRETON),
    DateRule(code="sport", task="Sport", who="patient", days=(42,), source=IRETON),
    DateRule(
        code="hair",
        task="Hair removal may begin",
        who="patient, with the practice",
        days=(42,),
        source="laser better than razor: Pronk 2018; the day is assumed",
        caution="Only on healed, dry skin. No razor in the long run.",
    ),
)

COMMON_RULES = (*AT_THE_WARD, *STITCHES, *VISITS, HISTOLOGY, *DAILY_LIFE)
