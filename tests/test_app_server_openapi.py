"""The page's copy of the server's description."""

from pathlib import Path

from crena.app.server.openapi import description

COPY = Path(__file__).resolve().parents[1] / "frontend/src/api/openapi.json"


def test_the_page_was_built_for_the_server_as_it_is():
    assert COPY.read_text(encoding="utf-8") == description()
