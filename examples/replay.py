"""Ask the application the example questions: ``python -m examples.replay`` writes the answers anew.

The answers go into the contract and into README; a test asks again and compares.
"""

import asyncio
from pathlib import Path
from typing import Any

import httpx
import msgspec

from api.application import OPERATIONS, create_app

EXAMPLES = Path(__file__).parent


async def answers() -> dict[str, Any]:
    """The answer to every example, by its name."""
    found: dict[str, Any] = {}
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app=create_app()), base_url="http://local") as client:
        for operation in OPERATIONS.values():
            name, address = operation.example.name, operation.example.address
            if operation.body is None:
                answer = await client.get(address)
            else:
                body = (EXAMPLES / "requests" / f"{name}.json").read_bytes()
                answer = await client.post(address, content=body, headers={"content-type": "application/json"})
            answer.raise_for_status()
            found[name] = answer.json()
    return found


def main() -> None:
    """Write every answer."""
    (EXAMPLES / "answers").mkdir(exist_ok=True)
    for name, answer in asyncio.run(answers()).items():
        content = msgspec.json.format(msgspec.json.encode(answer), indent=1) + b"\n"
        (EXAMPLES / "answers" / f"{name}.json").write_bytes(content)
        print(f"Wrote examples/answers/{name}.json.")


if __name__ == "__main__":
    main()
