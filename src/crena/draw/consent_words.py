"""What the consent sheet says beside the figures of one plan."""

from dataclasses import dataclass

from crena.records import Record

GERMAN_GUIDELINE = "German guideline 2020"

AMERICAN_GUIDELINE = "American guideline 2019"


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative(Record):
    """Another way, what is published of it, and where."""

    name: str
    words: str
    source: str


ALTERNATIVES = (
    Alternative(
        name="No operation",
        words="Disease without complaints is not treated.",
        source=GERMAN_GUIDELINE,
    ),
    Alternative(
        name="Hair removal alone",
        words="Shaving or laser, where there is no abscess.",
        source=AMERICAN_GUIDELINE,
    ),
    Alternative(
        name="Phenol or fibrin glue",
        words="Put into the tract instead of cutting it out.",
        source=AMERICAN_GUIDELINE,
    ),
    Alternative(
        name="Small cuts (pit picking)",
        words="For small disease. It comes back more often.",
        source=GERMAN_GUIDELINE,
    ),
    Alternative(
        name="Cutting out, left open",
        words="As little as possible. Safe, and slow to heal.",
        source=GERMAN_GUIDELINE,
    ),
    Alternative(
        name="Another closure off the midline",
        words="Limberg flap and Karydakis operation: the best studied.",
        source=GERMAN_GUIDELINE,
    ),
    Alternative(
        name="Closure in the midline",
        words="Called obsolete.",
        source=GERMAN_GUIDELINE,
    ),
)
"""From the least to the most, as guidelines put it."""

GUIDELINES = (
    "German guideline: S3, AWMF 081-009. American guideline: Society of Colon and Rectal Surgeons."
)

RISKS = (
    "Pain, bleeding, blood or fluid under the flap, infection, edges that part, slow healing, a "
    "wound that must be opened again.",
    "The tip of a flap may die. Skin round the scar may stay numb. The scar shows for life.",
    "The disease may come back, also after many years. Another operation may be needed.",
    "Anaesthesia and lying on the front have risks of their own. Ask the anaesthetist.",
)
"""Without figures: what is commonly told, from memory (assumed)."""

OWN_UNIT = "not enough followed up yet"
"""Stands in the unit's own column until it can be filled."""

NO_INTERVAL = "no interval"

NEVER_COMPUTED = (
    "Your own chance that the disease comes back: not computed. The rates are those of others.",
    "Your own chance of a complication: not computed.",
)

QUESTIONS = (
    "What happens if I wait?",
    "Would a smaller operation do for me?",
    "Why from this side?",
    "How many of these do you do each year? How many came back, and after what time?",
    "How long may I not sit, work or do sport?",
    "Who looks after the wound, and whom do I call at night?",
)

STATEMENT = (
    "I could ask what I wanted to ask, and I understood the answers. I may change my mind at any "
    "time before the operation."
)

LOCAL_FORM = "This sheet does not replace the form that your hospital uses."

WORDS = {"code": "Plan code", "page": "page", "of": "of"}
"""What the page's head and foot say."""
