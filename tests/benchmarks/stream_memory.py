"""Peak memory of a process that answers one stream of reviews (``python -m tests.benchmarks.stream_memory``).

Called with the number of lists and of places. The application is asked over ASGI, in the process itself; the lines are
made as they are read, and answers thrown away as they come, so that nothing of the stream is held but by the
application. Prints MiB: when ready, and at the peak.
"""

import asyncio
import itertools
import json
import resource
import sys
from typing import Any

from api import application
from domain.tables.loading import load
from domain.traits.catalogue import Catalogue
from tests.benchmarks.reviewed_lists import plantings, sites

LINES_A_CHUNK = 50


def peak_mib() -> float:
    """The most that this process ever held, MiB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


async def stream(app: Any, lists: int, places: int) -> int:
    """Ask for so many lists at so many places in turn; the number of lines that were answered by a review."""
    names = [cultivar.name for cultivar in Catalogue(load()).advised.cultivars]
    here = list(itertools.islice(sites(), places))
    asked = iter(range(lists))
    answered = 0

    async def receive() -> dict[str, Any]:
        some = list(itertools.islice(asked, LINES_A_CHUNK))
        if not some:
            await asyncio.Event().wait()
        made = [plantings(1, names, here[n % places], placed=True, told=True, seed=n)[0] for n in some]
        body = b"".join(json.dumps(one).encode() + b"\n" for one in made)
        return {"type": "http.request", "body": body, "more_body": some[-1] + 1 < lists}

    async def send(message: dict[str, Any]) -> None:
        nonlocal answered
        answered += message.get("body", b"").count(b'{"verdict"')

    await app(
        {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": "POST",
            "scheme": "http",
            "path": "/v1/planting-list-reviews",
            "raw_path": b"/v1/planting-list-reviews",
            "root_path": "",
            "query_string": b"",
            "headers": [(b"content-type", b"application/x-ndjson"), (b"accept", b"application/x-ndjson")],
            "client": ("203.0.113.1", 40000),
            "server": ("plantings.example", 80),
            "extensions": {},
            "state": {},
        },
        receive,
        send,
    )
    return answered


def main() -> None:
    """Answer one stream, and write what it took."""
    lists, places = int(sys.argv[1]), int(sys.argv[2])
    app = application.create_app()
    ready = peak_mib()
    answered = asyncio.run(stream(app, lists, places))
    print(json.dumps({"lists": lists, "places": places, "answered": answered, "ready": ready, "peak": peak_mib()}))


if __name__ == "__main__":
    main()
