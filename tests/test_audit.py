"""What the audit of the libraries makes of an answer of the auditor."""

import pytest

from tests.audit import told

CLEAN = {"name": "clean", "version": "1.0", "vulns": []}
WEAK = {"name": "weak", "version": "1.0", "vulns": [{"id": "PYSEC-2026-1", "fix_versions": ["1.1"]}]}
UNASKED = {"name": "unasked", "skip_reason": "not found"}


def test_a_known_weakness_fails_and_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert told([CLEAN, WEAK, UNASKED]) == 1
    said = capsys.readouterr().out
    assert "weak 1.0: PYSEC-2026-1, mended in 1.1" in said
    assert "2 of 3 packages could be asked about; 1 have known faults." in said


def test_what_could_not_be_asked_is_counted(capsys: pytest.CaptureFixture[str]) -> None:
    assert told([UNASKED]) == 0
    assert "0 of 1 packages could be asked about" in capsys.readouterr().out
