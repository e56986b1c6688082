"""Sentences that the server knows by heart stand in the page's words, so that they are German."""

import json
from pathlib import Path

import pytest

from crena.healing.agenda import DRAIN_OUT_TASK
from crena.healing.date_rules import COMMON_RULES
from crena.healing.drain_model import WIDE_PRIOR
from crena.healing.drain_words import EVIDENCE, prior_words

WORDS = Path(__file__).parent.parent / "frontend" / "src" / "i18n"
FIXED = [
    *(rule.task for rule in COMMON_RULES),
    DRAIN_OUT_TASK,
    *EVIDENCE,
    prior_words(WIDE_PRIOR),
    "no pull was computed for this plan",
    "there is no plan",
    "nothing is sewn, or nothing pulls",
]


def words(language):
    return json.loads((WORDS / language / "healing.json").read_text(encoding="utf-8"))["server"]


@pytest.mark.parametrize("sentence", FIXED)
def test_each_fixed_sentence_has_its_german(sentence):
    english, german = words("en"), words("de")
    (key,) = (key for key, said in english.items() if said == sentence)
    assert german[key] and german[key] != sentence


def test_no_sentence_is_kept_that_the_server_does_not_say():
    assert set(words("en").values()) == set(FIXED)
