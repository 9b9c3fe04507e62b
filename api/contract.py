"""The committed contract: ``python -m api.contract`` writes it, with ``--check`` compares it with what is served."""

import sys
from pathlib import Path

from api.application import contract_bytes

PROJECT = Path(__file__).parent.parent
COMMITTED = PROJECT / "openapi" / "openapi.json"


def main(arguments: list[str]) -> int:
    """Write or compare; the exit code is 1 where they differ."""
    served = contract_bytes()
    if arguments == ["--check"]:
        equal = COMMITTED.exists() and COMMITTED.read_bytes() == served
        print("The committed contract is what is served." if equal else "Run `python -m api.contract`: it differs.")
        return 0 if equal else 1
    COMMITTED.parent.mkdir(exist_ok=True)
    COMMITTED.write_bytes(served)
    print(f"Wrote {COMMITTED.relative_to(PROJECT)}.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
