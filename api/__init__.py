"""HTTP only: one module a resource, and what frames them all. Advice itself is computed in `domain`."""

__version__ = "0.1.0"
"""Version of the program, named in every answer; the package's own version is the same."""
