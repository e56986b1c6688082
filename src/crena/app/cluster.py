"""Workers of a cluster that runs dask; comes with the extra `cluster`."""

from concurrent.futures import Executor

from distributed import Client


class ClusterWorkers:
    """The workers that a client is connected to; the scheduler replaces those that die."""

    def __init__(self, client: Client) -> None:
        """Keep the client.

        Parameters
        ----------
        client : Client
            Connected to a scheduler, local or not.
        """
        self._client = client

    def executor(self) -> Executor:
        """Return the client as an executor."""
        found: Executor = self._client.get_executor(pure=False)  # type: ignore[no-untyped-call]
        return found

    def renewed(self) -> Executor:
        """Return the client's executor again: the cluster heals itself."""
        return self.executor()
