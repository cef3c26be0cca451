"""Outputs: none unless set, what each link needs, and that none is in another's way."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from middlewatch.settings import OutputSettings, defaults, load


def test_nothing_goes_out_unless_it_is_set(settings_file: Callable[[str], Path]) -> None:
    """Whoever sets no output has none."""
    assert defaults().outputs == ()
    assert load(settings_file("")).outputs == ()


def test_each_way_out_takes_its_own_address(settings_file: Callable[[str], Path]) -> None:
    """A server is on loopback and the registered port unless told otherwise; the EP is told, without VTG."""
    file = settings_file("""
        outputs = [
            {name = "displays", link = "tcp"},
            {name = "all", link = "udp", host = "192.168.1.255", port = 2000, position = "dr", tag = false},
            {name = "pilot", link = "serial", port = "/dev/b", baud = 38400, sentences = ["HDT", "RMC"]},
        ]
    """)

    displays, everybody, pilot = load(file).outputs

    assert displays.place == ("127.0.0.1", 10110)
    assert displays.sentences == ("RMC", "GLL", "VDR", "NSR", "TXT", "ALERTS")
    assert (displays.position, displays.tag) == ("ep", True)
    assert everybody.place == ("192.168.1.255", 2000)
    assert (everybody.position, everybody.tag) == ("dr", False)
    assert (pilot.port, pilot.baud, pilot.sentences) == ("/dev/b", 38400, ("HDT", "RMC"))


NUMBER = "wanted a port number 1-65535 (not set: 10110)"


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ('link = "serial"', '.port: found nothing, wanted a device path such as "/dev/serial/by-id/..."'),
        ('link = "serial", port = "/dev/a", host = "h"',
         '.host: found "h", wanted no host for a serial link'),
        ('link = "udp"',
         ".host: found nothing, wanted where to send: an address, a broadcast or a multicast one"),
        ('link = "udp", host = "h", port = 0', f".port: found 0, {NUMBER}"),
        ('link = "tcp", port = "10110"', f'.port: found "10110", {NUMBER}'),
        ('link = "tcp", port = 1.5',
         ".port: found 1.5, wanted a device path (serial) or a port number (tcp, udp)"),
        ('link = "tcp", host = ""',
         '.host: found "", wanted an address of ours (not set: 127.0.0.1; 0.0.0.0: every one)'),
        ('link = "tcp", baud = 4800', ".baud: found 4800, wanted no baud for a tcp link"),
        ('link = "tcp", position = "fix"', ".position: found \"fix\", wanted 'ep' or 'dr'"),
        ('link = "tcp", sentences = []', ".sentences: found [], wanted one sentence or more"),
        ('link = "tcp", sentences = ["RMC", "RMC"]', '.sentences.#2: found "RMC", wanted each sentence once'),
        ('link = "tcp", sentences = ["GGA"]',
         (".sentences.#1: found \"GGA\", wanted 'RMC', 'GLL', 'VTG', 'VDR', 'HDT', 'THS', 'NSR', 'TXT' "
         "or 'ALERTS'")),
        ('link = "file"', ".link: found \"file\", wanted 'serial', 'tcp' or 'udp'"),
        ('link = "tcp", ports = 1', ".ports: found an unknown key, wanted port (did you mean that?)"),
    ],
)  # fmt: skip
def test_a_way_out_is_refused_without_what_it_needs(
    refusal: Callable[[str], str], keys: str, said: str
) -> None:
    """An output is refused by its name, its key, what was found and what was wanted."""
    assert refusal(f'outputs = [{{name = "pilot", {keys}}}]') == f"outputs.pilot{said}"


def test_two_outputs_of_one_name_or_one_way_are_refused(refusal: Callable[[str], str]) -> None:
    """Two on one port would each find it taken by the other."""
    assert refusal('outputs = [{name = "a", link = "tcp"}, {name = "a", link = "tcp", port = 1}]') == (
        'outputs.#2.name: found "a", wanted a name that no other output has'
    )
    assert refusal('outputs = [{name = "a", link = "tcp"}, {name = "b", link = "tcp", port = 10110}]') == (
        'outputs.#2: found "b", wanted a way out of its own: a has the same'
    )


def test_a_line_that_is_heard_is_not_spoken_on(refusal: Callable[[str], str]) -> None:
    """A serial line is held by whoever opens it first: the input would go deaf, or the output dumb."""
    said = refusal("""
        inputs = [{name = "bow", link = "serial", port = "/dev/a"}]
        outputs = [{name = "pilot", link = "serial", port = "/dev/a"}]
    """)

    assert said == 'outputs.#1.port: found "/dev/a", wanted a line of its own: input bow reads this one'


def test_the_outputs_of_the_example_would_load(settings_file: Callable[[str], Path]) -> None:
    """Behind comment signs in the example stands what is good once they are taken away: every key."""
    example = (Path(__file__).parents[2] / "configs" / "middlewatch.toml").read_text(encoding="utf-8")
    _, outputs = example.split("# Outputs: ")
    keys = "|".join(OutputSettings.model_fields)
    shown = re.sub(rf"(?m)^# (?=\[\[outputs|({keys}) = )", "", outputs.split("\n[marks]")[0])

    displays, everybody, pilot = load(settings_file(f"# {shown}")).outputs

    assert [each.link for each in (displays, everybody, pilot)] == ["tcp", "udp", "serial"]
    assert displays == OutputSettings(name="displays", link="tcp", host="127.0.0.1", port=10110)
    assert displays.model_fields_set | pilot.model_fields_set == set(OutputSettings.model_fields)
