"""The language of sheets, as a person asks for it."""

from enum import StrEnum

from crena.records import Language


class LanguageCode(StrEnum):
    """The languages by the codes that links and the command line have."""

    EN = "en"
    DE = "de"

    @property
    def language(self) -> Language:
        """Return the language itself.

        >>> LanguageCode.DE.language.value
        'German'
        """
        return Language.GERMAN if self is LanguageCode.DE else Language.ENGLISH
