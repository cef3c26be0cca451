"""What is set and not built yet: said at every start, lest a setting that does nothing be leant on."""

from collections.abc import Iterator

from middlewatch.settings import Settings


def not_yet(settings: Settings) -> Iterator[str]:
    """Yield a sentence for each setting that is taken and has no effect yet."""
    if settings.clock.from_satellites:
        yield "from_satellites is not used yet: order clock --from satellite sets the clock."
