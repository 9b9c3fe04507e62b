"""Ask the corpus and say what moved since its hashes were kept.

``python -m tests.corpus`` compares and exits 1 where an answer moved; ``--keep`` writes the hashes of today;
``--answers DIRECTORY`` writes the answers too, so that two states of the program can be compared word by word.
"""

import argparse
import asyncio
import hashlib
import json
import re
import sys
from collections import Counter
from pathlib import Path

import httpx

from api.application import create_app
from tests.corpus.questions import questions

VERSIONS = re.compile(rb'"versions":\{[^}]*\}')
"""Left out of the hashes: they say what answered, not what was answered."""
HASHES = Path(__file__).parent / "hashes.json"


async def answers() -> dict[str, bytes]:
    """The answer to every question, with its status, by the question's name."""
    found: dict[str, bytes] = {}
    transport = httpx.ASGITransport(app=create_app())
    async with httpx.AsyncClient(transport=transport, base_url="http://local", timeout=None) as client:
        for asked in questions():
            if asked.body is None:
                answer = await client.get(asked.address)
            else:
                answer = await client.post(asked.address, json=asked.body)
            found[asked.name] = b"%d " % answer.status_code + answer.content
    return found


def main() -> int:
    """Compare, or keep."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep", action="store_true")
    parser.add_argument("--answers", type=Path)
    asked = parser.parse_args()
    found = asyncio.run(answers())
    if asked.answers:
        asked.answers.mkdir(parents=True, exist_ok=True)
        for name, answer in found.items():
            status, _, content = answer.partition(b" ")
            text = status.decode() + "\n" + json.dumps(json.loads(content), indent=1, ensure_ascii=False)
            (asked.answers / (name.replace("/", "~")[:120] + ".json")).write_text(text, encoding="utf-8")
    hashes = {name: hashlib.sha256(VERSIONS.sub(b"", answer)).hexdigest()[:16] for name, answer in found.items()}
    if asked.keep:
        HASHES.write_text(json.dumps(hashes, indent=1) + "\n", encoding="utf-8")
        print(f"Kept the hashes of {len(hashes)} answers.")
        return 0
    kept = json.loads(HASHES.read_text(encoding="utf-8"))
    moved = [name for name in sorted(kept | hashes) if kept.get(name) != hashes.get(name)]
    print(f"{len(moved)} of {len(kept)} answers moved.", *moved, sep="\n  ")
    print(*(f"status {status}: {count}" for status, count in Counter(a[:3].decode() for a in found.values()).items()))
    return 1 if moved else 0


if __name__ == "__main__":
    sys.exit(main())
