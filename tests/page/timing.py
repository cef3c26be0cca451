"""How soon the page shows what happens, timed at the first frame painted after it stands in the document.

Page and daemon read one board's clock here, so a report's own time and the frame's can be held together.
"""

import asyncio
from collections.abc import Awaitable, Callable
from typing import TypeVar

from playwright.async_api import Page, expect

from page.helm import Helm
from stories.story import PATIENCE_S

T = TypeVar("T")

TRIES = 8
"""So often a time is measured: what else runs on the machine may add to one, and takes nothing off any."""

WATCH_FRAMES = """async ([where, what]) => {
  const { boat } = await import("/boat.js");
  window.seen = [];
  const painted = (then) => requestAnimationFrame(() => {
    const channel = new MessageChannel();
    channel.port1.onmessage = () => then(Date.now());
    channel.port2.postMessage(null);
  });
  const note = () => painted((now) => {
    const of = what === "position" ? boat.position : boat.alerts[what];
    if (of && (!of.state || of.state === "active-unacknowledged")) window.seen.push(now - Date.parse(of.at));
  });
  const changes = { childList: true, characterData: true, subtree: true };
  window.watching?.disconnect();
  window.watching = new MutationObserver(note);
  window.watching.observe(document.querySelector(where), changes);
}"""
"""Keep, at each change of a place of the page, how old the report of that was once it was painted (ms).

Of an alert, only while it stands unacknowledged.
"""

WATCH_SILENCE = """async (words) => {
  const { listen } = await import("/boat.js");
  Object.assign(window, { messages: 0, heard: performance.now(), silences: [] });
  listen(() => Object.assign(window, { messages: messages + 1, heard: performance.now() }));
  const stale = document.querySelector("#stale");
  new MutationObserver(() => {
    if (stale.textContent.includes(words)) silences.push(performance.now() - heard);
  }).observe(stale, { childList: true, characterData: true, subtree: true });
}"""
"""Keep, whenever the page says these words, how long it had heard nothing (ms)."""

PRESS_AND_WATCH = """async (mark) => {
  const began = performance.now();
  document.querySelector(`[data-mark="${mark}"]`).click();
  await new Promise((answered) => {
    const look = () => {
      const said = document.querySelector(".answer")?.textContent;
      if (said?.includes("Pencil")) answered();
      else requestAnimationFrame(look);
    };
    look();
  });
  await new Promise((painted) => requestAnimationFrame(() => setTimeout(painted)));
  return performance.now() - began;
}"""
"""Press a mark, which enters, and return after how many ms the answer is painted."""


async def in_time(measure: Callable[[], Awaitable[T]], kept: Callable[[T], bool]) -> None:
    """Measure until what is promised is kept; in vain it fails, with all that was measured."""
    measured: list[T] = []
    while not measured or not kept(measured[-1]):
        assert len(measured) < TRIES, measured
        measured.append(await measure())


async def under_way(page: Page, boat: Helm) -> None:
    """Depart, and wait until the page shows the area."""
    await boat.depart()
    await expect(page.locator(".first")).to_contain_text("She is within")


async def first_paint_ms(page: Page) -> float:
    """Return how long after it was asked for the page first painted words."""
    paints = "performance.getEntriesByName('first-contentful-paint').map((each) => each.startTime)"
    first: float = (await page.evaluate(paints))[0]
    return first


async def ticks_to_pixels_ms(page: Page, seconds: int) -> list[float]:
    """Return how old each second's heading was once it was painted, in order of age."""
    await page.evaluate(WATCH_FRAMES, [".run", "position"])
    await asyncio.sleep(seconds)
    return sorted(await page.evaluate("seen"))


async def entries_to_answers_ms(page: Page, times: int) -> list[float]:
    """Return how long after the press that enters a bearing its answer was painted, in order of length."""
    took = []
    for number in range(times):
        await page.keyboard.press("s")
        await page.keyboard.type(f"{330 + number}")
        took.append(await page.evaluate(PRESS_AND_WATCH, "Thrane Light"))
    return sorted(took)


async def watch_silence(page: Page) -> None:
    """Note from now on how long the daemon had not been heard when the page said so."""
    await page.evaluate(WATCH_SILENCE, "The daemon is not heard")


async def hears(page: Page) -> None:
    """Wait until the page hears something more."""
    await page.wait_for_function("before => messages > before", arg=await page.evaluate("messages"))


async def silence_told_ms(page: Page) -> float:
    """Wait until the page says that the daemon is not heard; return how long it had not been."""
    await expect(page.locator("#stale")).to_contain_text("The daemon is not heard")
    silences: list[float] = await page.evaluate("silences")
    return silences[-1]


async def alert_over(page: Page, boat: Helm) -> None:
    """Let the log speak again, and wait until its alert is no more."""
    boat.instruments.log = True
    await page.keyboard.press("a")
    state = "async () => (await import('/boat.js')).boat.alerts.log.state"
    async with asyncio.timeout(PATIENCE_S):
        while await page.evaluate(state) != "normal":  # noqa: ASYNC110 -- a page tells nobody here
            await asyncio.sleep(0.1)
    await expect(page.locator(".act")).not_to_contain_text("WARNING")


async def alert_to_pixel_ms(page: Page, boat: Helm) -> float:
    """Return how old the alert of a silent log was once it was painted."""
    await page.evaluate(WATCH_FRAMES, ["#view", "log"])
    boat.instruments.log = False
    await expect(page.locator(".act")).to_contain_text("WARNING")
    # It stands in the document before it is painted.
    await page.wait_for_function("seen.length > 0")
    seen: list[float] = await page.evaluate("seen")
    return seen[0]
