"""How alerts are heard: the hook's command, and the legacy sentences."""

from collections.abc import Callable
from pathlib import Path

import pytest

from middlewatch.settings import defaults, load


def test_nothing_is_run_unless_it_is_set() -> None:
    """By default no hook, and no legacy sentences."""
    settings = defaults()

    assert (settings.alerts.hook, settings.alerts.legacy) == ((), False)
    assert settings.tuning().legacy_alerts is False


def test_a_command_with_its_arguments(settings_file: Callable[[str], Path]) -> None:
    """Word by word, as it will be run."""
    settings = load(settings_file('[alerts]\nhook = ["/usr/local/bin/bell", "--loud"]\nlegacy = true'))

    assert settings.alerts.hook == ("/usr/local/bin/bell", "--loud")
    assert settings.tuning().legacy_alerts is True


WHOLE_PATH = "wanted the command's whole path, from / on: no shell looks for it"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ('["bell"]', f'#1: found "bell", {WHOLE_PATH}'),
        ('["/bin/bell", ""]', '#2: found "", wanted a word of the command'),
    ],
)
def test_what_is_no_command(refusal: Callable[[str], str], value: str, said: str) -> None:
    """Refused before anything starts."""
    assert refusal(f"[alerts]\nhook = {value}") == f"alerts.hook.{said}"


def test_one_line_is_no_command(refusal: Callable[[str], str]) -> None:
    """A line would want a shell to take it apart."""
    assert refusal('[alerts]\nhook = "/bin/bell loud"').startswith('alerts.hook: found "/bin/bell loud"')
