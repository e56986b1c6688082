"""Sentences that the server says stand in the page's words, so that they can be German."""

import json
import re
from datetime import timedelta
from pathlib import Path

import numpy as np
from sample_closings import SKIN, TABLES
from sample_drains import ENDED, course

from crena.healing.agenda import DRAIN_OUT_TASK
from crena.healing.date_rules import COMMON_RULES
from crena.healing.drain_forecast import forecast_drain
from crena.healing.drain_model import WIDE_PRIOR
from crena.healing.drain_rates import drain_days
from crena.healing.drain_words import EVIDENCE, prior_words
from crena.healing.support import support_against_time
from crena.planning.aftercare import NO_PULL
from crena.records import Answer, DrainRule, SupportTerms

WORDS = Path(__file__).parent.parent / "frontend" / "src" / "i18n"
HOLE = re.compile(r"\{\{\w+\}\}")


def forecast_on(day, *volumes):
    today = (ENDED + timedelta(days=day)).date()
    return forecast_drain(course(*volumes), DrainRule(), today=today).cautions


def warnings(field, load):
    terms = SupportTerms(load_n_per_mm=load, contaminated=field, whole_skin_n_per_mm=25.0)
    rng = np.random.default_rng(1)
    return support_against_time((SKIN,), TABLES, terms, rng).warnings


def said():
    """Return every kind of sentence that the page translates, as the server says it."""
    yield from (rule.task for rule in COMMON_RULES)
    yield from (DRAIN_OUT_TASK, *EVIDENCE, prior_words(WIDE_PRIOR))
    yield from (NO_PULL, f"{NO_PULL}: no balance was found", "there is no plan")
    yield "nothing is sewn, or nothing pulls"
    yield forecast_on(4, 40.0, 30.0)[0]
    yield forecast_on(22, 40.0, 30.0)[0]
    yield drain_days(course(None)).cautions[0]
    yield drain_days(course(30.0, hours=6)).cautions[0]
    yield drain_days(course(30.0, hours=48)).cautions[0]
    yield drain_days(course(10.0, 60.0)).cautions[0]
    yield drain_days(course(10.0, 12.0, 14.0)).cautions[0]
    yield next(w for w in warnings(Answer.YES, 0.2) if "field" in w)
    yield next(w for w in warnings(Answer.NOT_ASKED, 0.2) if "field" in w)
    yield next(w for w in warnings(Answer.NO, 40.0) if "falls below the load" in w)


def words(language):
    return json.loads((WORDS / language / "healing.json").read_text(encoding="utf-8"))["server"]


def fits(form, sentence):
    pattern = ".+?".join(re.escape(part) for part in HOLE.split(form))
    return re.fullmatch(pattern, sentence) is not None


def test_each_sentence_has_one_german_form():
    english, german = words("en"), words("de")
    for sentence in said():
        keys = [key for key, form in english.items() if fits(form, sentence)]
        assert len(keys) == 1, sentence
        assert german[keys[0]] != english[keys[0]]


def test_no_form_is_kept_that_the_server_does_not_use():
    sentences = list(said())
    unused = [form for form in words("en").values() if not any(fits(form, s) for s in sentences)]
    assert unused == []
