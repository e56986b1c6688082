"""Sheets printed in German for tests: what stays English, and what may."""

import re
from contextlib import contextmanager

from printed_pages import pages_of, words_of

from crena.draw import tongues

INVENTED = re.compile(
    r"Case 12 \(demonstration\)|Ward 0|Invented operation|invented scheme"
    r"|side branch|A tract leaves the midline|Wall C–D was cut 5 mm farther out|dye was seen there"
)
"""What the samples and the demonstration enter, and Crena never says."""

ENGLISH = re.compile(
    r"\b(?:the|of|and|is|are|not|no|by|with|from|at|on|when|each|cut|wall|side|flap|page|layer|plan"
    r" code|patient's|stitch|stitches|asked|known|day|days|which|this|to|as|or)\b"
)
"""Words that no German sentence of a sheet holds."""


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


def english_in(pdf):
    """Return the English words that stand on a printed sheet, each with what stands round it."""
    text = " ".join(words_of(page) for page in pages_of(pdf))
    text = INVENTED.sub(" ", text)
    return [text[max(0, m.start() - 30) : m.end() + 30] for m in ENGLISH.finditer(text)]
