"""Known weaknesses of the libraries installed beside this program: ``python -m tests.audit``.

pip-audit, in an environment of its own, asks the advisories of the Python package index. The exit status is 1 where one
is known; where the advisories cannot be asked, the last line says of how many packages, and that is no clean bill.
"""

import json
import subprocess
import sys
import sysconfig
import tempfile
import venv
from pathlib import Path
from typing import Any

AUDITOR = "pip-audit>=2.10,<3"


def main() -> int:
    """Print each weakness and what could not be asked."""
    with tempfile.TemporaryDirectory() as scratch:
        venv.create(scratch, with_pip=True)
        tools = Path(scratch) / "bin"
        quiet = ("--quiet", "--disable-pip-version-check")
        subprocess.run([tools / "python", "-m", "pip", "install", *quiet, AUDITOR], check=True)
        found = subprocess.run(
            [
                tools / "pip-audit",
                "--format",
                "json",
                "--progress-spinner",
                "off",
                "--path",
                sysconfig.get_path("purelib"),
            ],
            capture_output=True,
            text=True,
            check=False,
        )
    if not found.stdout.strip():
        print(found.stderr[-2000:])
        print("The advisories could not be asked.")
        return 1
    return told(json.loads(found.stdout)["dependencies"])


def told(packages: list[dict[str, Any]]) -> int:
    """Print what is known of each package; 1 where a weakness is."""
    skipped = [one["name"] for one in packages if "skip_reason" in one]
    weak = [one for one in packages if one.get("vulns")]
    for one in weak:
        for known in one["vulns"]:
            mended = ", ".join(known["fix_versions"]) or "no version"
            print(f"{one['name']} {one['version']}: {known['id']}, mended in {mended}")
    asked = len(packages) - len(skipped)
    print(f"{asked} of {len(packages)} packages could be asked about; {len(weak)} have known faults.")
    return 1 if weak else 0


if __name__ == "__main__":
    sys.exit(main())
