"""The Hollin Lane orchard group, an invented club in a mild, wet hill country, asks what to plant.

``python -m examples.demo`` starts the real service on a free port of this machine, posts the group's request as any
client would, and prints the answer as text.
"""

import json
import textwrap
import threading
import time
import urllib.request
from pathlib import Path
from typing import Any

import uvicorn

from api.application import create_app

REQUEST = Path(__file__).parent / "requests" / "hollin-lane-planting-lists.json"
WIDTH = 100


def serve() -> tuple[uvicorn.Server, threading.Thread, int]:
    """The service on a free port, ready to answer."""
    server = uvicorn.Server(uvicorn.Config(create_app(), host="127.0.0.1", port=0, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        if not thread.is_alive():
            raise RuntimeError("The service did not start; its log says why.")
        time.sleep(0.02)
    return server, thread, server.servers[0].sockets[0].getsockname()[1]


def post(port: int, path: str, body: bytes) -> dict[str, Any]:
    """The answer to a POST. Raises urllib.error.HTTPError where it is refused."""
    headers = {"Content-Type": "application/json", "Accept": "application/json"}
    request = urllib.request.Request(f"http://127.0.0.1:{port}{path}", data=body, headers=headers)
    with urllib.request.urlopen(request) as answer:
        found: dict[str, Any] = json.loads(answer.read())
    return found


def as_text(answer: dict[str, Any]) -> str:
    """Ranked planting lists as a page of text."""
    lines = []
    for planting_list in answer["planting_lists"]:
        lines += ["", f"List {planting_list['rank']}", ""]
        lines += _trees(planting_list)
        lines += ["", "  Picking season"]
        lines += [_picking(season) for season in planting_list["picking_season"]]
        lines += ["", *_wrapped(words(planting_list["why"]), "  - ")]
    against = [f"{entry['cultivar']}: {' '.join(words(entry['reasons']))}" for entry in answer["advised_against"][:5]]
    if against:
        lines += ["", "Rather not", "", *_wrapped(against, "  - ")]
    return "\n".join(lines).lstrip()


def words(told: list[Any]) -> list[str]:
    """Sentences, be they told bare or beside a code."""
    return [item["words"] if isinstance(item, dict) else item for item in told]


def _trees(planting_list: dict[str, Any]) -> list[str]:
    lines = []
    for tree in planting_list["trees"]:
        partners = [partner["cultivar"] for partner in tree["pollination_partners"]]
        pollen = f"pollen from {', '.join(partners[:3])}" if partners else "no pollen source"
        lines.append(f"  {tree['cultivar']:<24}{_bought_as(tree):<28}{pollen}")
    return lines


def _bought_as(tree: dict[str, Any]) -> str:
    return f"{tree['tree_form']} on {tree['rootstock']}" if tree["rootstock"] else "tree"


def _picking(season: dict[str, Any]) -> str:
    keeps = f"use until {season['use_until']}" if season["use_until"] else "how long it keeps is not known"
    return f"  {season['cultivar']:<28}{season['from']} to {season['to']}, {keeps}"


def _wrapped(sentences: list[str], bullet: str) -> list[str]:
    indent = " " * len(bullet)
    return [textwrap.fill(s, WIDTH, initial_indent=bullet, subsequent_indent=indent) for s in sentences]


def main() -> None:
    """Serve, ask, print, stop."""
    server, thread, port = serve()
    try:
        answer = post(port, "/v1/planting-lists", REQUEST.read_bytes())
    finally:
        server.should_exit = True
        thread.join(timeout=10)
    print("What should the Hollin Lane orchard group plant? Five trees, no sprays, one Bramley's Seedling.\n")
    print(as_text(answer))
    print(f"\nProgram {answer['versions']['program']}, tables {answer['versions']['tables']}.")


if __name__ == "__main__":
    main()
