"""The errors that a person may see.

Each message is one or two short sentences in the user's words: what is wrong, with the
number, and what to do next.

::

    CrenaError
    ├── InputError       something given is wrong or missing
    │   ├── ScanError    a scan that is refused
    │   └── MissingError what was asked for is not there
    ├── NoPlanError      no plan keeps all limits; says which limits bind
    │   └── NotNowError  the disease is in, or may be in, its acute stage
    ├── ConflictError    somebody else saved the case meanwhile
    ├── RightsError      the account may not do this
    └── Cancelled        the user stopped a long step
"""


class CrenaError(Exception):
    """Any error whose message is meant for the user."""


class InputError(CrenaError):
    """Something given is wrong or missing."""


class ScanError(InputError):
    """A scan that cannot be read with certainty."""


class MissingError(InputError):
    """What was asked for is not there."""


class NoPlanError(CrenaError):
    """No plan keeps all limits."""


class NotNowError(NoPlanError):
    """No plan is made while the disease is, or may be, acute."""


class ConflictError(CrenaError):
    """Somebody else saved the case meanwhile."""


class RightsError(CrenaError):
    """The account that asks may not do this."""


class Cancelled(CrenaError):
    """The user stopped a long step."""
