"""How bright a picture is, by the browser that took it."""

import base64

from playwright.async_api import Page

MOST_AT_NIGHT = 0.25
"""Of white's luminance."""

_GREATEST = """async (png) => {
  const image = new Image();
  image.src = `data:image/png;base64,${png}`;
  await image.decode();
  const canvas = new OffscreenCanvas(image.width, image.height);
  const ink = canvas.getContext("2d");
  ink.drawImage(image, 0, 0);
  const light = (of) => (of <= 0.04045 ? of / 12.92 : ((of + 0.055) / 1.055) ** 2.4);
  const linear = [...Array(256).keys()].map((of) => light(of / 255));
  const of = (red, green, blue) => 0.2126 * linear[red] + 0.7152 * linear[green] + 0.0722 * linear[blue];
  const { data } = ink.getImageData(0, 0, image.width, image.height);
  let most = 0;
  for (let at = 0; at < data.length; at += 4) most = Math.max(most, of(data[at], data[at + 1], data[at + 2]));
  return most;
}"""


async def brightest(reader: Page, png: bytes) -> float:
    """Return the greatest relative luminance of any pixel, 0 black to 1 white (WCAG 2.2)."""
    most: float = await reader.evaluate(_GREATEST, base64.b64encode(png).decode())
    return most
