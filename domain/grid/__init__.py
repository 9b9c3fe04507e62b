"""Offline: a table of many sites over many processes, on Dask. Started by hand, never part of a request."""

import os

for _library in ("OPENBLAS", "OMP", "MKL", "VECLIB"):
    # Read when numpy is first imported, which is after this: a process a core, and no threads beside it.
    os.environ[f"{_library}_NUM_THREADS"] = "1"
