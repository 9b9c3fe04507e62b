"""HTTP only: one module a resource; every answer is computed in `domain`."""
