"""Settings are checked when the service starts; a wrong one ends the start with a line that names it."""

import os
import subprocess
import sys

import pytest

from api.settings import SettingError, Settings, from_environment


def test_settings_come_from_the_environment() -> None:
    assert from_environment({}) == Settings()
    assert from_environment({"PATH": "/bin", "SITING_ADVISOR_REMEMBERED_SITES": "3"}) == Settings(remembered_sites=3)


@pytest.mark.parametrize(
    ("variable", "value", "expected"),
    [
        ("SITING_ADVISOR_BODY_BOUND_BYTES", "-1", "“-1”; expected a whole number from 1024 to 67108864"),
        ("SITING_ADVISOR_BODY_BOUND_BYTES", "0", "is 0; expected"),
        ("SITING_ADVISOR_RECORDS_BODY_BOUND_BYTES", "1e3", "“1e3”; expected a whole number"),
        ("SITING_ADVISOR_REMEMBERED_SITES", "-5", "“-5”; expected a whole number from 0"),
        ("SITING_ADVISOR_REMEMBERED_SITES", "many", "“many”"),
        ("SITING_ADVISOR_REFERENCE_MAX_AGE_S", "", "“”"),
        ("SITING_ADVISOR_COMPUTATIONS_AT_A_TIME", "0", "is 0; expected a whole number from 1 to 64"),
        ("SITING_ADVISOR_WAITING_COMPUTATIONS", "\u0663", "expected a whole number from 0 to 1000"),
        ("SITING_ADVISOR_BODY_BOUND", "1024", "is no setting; known are SITING_ADVISOR_BODY_BOUND_BYTES"),
        ("SITING_ADVISOR_remembered_sites", "3", "is no setting"),
    ],
)
def test_a_setting_that_cannot_be_used_is_named(variable: str, value: str, expected: str) -> None:
    with pytest.raises(SettingError) as refused:
        from_environment({variable: value})
    assert str(refused.value).startswith(f"{variable} is ")
    assert expected in str(refused.value)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("arguments", "environment", "named"),
    [
        ((), {"SITING_ADVISOR_REMEMBERED_SITES": "-5"}, "SITING_ADVISOR_REMEMBERED_SITES"),
        (("--port", "99999"), {}, "--port"),
        (("--port", "http"), {}, "--port"),
    ],
)
def test_the_start_ends_in_one_line(arguments: tuple[str, ...], environment: dict[str, str], named: str) -> None:
    command = [sys.executable, "-m", "api", *arguments]
    ended = subprocess.run(command, env=os.environ | environment, capture_output=True, text=True, check=False)
    assert ended.returncode != 0
    assert named in ended.stderr.splitlines()[-1]
    assert "Traceback" not in ended.stderr
