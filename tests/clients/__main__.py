"""Make clients from the contract and use them: ``python -m tests.clients`` (minutes; needs node and npm).

A general linter reads the contract; a Python and a TypeScript generator make clients of it; both are compiled strictly,
every example passes through their types, and README's first request is asked of the service with each.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import venv
from collections.abc import Iterator
from pathlib import Path

from examples.demo import serve

HERE = Path(__file__).parent
PROJECT = HERE.parent.parent
CONTRACT = PROJECT / "openapi" / "openapi.json"

PYTHON_TOOLS = ("openapi-python-client>=0.29,<0.30", "mypy>=2.4,<3", "httpx>=0.28,<0.29", "ruff>=0.17,<0.18")


def main() -> int:
    """Run everything; the exit status is 1 at the first tool that is not content."""
    server, thread, port = serve()
    try:
        with tempfile.TemporaryDirectory() as scratch:
            service = f"http://127.0.0.1:{port}"
            _python(Path(scratch) / "python", service)
            _typescript(Path(scratch) / "typescript", service)
    except subprocess.CalledProcessError as failed:
        print(f"Failed: {Path(str(failed.cmd[0])).name} {' '.join(str(part) for part in failed.cmd[1:3])} ...")
        return 1
    finally:
        server.should_exit = True
        thread.join(timeout=10)
    print("Clients in two languages compile and ask README's first request; the linter is content.")
    return 0


def _python(scratch: Path, service: str) -> None:
    venv.create(scratch, with_pip=True)
    tools = scratch / "bin"
    environment = {**os.environ, "PATH": f"{tools}{os.pathsep}{os.environ['PATH']}"}
    _run(tools / "python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *PYTHON_TOOLS)
    client = scratch / "client"
    _run(
        tools / "openapi-python-client",
        *("generate", "--fail-on-warning", "--path", CONTRACT, "--output-path", client),
        environment=environment,
    )
    _run(tools / "mypy", "--no-incremental", client)
    _run(tools / "python", HERE / "with_generated_python.py", client, service, PROJECT)


def _typescript(scratch: Path, service: str) -> None:
    scratch.mkdir()
    for name in ("package.json", "redocly.yaml", "first_request.ts"):
        shutil.copy(HERE / name, scratch)
    _run("npm", "install", "--silent", "--ignore-scripts", "--no-audit", "--no-fund", at=scratch)
    tools = scratch / "node_modules" / ".bin"
    _run(tools / "redocly", "lint", CONTRACT, "--config", "redocly.yaml", "--max-problems", "20", at=scratch)
    _run(tools / "openapi-typescript", CONTRACT, "--output", "contract.d.ts", at=scratch)
    (scratch / "examples.ts").write_text("\n".join(_typed_examples()), encoding="utf-8")
    strict = ("--strict", "--exactOptionalPropertyTypes", "--target", "es2022", "--module", "nodenext")
    _run(tools / "tsc", *strict, "--types", "node", "first_request.ts", "examples.ts", at=scratch)
    _run("node", "first_request.js", service, at=scratch)


def _typed_examples() -> Iterator[str]:
    """A module in which every example of the contract stands as a literal of its generated type."""
    yield 'import type { components } from "./contract.js";'
    for path in json.loads(CONTRACT.read_bytes())["paths"].values():
        for operation in path.values():
            bodies = (operation.get("requestBody"), operation["responses"]["200"])
            for kind, body in zip(("asked", "answered"), bodies, strict=True):
                content = body["content"]["application/json"] if body else {}
                reference = content.get("schema", {}).get("$ref", "").rsplit("/", 1)[-1]
                for name, example in content.get("examples", {}).items() if reference else ():
                    constant = f"{kind}_{operation['operationId']}_{name}".replace("-", "_")
                    literal = json.dumps(example["value"], ensure_ascii=False)
                    yield f'export const {constant}: components["schemas"]["{reference}"] = {literal};'


def _run(
    command: str | Path, *arguments: str | Path, at: Path = PROJECT, environment: dict[str, str] | None = None
) -> None:
    print(f"== {Path(command).name} {' '.join(Path(str(part)).name for part in arguments[:4])}", flush=True)
    subprocess.run([command, *arguments], cwd=at, env=environment, check=True)


if __name__ == "__main__":
    sys.exit(main())
