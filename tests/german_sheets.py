"""Sheets printed in German for tests: what stays English, and what may."""

import re
from contextlib import contextmanager

from printed_pages import pages_of, words_of

from crena.draw import tongues

INVENTED = re.compile(
    r"Case 12 \(demonstration\)|Demonstration 1, invented|cavity|Ward 0, 000 0000 \(invented\)"
    r"|Invented operation|invented scheme"
    r"|side branch|A tract leaves the midline|Wall C–D was cut 5 mm farther out|dye was seen there"
)
"""What the samples and the demonstration enter, and Crena never says."""

IN_BOTH = set(
    "albabtain awmf bali band chance charrière chua cleft clinical colon crena dermis diabetes "
    "doll dufourmentel erdem gluteal guner ideal irkörücü kaplan karydakis khamis kirkil kokosis "
    "laser last latex levenson lift limberg material milone name november numpy operation patient "
    "phenol picking pits plan plans python radius rate rectal ring scipy serotonin society "
    "software sport stauffer strength surgeons test wound".split()
)
"""Words of both languages, and names."""


@contextmanager
def listening(monkeypatch):
    """Collect what the catalogue does not hold while sheets are printed."""
    heard = []
    with monkeypatch.context() as patched:
        patched.setattr(tongues, "left_in_english", heard.append)
        yield heard


def left_in_english(heard):
    """Return what was heard and nobody entered."""
    return sorted({words for words in heard if not INVENTED.search(words)})


def in_both(english, german):
    """Return the words that a sheet has in both languages, but names and what was entered."""
    return sorted(words_in(english) & words_in(german) - IN_BOTH)


def words_in(pdf):
    """Return the words of a printed sheet that are longer than three letters, in small letters."""
    text = INVENTED.sub(" ", " ".join(words_of(page) for page in pages_of(pdf)))
    return {word.lower() for word in re.findall(r"[^\W\d_]{4,}", text)}
