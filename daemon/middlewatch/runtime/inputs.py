"""The decoders of the inputs, as the settings have them."""

from collections.abc import Container, Mapping
from dataclasses import dataclass, field

from middlewatch.navigator.navigator import Navigator
from middlewatch.reports.status import InputStatus
from middlewatch.settings import InputSettings, Settings
from middlewatch.wire.lines import LineSplitter
from middlewatch.wire.nmea import Decoder

_PER_S_OVER_S = 10

OWN_SOURCE = "middlewatch"
"""The TAG source of our own output: what comes back through a gateway is known by it."""

NONE_OWN: frozenset[str] = frozenset()
"""Nothing said by ourselves: no output is set."""

UNNAMED = "bus"
"""The input of a recording that does not say on which one a line came."""


@dataclass(slots=True)
class Ear:
    """What is known of one input: its decoder, its lines, and how it was heard when last asked."""

    decoder: Decoder
    splitter: LineSplitter = field(default_factory=LineSplitter)
    heard_ms: int | None = None
    asked: int = 0

    def status(self, name: str, navigator: Navigator) -> InputStatus:
        """Return the input's health; `per_s` is counted since last asked, ten seconds ago."""
        sentences = self.decoder.sentences
        per_s, self.asked = (sentences - self.asked) / _PER_S_OVER_S, sentences
        return InputStatus(
            name=name,
            heard_at=None if self.heard_ms is None else navigator.utc(self.heard_ms),
            per_s=per_s,
            sentences=sentences,
            rejected=sum(self.decoder.rejected.values()),
            chosen_for=navigator.chosen_for(name),
        )


def decoders_of(settings: Settings, own: Container[str] = NONE_OWN) -> dict[str, Decoder]:
    """Return a decoder for each input; `own` holds what we say ourselves."""
    return {each.name: _decoder(each, own) for each in settings.inputs}


def decoder_for(name: str, own: Container[str] = NONE_OWN) -> Decoder:
    """Return a decoder for an input that the settings do not know, as a recording may name."""
    return Decoder(
        name,
        checksum_required=True,
        satellite_talkers=frozenset(),
        own_source=OWN_SOURCE,
        own_sentences=own,
    )


def only_input(decoders: Mapping[str, Decoder], named: str | None) -> str:
    """Return the input a recorded line came on: as it says, else the only one there is."""
    if named is not None:
        return named
    return next(iter(decoders)) if len(decoders) == 1 else UNNAMED


def _decoder(each: InputSettings, own: Container[str]) -> Decoder:
    return Decoder(
        each.name,
        checksum_required=each.checksum == "required",
        satellite_talkers=frozenset(each.satellite),
        own_source=OWN_SOURCE,
        own_sentences=own,
    )
