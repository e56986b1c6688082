"""What all tests share."""

import pytest
from databases import stop_servers
from xdist.scheduler import LoadScopeScheduling


class FilesWithAServer(LoadScopeScheduling):
    """All tests of one file that share a server go to one process, every other test by itself."""

    def _split_scope(self, nodeid):
        file, _, _ = nodeid.partition("::")
        shares = file.startswith("tests/e2e/") and not file.endswith("test_journey.py")
        return file if shares else nodeid


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Share the tests out where there is more than one process to share them out to."""
    return FilesWithAServer(config, log)


@pytest.fixture(scope="session", autouse=True)
def servers_are_stopped():
    """Stop the database server that a test may have started."""
    yield
    stop_servers()
