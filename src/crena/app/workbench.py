"""Everything of the command line that needs database and server.

They take most of a second to load, which a plan must not wait for: `crena.app.cli` loads this
module when one of its commands is given, and not before.
"""

from crena.app.department import kept_account, removed_account
from crena.app.keeping import backed_up, restored, verified
from crena.app.server.demonstrations import keep_demonstration
from crena.app.server.serve import serve, serve_department

__all__ = [
    "backed_up",
    "keep_demonstration",
    "kept_account",
    "removed_account",
    "restored",
    "serve",
    "serve_department",
    "verified",
]
