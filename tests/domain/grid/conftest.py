"""The engine, in this process and in processes of its own."""

from collections.abc import Iterator

import pytest
from distributed import Client, LocalCluster

from domain.grid.__main__ import MEMORY, engine


@pytest.fixture(scope="module")
def here() -> Iterator[Client]:
    """One worker in this process: what is computed is seen, and nothing has to start."""
    cluster = LocalCluster(n_workers=1, threads_per_worker=1, processes=False, dashboard_address="127.0.0.1:0")
    with cluster, Client(cluster) as client:
        yield client


@pytest.fixture
def two_processes() -> Iterator[Client]:
    """Two workers as the command starts them."""
    with engine(None, workers=2, memory=MEMORY) as client:
        yield client
