"""What to settle before the operation."""

from dataclasses import fields, replace

import pytest
from factory import case

from crena.healing.before_operation import matters_before_operation, not_settled
from crena.records import Allergies, Answer, Drugs, Findings, Preparation

QUESTIONS = [
    (kind, f.name)
    for kind in (Preparation, Drugs, Allergies)
    for f in fields(kind)
    if f.name != "note"
]


def answered(answer, other=None):
    """Return findings and preparation with one answer throughout, but for one question."""

    def filled(kind):
        answers = {f.name: answer for f in fields(kind) if f.name != "note"}
        return kind(**{**answers, **(other[1] if other and other[0] is kind else {})})

    found = Findings(
        seen_on=case().findings.seen_on, drugs=filled(Drugs), allergies=filled(Allergies)
    )
    return matters_before_operation(found, filled(Preparation))


def test_every_question_of_the_records_is_on_the_list_once():
    matters = answered(Answer.NO)
    assert len(matters) == len(QUESTIONS) == len({m.subject for m in matters})
    topics = list(dict.fromkeys(m.topic for m in matters))
    assert topics == ["skin and hair", "habits and illnesses", "drugs and conditions", "allergies"]


def test_nothing_is_left_to_do_only_when_all_was_asked_and_denied():
    assert not_settled(answered(Answer.NO)) == ()


@pytest.mark.parametrize(("kind", "name"), QUESTIONS)
@pytest.mark.parametrize("answer", [Answer.YES, Answer.NOT_ASKED])
def test_each_question_that_is_open_or_answered_yes_asks_for_something(kind, name, answer):
    (matter,) = not_settled(answered(Answer.NO, (kind, {name: answer})))
    assert matter.answer is answer
    assert matter.to_do.startswith("Not asked: ") == (answer is Answer.NOT_ASKED)


def test_empty_records_are_never_taken_as_no():
    empty = replace(case().findings, allergies=Allergies(), drugs=Drugs())
    matters = not_settled(matters_before_operation(empty, Preparation()))
    assert len(matters) == len(QUESTIONS)
    assert all(m.to_do == f"Not asked: {m.subject}. Ask." for m in matters)
