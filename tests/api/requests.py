"""The example requests, and requests with one thing changed."""

import copy
import json
from pathlib import Path
from typing import Any

EXAMPLES = Path(__file__).parents[2] / "examples"

EXAMPLE_OF = {
    "/v1/site-climates": "hollin-lane-site-climates",
    "/v1/suitabilities": "hollin-lane-suitabilities",
    "/v1/pollination-pairs": "bramley-and-company-pollination-pairs",
    "/v1/planting-lists": "hollin-lane-planting-lists",
}
WITH_SITE = ("/v1/site-climates", "/v1/suitabilities", "/v1/planting-lists")
COMPUTATIONS = tuple(EXAMPLE_OF)


def example(address: str) -> dict[str, Any]:
    """The example request of a computation."""
    found: dict[str, Any] = json.loads((EXAMPLES / "requests" / f"{EXAMPLE_OF[address]}.json").read_bytes())
    return found


def changed(body: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    """A copy of a body with one value set; `path` is a JSON pointer without its #, its objects made if missing."""
    made = copy.deepcopy(body)
    *parents, last = path.strip("/").split("/")
    part: Any = made
    for name in parents:
        part = part[int(name)] if isinstance(part, list) else part.setdefault(name, {})
    part[int(last) if isinstance(part, list) else last] = value
    return made
