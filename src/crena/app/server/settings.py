"""Where the server listens and what it may be called."""

import hmac
import secrets
from dataclasses import dataclass, field
from pathlib import Path

from crena.records import Record
from crena.store.accounts import SessionLimits

BUILT_PAGE = Path(__file__).resolve().parents[1] / "page"
"""Where the package build leaves the page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings(Record):
    """One start of the server, on one laptop."""

    port: int
    page: Path = BUILT_PAGE
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))  #: new at each start

    @property
    def hosts(self) -> frozenset[str]:
        """Return the names that a browser may call this server by."""
        return frozenset(f"{name}:{self.port}" for name in ("127.0.0.1", "localhost", "[::1]"))

    @property
    def origins(self) -> frozenset[str]:
        """Return the addresses whose pages are its own."""
        return frozenset(f"http://{host}" for host in self.hosts)

    @property
    def cookie(self) -> str:
        """Return the name of the cookie."""
        return "crena"

    def is_token(self, said: str) -> bool:
        """Tell whether this is the token, in a time that tells nothing of it."""
        return hmac.compare_digest(said.encode(), self.token.encode())

    @property
    def address(self) -> str:
        """Return what is typed into the browser to enter."""
        return f"http://127.0.0.1:{self.port}/enter/{self.token}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Department(Record):
    """A server of a department: reached by TLS only, entered with an account."""

    hosts: frozenset[str]  #: names as a browser shows them, with the port unless it is 443
    limits: SessionLimits = SessionLimits()
    page: Path = BUILT_PAGE

    @property
    def origins(self) -> frozenset[str]:
        """Return the addresses whose pages are its own."""
        return frozenset(f"https://{host}" for host in self.hosts)

    @property
    def cookie(self) -> str:
        """Return the name of the cookie; a browser takes this one over TLS for this host only."""
        return "__Host-crena"
