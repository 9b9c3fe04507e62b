"""Ask the application the example questions: ``python -m examples.replay`` writes answers and README's extracts.

The answers go into the contract; a test asks again and compares.
"""

import asyncio
import json
import re
from pathlib import Path
from typing import Any

import httpx

from api.application import create_app
from api.resources import OPERATIONS

EXAMPLES = Path(__file__).parent
README = EXAMPLES.parent / "README.md"

FIRST_REQUEST = "hollin-lane-suitabilities"
SHOWN = ("cultivar", "verdict", "words", "rank_value", "cropping_years_in_ten", "limiting")


async def answers() -> dict[str, Any]:
    """The answer to every example, by its name."""
    found: dict[str, Any] = {}
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app=create_app()), base_url="http://local") as client:
        asked = [(one, operation.body is not None) for operation in OPERATIONS.values() for one in operation.examples]
        for one, has_body in asked:
            if has_body:
                body = (EXAMPLES / "requests" / f"{one.name}.json").read_bytes()
                answer = await client.post(one.address, content=body, headers={"content-type": "application/json"})
            else:
                answer = await client.get(one.address)
            answer.raise_for_status()
            found[one.name] = answer.json()
    return found


def with_extracts(readme: str) -> str:
    """README with the first request and the extract of its answer as they are kept in the examples."""
    request = json.loads((EXAMPLES / "requests" / f"{FIRST_REQUEST}.json").read_bytes())
    answer = json.loads((EXAMPLES / "answers" / f"{FIRST_REQUEST}.json").read_bytes())
    judged = [{name: one[name] for name in SHOWN} for one in answer["suitabilities"]]
    readme = _with_block(readme, "request", _text(request))
    return _with_block(readme, "answer", _text({"versions": answer["versions"], "suitabilities": judged}))


def _with_block(readme: str, mark: str, text: str) -> str:
    """README with the JSON block that follows a mark replaced."""
    block = f"<!-- {mark} -->\n```json\n{text}\n```"
    return re.sub(rf"<!-- {mark} -->\n```json\n.*?\n```", lambda _: block, readme, count=1, flags=re.DOTALL)


def _text(value: Any) -> str:
    """JSON text with small objects and lists on one line."""
    text = json.dumps(value, indent=2, ensure_ascii=False)
    flat = re.compile(r"[\[{]\n\s+([^\[\]{}]*?)\n\s+[\]}]")

    def on_one_line(found: re.Match[str]) -> str:
        line = found[0][0] + re.sub(r",\n\s+", ", ", found[1]) + found[0][-1]
        return line if len(line) <= 90 else found[0]

    return flat.sub(on_one_line, text)


def main() -> None:
    """Write every answer and the extracts."""
    (EXAMPLES / "answers").mkdir(exist_ok=True)
    for name, answer in asyncio.run(answers()).items():
        text = json.dumps(answer, indent=1, ensure_ascii=False)
        (EXAMPLES / "answers" / f"{name}.json").write_text(text + "\n", encoding="utf-8")
        print(f"Wrote examples/answers/{name}.json.")
    README.write_text(with_extracts(README.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main()
