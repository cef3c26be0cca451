"""Quarantine: satellites that were lost, or that lied, do not count again just because they are back.

They are `returning` until they have agreed with the reckoning for ten minutes, two lines that cut well have
passed by them, and the skipper has said that he trusts them.
"""

from dataclasses import dataclass

LIKELIEST = "being the likeliest to be wrong"
BEYOND_THE_SEA = "a stream more than the sea can do"
FURTHER_OFF = "a gap more than is ordinary"
BY_PARTING = {LIKELIEST, BEYOND_THE_SEA, FURTHER_OFF}
"""Held against satellites that part: they are not back while they part, whatever is likelier by then."""

AGREED_MS = 10 * 60_000
CUT_DEG = 30.0


@dataclass(slots=True)
class Quarantine:
    """Why they are in it (None: they count), since when they have been back (ms), and agreed (ms).

    `vouched`: whether two lines that cut well have passed by them since they were back; `met_ms`,
    `trusted_ms`: when they last came to agree again, and when they were trusted again.
    """

    why: str | None = None
    back_ms: int | None = None
    agreed_ms: int | None = None
    vouched: bool = False
    met_ms: int = 0
    trusted_ms: int = 0

    def tick(
        self, now_ms: int, lied: str | None, *, heard: bool, agrees: bool, parting: bool = False
    ) -> None:
        """Look at them; `lied`: what is held against them now, in words; `parting`: whether they part."""
        if lied is not None:
            self.why, self.back_ms, self.agreed_ms, self.vouched = lied, None, None, False
            return
        if self.why is None or not heard:
            self.agreed_ms = None
            return
        if self.back_ms is None and not (parting and self.why in BY_PARTING):
            self.back_ms = now_ms
        if not agrees:
            self.agreed_ms = None
        elif self.agreed_ms is None:
            self.agreed_ms = self.met_ms = now_ms

    @property
    def returning(self) -> bool:
        """Whether they are back, and do not count yet."""
        return self.why is not None and self.back_ms is not None

    def wants(self, now_ms: int) -> list[str]:
        """Return what is still wanted before they may be trusted, in words; empty: only the order."""
        wanted = []
        agreed_ms = 0 if self.agreed_ms is None else now_ms - self.agreed_ms
        if agreed_ms < AGREED_MS:
            wanted.append(f"{AGREED_MS // 60_000} min of agreement ({agreed_ms // 60_000} so far)")
        if not self.vouched:
            wanted.append(f"two lines that cut at {CUT_DEG:.0f} degrees or more and pass by them")
        return wanted

    def words(self, now_ms: int) -> str:
        """Say why they do not count, and what is wanted."""
        wanted = " and ".join(self.wants(now_ms))
        return f"after {self.why}; wanted: {wanted + ', then ' if wanted else ''}the order trust_satellites"

    def trust(self, now_ms: int) -> None:
        """End it; what spoke against them before is past."""
        self.trusted_ms = now_ms
        self.why = self.back_ms = self.agreed_ms = None
        self.vouched = False
