"""Use a generated Python client: ``python with_generated_python.py CLIENT_DIRECTORY SERVICE_ADDRESS PROJECT``.

Runs in an environment of the client's own. Every example goes through the generated types and comes out as it went in,
and README's first request is answered as the examples say. Exit status 1 and a line for each difference.
"""

import importlib
import json
import re
import sys
from pathlib import Path
from typing import Any

PACKAGE = "variety_siting_advisor_client"


def main(client_directory: str, service: str, project: str) -> int:
    """Print what differs; the exit status is 1 where anything does."""
    sys.path.insert(0, client_directory)
    models = importlib.import_module(f"{PACKAGE}.models")
    contract = json.loads((Path(project) / "openapi" / "openapi.json").read_bytes())
    differing = list(_round_trips(contract, models))
    differing += _first_request(service, Path(project) / "examples", models)
    for line in differing:
        print(line)
    return 1 if differing else 0


def _round_trips(contract: dict[str, Any], models: Any) -> Any:
    count = 0
    for path, methods in contract["paths"].items():
        for operation in methods.values():
            asked = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
            answered = operation["responses"]["200"]["content"]["application/json"]
            for content in (asked, answered):
                reference = content.get("schema", {}).get("$ref", "")
                for name, example in content.get("examples", {}).items() if reference else ():
                    count += 1
                    again = getattr(models, reference.rsplit("/", 1)[1]).from_dict(example["value"]).to_dict()
                    if json.loads(json.dumps(again)) != example["value"]:
                        yield f"{path}: the example {name} does not come out as it went in"
    if count < 20:
        yield f"only {count} examples were read"
    print(f"{count} examples read and written by the generated types")


def _first_request(service: str, examples: Path, models: Any) -> list[str]:
    client = importlib.import_module(PACKAGE).Client(base_url=service)
    rank = importlib.import_module(f"{PACKAGE}.api.advice.rank_suitabilities")
    name = "hollin-lane-suitabilities.json"
    body = models.SuitabilityRequest.from_dict(json.loads((examples / "requests" / name).read_bytes()))
    answer = rank.sync(client=client, body=body)
    told = [(one.cultivar, str(one.verdict)) for one in answer.suitabilities]
    kept = json.loads((examples / "answers" / name).read_bytes())["suitabilities"]
    expected = [(one["cultivar"], one["verdict"]) for one in kept]
    print("Python:", ", ".join(" ".join(pair) for pair in told))
    return [] if told == expected else [f"README's first request was answered {told}; expected {expected}"]


if __name__ == "__main__":
    if len(sys.argv) != 4 or not re.match(r"https?://", sys.argv[2]):
        sys.exit(__doc__)
    sys.exit(main(*sys.argv[1:]))
