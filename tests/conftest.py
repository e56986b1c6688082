"""What all tests share."""

import pytest
from databases import stop_servers


@pytest.fixture(scope="session", autouse=True)
def servers_are_stopped():
    """Stop the database server that a test may have started."""
    yield
    stop_servers()
