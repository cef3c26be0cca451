"""How soon the page shows what happens, timed at the first frame painted after it stands in the document.

Page and daemon read one board's clock here, so a report's own time and the frame's can be held together.
"""

import asyncio

from playwright.async_api import Page, expect

from page.helm import Helm

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
    if (of) window.seen.push(now - Date.parse(of.at));
  });
  const changes = { childList: true, characterData: true, subtree: true };
  new MutationObserver(note).observe(document.querySelector(where), changes);
}"""
"""Keep, at each change of a place of the page, how old the report of that was once it was painted (ms)."""

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


async def alert_to_pixel_ms(page: Page, boat: Helm) -> float:
    """Return how old the alert of a silent log was once it was painted."""
    await page.evaluate(WATCH_FRAMES, ["#view", "log"])
    boat.instruments.log = False
    await expect(page.locator(".act")).to_contain_text("WARNING")
    # It stands in the document before it is painted.
    await page.wait_for_function("seen.length > 0")
    seen: list[float] = await page.evaluate("seen")
    return seen[0]
