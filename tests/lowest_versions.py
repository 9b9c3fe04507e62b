"""The lowest versions that pyproject.toml allows, as constraints for pip: ``python -m tests.lowest_versions``.

Every requirement must have a lower bound (``>=`` or ``~=``), or it raises ValueError: without one nobody knows what
"lowest" is.
"""

import re
import sys
import tomllib
from pathlib import Path

PYPROJECT = Path(__file__).parents[1] / "pyproject.toml"
LOWER_BOUND = re.compile(r"^(?P<name>[A-Za-z0-9._-]+)(?:\[[^\]]*\])?\s*(?:>=|~=)\s*(?P<version>[0-9][0-9.]*)")


def lowest(requirement: str) -> str:
    """``name==version`` of the lower bound of a requirement."""
    found = LOWER_BOUND.match(requirement)
    if found is None:
        raise ValueError(f"no lower bound: {requirement}")
    return f"{found['name']}=={found['version']}"


def lowest_versions() -> list[str]:
    """The constraints of all requirements, those of the tests included."""
    project = tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))["project"]
    extras = (requirement for extra in project["optional-dependencies"].values() for requirement in extra)
    return [lowest(requirement) for requirement in (*project["dependencies"], *extras)]


if __name__ == "__main__":
    sys.stdout.write("\n".join(lowest_versions()) + "\n")
