"""HTTP only: one list of resources, a module for each, and what frames them all. Advice is computed in `domain`."""

import os

for _library in ("OPENBLAS", "OMP", "MKL", "VECLIB"):
    # Read when numpy is first imported, which is after this. The matrices are small: more threads of the numerical
    # libraries only burn time that other requests need (up to twice the work for the same bytes).
    os.environ[f"{_library}_NUM_THREADS"] = "1"
