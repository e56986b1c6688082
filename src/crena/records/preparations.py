"""What must be known of the patient before the operation, beyond allergies and drugs."""

from dataclasses import dataclass

from crena.records.base import Record
from crena.records.sides import Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Preparation(Record):
    """Skin, hair, habits and illnesses that change the day; each asked, none guessed."""

    skin_broken: Answer = Answer.NOT_ASKED  #: a rash, boil or sore where skin will be cut
    scars_in_field: Answer = Answer.NOT_ASKED
    hair_in_field: Answer = Answer.NOT_ASKED
    smokes: Answer = Answer.NOT_ASKED
    diabetes: Answer = Answer.NOT_ASKED
    frail_heart_or_liver: Answer = Answer.NOT_ASKED  #: frailty, or heart or liver disease
    implanted_device: Answer = Answer.NOT_ASKED  #: pacemaker or the like
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Matter(Record):
    """One thing to settle: its answer, and what is to be done about it."""

    topic: str
    subject: str
    answer: Answer
    to_do: str  #: empty if nothing is
