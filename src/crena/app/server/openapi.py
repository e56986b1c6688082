"""The description of the server as a file, for the page's types."""

import json
import sys
import tempfile
from pathlib import Path

from crena.app.jobs.runner import Jobs
from crena.app.keeping import store_in
from crena.app.server.application import application
from crena.app.server.settings import Settings


def description() -> str:
    """Return the OpenAPI description as JSON text, the same on every machine."""
    with tempfile.TemporaryDirectory() as folder:
        store = store_in(Path(folder))
        jobs = Jobs(store)
        app = application(store, jobs, Settings(port=1, token="none"))
        text = json.dumps(app.openapi(), indent=1, sort_keys=True)
        jobs.close()
        store.engine.dispose()
    return text + "\n"


if __name__ == "__main__":
    sys.stdout.write(description())
