"""How easy a text reads: Flesch's formula for English, Amstad's for German.

Flesch 1948: 206.835 - 1.015 ASL - 84.6 ASW. Amstad 1978: 180 - ASL - 58.5 ASW. ASL is words
per sentence, ASW syllables per word; figures are left out, dates count by their words.
"""

import re

from crena.records import Language

WORD = re.compile(r"[A-Za-zÄÖÜäöüß]+(?:['’-][A-Za-zÄÖÜäöüß]+)*")

ODD = {
    "area": 3, "idea": 3, "often": 2, "something": 2, "sometimes": 2, "someone": 2, "baseline": 2,
    "january": 4, "february": 4, "wednesday": 2, "fluid": 2, "being": 2, "doing": 2, "diary": 3,
}  # fmt: skip
"""English words that the rule below counts otherwise than they are spoken."""


def reading_ease(text: str, language: Language) -> float:
    """Return the ease: 70 and more is plain English, 65 and more plain German."""
    words = [part for word in WORD.findall(text) for part in word.split("-")]
    sentences = len(re.findall(r"[.!?](?:\s|$)", text))
    count = german_syllables if language is Language.GERMAN else english_syllables
    length, syllables = len(words) / sentences, sum(map(count, words)) / len(words)
    if language is Language.GERMAN:
        return 180 - length - 58.5 * syllables
    return 206.835 - 1.015 * length - 84.6 * syllables


def english_syllables(word: str) -> int:
    """Count groups of vowels; an e at the end, and in -ed and -es, is mostly silent."""
    word = word.lower().replace("’", "'").removesuffix("'s")
    if word in ODD:
        return ODD[word]
    count = len(re.findall(r"[aeiouy]+", word))
    count -= bool(re.search(r"[^aeiouy]e$", word) and not re.search(r"[^aeiouyrlw]le$", word))
    count -= bool(re.search(r"[^aeiouytd]ed$", word))
    count -= bool(re.search(r"[^aeiouysxzcg]es$", word) and not re.search(r"[cs]hes$", word))
    return max(1, count)


def german_syllables(word: str) -> int:
    """Count vowels, with ei, ie, au, eu, äu and doubled ones as one."""
    return max(1, len(re.findall(r"ei|ie|au|äu|eu|aa|ee|oo|[aeiouyäöü]", word.lower())))
