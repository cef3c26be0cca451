"""An input that brings more lines than can be worked."""

from middlewatch.runtime.flood import CALM_MS, Flood

Said = list[tuple[bool, str]]


def flood(said: Said, capacity: float = 3) -> Flood:
    """Return the flood of an input `bow`, whose words are put into a list."""
    return Flood("bow", capacity, lambda failed, text: said.append((failed, text)))


def test_lines_find_room_until_too_many_wait() -> None:
    """Below the capacity a line is taken and nothing said; at the capacity it is dropped."""
    said: Said = []
    bow = flood(said)

    assert [bow.leaves_room(waiting, 1000) for waiting in range(5)] == [True, True, True, False, False]


def test_a_flood_is_said_once_though_it_comes_and_goes() -> None:
    """Room now and then within one flood says nothing new."""
    said: Said = []
    bow = flood(said)

    for at_ms in range(0, 5 * CALM_MS, CALM_MS // 2):
        bow.leaves_room(3, at_ms)
        bow.leaves_room(0, at_ms + 1)
        bow.look(at_ms + 2)

    assert said == [(True, "input bow brings more lines than can be worked: some are dropped")]


def test_a_flood_is_over_after_a_calm() -> None:
    """Ten seconds without a dropped line end it, said once; the next flood is said anew."""
    said: Said = []
    bow = flood(said)

    bow.leaves_room(3, 1000)
    bow.look(1000 + CALM_MS - 1)
    assert len(said) == 1
    bow.look(1000 + CALM_MS)
    bow.look(1001 + CALM_MS)
    assert [failed for failed, _ in said] == [True, False]
    bow.leaves_room(3, 2000 + CALM_MS)
    assert [failed for failed, _ in said] == [True, False, True]
