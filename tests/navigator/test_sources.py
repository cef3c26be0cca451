"""Which source steers: changed reluctantly, with a reason, and one that comes and goes is left."""

from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.reckoning.instruments import heading_rank, speed_rank
from middlewatch.navigator.reckoning.sources import MOST_SOURCES, Choice
from middlewatch.readings.sentences import WaterSpeed
from navigator.navigating import COMPASS, LOG, Aboard, magnetic

BETTER, WORSE = "HCHDG@bow", "HCHDM@bow"


class Listening:
    """A choice of heading that is fed a source a second and asked at each tick; `words` are the changes."""

    def __init__(self) -> None:
        self.choice = Choice("heading")
        self.now_s = 0
        self.words: list[tuple[int, str]] = []

    def hear(self, seconds: int, *sources: str, every_s: int = 1) -> None:
        """Hear these so long, each at the beginning of its second."""
        for _ in range(seconds):
            for source in sources:
                if self.now_s % every_s == 0:
                    self.choice.hear(source, self.now_s * 1000)
            self.now_s += 1
            words = self.choice.reconsider(self.now_s * 1000, heading_rank)
            if words is not None:
                self.words.append((self.now_s, words))


def test_the_best_heard_at_the_start_steers() -> None:
    """The first source steers at the first tick, a better one heard within ten seconds takes over at once."""
    listening = Listening()

    listening.hear(5, WORSE)
    listening.hear(5, WORSE, BETTER)

    assert listening.words == [
        (1, f"heading by {WORSE}: the best heard at the start"),
        (6, f"heading by {BETTER}: better than {WORSE}"),
    ]


def test_settling_is_over_after_ten_seconds() -> None:
    """A better source first heard in the eleventh second does not take over at once."""
    listening = Listening()
    listening.hear(11, WORSE)
    listening.hear(20, WORSE, BETTER)

    assert listening.choice.chosen == WORSE


def test_a_better_source_that_comes_later_has_to_prove_itself() -> None:
    """Once settled, a better source takes over only after it was heard for 60 s without a break."""
    listening = Listening()
    listening.hear(30, WORSE)

    listening.hear(59, WORSE, BETTER)
    before = listening.choice.chosen
    listening.hear(1, WORSE, BETTER)

    assert (before, listening.choice.chosen) == (WORSE, BETTER)
    assert listening.words[1:] == [
        (90, f"heading by {BETTER}: better than {WORSE} and heard for 60 s without a break")
    ]


def test_take_over_after_ten_seconds_and_back_after_sixty() -> None:
    """A silent source is replaced after 10 s, not before; back again it steers after 60 s."""
    listening = Listening()
    listening.hear(100, WORSE, BETTER)
    first = list(listening.words)

    listening.hear(8, WORSE)  # BETTER was last heard at 99 s
    still = listening.choice.chosen
    listening.hear(1, WORSE)
    replaced = listening.choice.chosen
    listening.hear(59, WORSE, BETTER)
    proving = listening.choice.chosen
    listening.hear(1, WORSE, BETTER)

    assert (still, replaced, proving, listening.choice.chosen) == (BETTER, WORSE, WORSE, BETTER)
    assert listening.words[len(first) :] == [
        (109, f"heading by {WORSE}: {BETTER} silent for 10 s"),
        (169, f"heading by {BETTER}: better than {WORSE} and heard for 60 s without a break"),
    ]


def test_a_source_that_comes_and_goes_does_not_flap() -> None:
    """Eight seconds in twenty silent: the worse source that always speaks steers, and nothing changes."""
    listening = Listening()
    listening.hear(20, WORSE, BETTER)
    listening.hear(15, WORSE)
    changes = len(listening.words)

    for _ in range(30):
        listening.hear(12, WORSE, BETTER)
        listening.hear(8, WORSE)

    assert listening.choice.chosen == WORSE
    assert len(listening.words) == changes


def test_a_slow_source_is_not_stale_between_its_readings() -> None:
    """A source every five seconds is fresh up to 15 s, its usual interval three times, once that is known."""
    listening = Listening()
    listening.hear(60, WORSE, every_s=5)  # last heard at 55 s
    health = listening.choice.heard[WORSE]

    assert health.stale_ms == 15_000
    assert listening.choice.fresh(WORSE, 70_000)
    assert not listening.choice.fresh(WORSE, 70_001)


def test_a_slow_better_source_takes_over_too() -> None:
    """A better source every five seconds is heard without a break, and after 60 s it steers."""
    listening = Listening()
    listening.hear(30, WORSE)

    for _ in range(20):
        listening.hear(1, WORSE, BETTER)
        listening.hear(4, WORSE)

    assert listening.choice.chosen == BETTER


