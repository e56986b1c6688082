"""What all tests share."""

import pytest
from databases import KINDS, new_store, stop_servers
from served_cases import served
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


def pytest_generate_tests(metafunc):
    """Try every test of a file that says `DATABASES = KINDS` on each of them."""
    wanted = getattr(metafunc.module, "DATABASES", ())
    if wanted and "store" in metafunc.fixturenames:
        metafunc.parametrize("store", wanted, indirect=True)


@pytest.fixture
def store(request, tmp_path):
    """Open a store that nothing is in: on SQLite, or on what the test or its file says."""
    made = new_store(getattr(request, "param", KINDS[0]), tmp_path)
    yield made
    made.engine.dispose()


@pytest.fixture
def client(store, tmp_path):
    """Open the door of a laptop's server on this store and come in."""
    with served(store, tmp_path) as made:
        yield made


@pytest.fixture(scope="session", autouse=True)
def servers_are_stopped():
    """Stop the database server that a test may have started."""
    yield
    stop_servers()