def test_stale_is_three_seconds_at_least() -> None:
    """A source ten times a second is still fresh three seconds after its last reading, not a third of one."""
    choice = Choice("heading")
    for at_ms in range(0, 2_000, 100):
        choice.hear(WORSE, at_ms)

    assert choice.fresh(WORSE, 4_900)
    assert not choice.fresh(WORSE, 4_901)


def test_one_break_does_not_make_a_source_slow() -> None:
    """A single silence of a minute is a new spell, and the source is as soon stale as before."""
    listening = Listening()
    listening.hear(10, WORSE)
    listening.hear(60)
    listening.hear(2, WORSE)
    health = listening.choice.heard[WORSE]

    assert health.spell_ms == 70_000
    assert health.stale_ms == 3_000


def test_nothing_else_alive_nothing_changes() -> None:
    """Where no other source speaks the silent one stays chosen: its last reading runs on."""
    listening = Listening()
    listening.hear(5, WORSE)
    listening.hear(600)

    assert listening.choice.chosen == WORSE
    assert len(listening.words) == 1


@given(st.lists(st.sets(st.sampled_from([BETTER, WORSE, "IIHDT@hub", "IIVHW@hub"])), max_size=150))
def test_each_change_is_to_one_that_is_heard_and_its_reason_holds(seconds: list[set[str]]) -> None:
    """Whatever comes and goes: who takes over is heard, who is replaced was silent or is the worse one."""
    listening = Listening()
    for sources in seconds:
        before, count = listening.choice.chosen, len(listening.words)
        listening.hear(1, *sorted(sources))
        now, now_ms = listening.choice.chosen, listening.now_s * 1000
        assert (now != before) == (len(listening.words) > count)
        if now is None or now == before:
            continue
        assert listening.choice.fresh(now, now_ms)
        if before is not None and heading_rank(now) > heading_rank(before):
            assert now_ms - listening.choice.heard[before].last_ms >= 10_000
            assert f"{before} silent for" in listening.words[-1][1]
        elif "without a break" in listening.words[-1][1]:
            assert now_ms - listening.choice.heard[now].spell_ms >= 60_000


def test_a_gyro_before_a_compass_before_somebody_elses_true() -> None:
    """HDT by a gyro comes first; by anybody else it holds a variation nobody knows, and comes last."""
    sources = ["IIHDT@hub", "IIVHW@hub", "HCHDM@bow", "HCHDG@bow", "HEHDT@gyro", "HETHS@gyro"]

    assert sorted(sources, key=heading_rank) == [
        "HEHDT@gyro", "HETHS@gyro", "HCHDG@bow", "HCHDM@bow", "IIVHW@hub", "IIHDT@hub",
    ]  # fmt: skip


def test_a_logs_own_speed_before_a_repeaters_before_a_total() -> None:
    """VHW, then VBW, then what a hub repeats, and the growth of a total last."""
    sources = ["VWVLW@bow", "IIVHW@hub", "VDVBW@bow", "VWVHW@bow"]

    assert sorted(sources, key=speed_rank) == ["VWVHW@bow", "VDVBW@bow", "IIVHW@hub", "VWVLW@bow"]


def test_a_lost_source_is_said_once_and_named() -> None:
    """The alert names the source that steers now and why; it clears when the better one steers again."""
    boat = Aboard()
    boat.depart()

    def sail(seconds: int, *sources: str) -> str:
        for _ in range(seconds):
            speed = WaterSpeed(boat.now_ms, LOG, 5.0)
            position = boat.second(*(magnetic(boat.now_ms, 90.0, source) for source in sources), speed)
        return position.basis.heading.source

    assert sail(30, COMPASS, "IIHDM@hub") == COMPASS
    assert sail(20, "IIHDM@hub") == "IIHDM@hub"
    said = boat.alerts("heading")
    assert [alert.text for alert in said] == [f"heading by IIHDM@hub: {COMPASS} silent for 10 s"]
    assert sail(70, COMPASS, "IIHDM@hub") == COMPASS
    assert boat.standing("heading") is None


def test_names_that_are_heard_once_fill_nothing() -> None:
    """A talker that changes its name each second is not remembered for ever; the one that steers is."""
    listening = Listening()
    listening.hear(20, WORSE)
    for number in range(500):
        listening.hear(1, WORSE, f"H{number:03d}@bow")

    assert len(listening.choice.heard) == MOST_SOURCES
    assert (listening.choice.chosen, len(listening.words)) == (WORSE, 1)
