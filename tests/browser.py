"""A real browser for tests: Debian's Chromium behind Playwright, and what is looked for in a page that it shows."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

__all__ = ["DESKTOP", "FOCUS", "NO_BROWSER", "PHONE", "RIGHT_OF_VIEW", "WEAK_CONTRAST", "Shown", "launched", "shown"]

NEEDED = "CONSIST_NEEDS_BROWSER"
NO_BROWSER = "no Chromium on this machine; install it to test the page in a browser"
NAMES = ("chromium", "chromium-browser", "google-chrome")
ARGUMENTS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE = {"width": 360, "height": 740}
DESKTOP = {"width": 1280, "height": 900}

# WCAG 2.2, success criterion 1.4.3, with its definitions of contrast ratio and relative luminance. The ground of a
# text in HTML is the nearest one behind it that is not clear; that of a text in a picture is the last shape drawn
# before it under its middle, or what the picture stands on.
WEAK_CONTRAST = """() => {
  const colour = (text) => {
    const found = text.match(/[\\d.]+/g).map(Number);
    return { rgb: found.slice(0, 3), alpha: found.length > 3 ? found[3] : 1 };
  };
  const luminance = (rgb) => {
    const [r, g, b] = rgb.map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (element) => {
    for (let at = element; at; at = at.parentElement) {
      const found = colour(getComputedStyle(at).backgroundColor);
      if (!(at instanceof SVGElement) && found.alpha === 1) return found.rgb;
    }
    return [255, 255, 255];
  };
  const under = (text) => {
    const box = text.getBBox();
    const middle = text.ownerSVGElement.createSVGPoint();
    middle.x = box.x + box.width / 2;
    middle.y = box.y + box.height / 2;
    for (let at = text.previousElementSibling; at; at = at.previousElementSibling) {
      if (!(at instanceof SVGGeometryElement) || !getComputedStyle(at).fill.startsWith("rgb")) continue;
      if (at.isPointInFill(middle)) return colour(getComputedStyle(at).fill).rgb;
    }
    return ground(text);
  };
  const weak = [];
  let seen = 0;
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const element = walk.currentNode.parentElement;
    if (!walk.currentNode.data.trim() || !element.checkVisibility()) continue;
    if (["SCRIPT", "STYLE", "title", "desc"].includes(element.tagName)) continue;
    const style = getComputedStyle(element);
    const picture = element instanceof SVGElement;
    const ink = luminance(colour(picture ? style.fill : style.color).rgb);
    const paper = luminance(picture ? under(element) : ground(element));
    const ratio = (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
    seen += 1;
    if (ratio < 4.5) weak.push([walk.currentNode.data.trim(), Math.round(ratio * 100) / 100]);
  }
  return { seen, weak };
}"""

RIGHT_OF_VIEW = """() => {
  const wide = document.documentElement.clientWidth;
  const clipped = (element) => {
    for (let at = element; at; at = at.parentElement) if (getComputedStyle(at).clipPath !== "none") return true;
    return false;
  };
  const out = [...document.body.querySelectorAll("*")].filter((element) => {
    const box = element.getBoundingClientRect();
    return box.width > 0 && (box.right > wide + 0.5 || box.left < -0.5) && !clipped(element);
  });
  const root = document.documentElement;
  return { scrolls: root.scrollWidth > root.clientWidth, out: out.map((element) => element.outerHTML.slice(0, 120)) };
}"""

UNFOLD = "document.querySelectorAll('details').forEach((fold) => (fold.open = true))"

# a browser scrolls to what has the focus by whole pixels, so that a fraction of one may be out of view
FOCUS = """() => {
  const element = document.activeElement;
  const style = getComputedStyle(element);
  const box = element.getBoundingClientRect();
  return {
    tag: element.tagName.toLowerCase(), kind: element.type || "",
    text: element.textContent, to: element.getAttribute("href"),
    outlined: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
    within: box.width > 0 && box.top >= -1 && box.bottom <= innerHeight + 1,
  };
}"""


@dataclass
class Shown:
    """A page that is shown, what it asked the network for, and what it complained of."""

    page: Any
    asked_for: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)


@contextmanager
def launched() -> Iterator[Any]:
    """The browser; skips the test where there is none, or fails it where one is called for."""
    executable = next(filter(None, map(shutil.which, NAMES)), None)
    if executable is None:
        _missing(NO_BROWSER)
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("no Playwright here; install the project's [test] extra to test the page in a browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=executable, args=list(ARGUMENTS))
        yield browser
        browser.close()


@contextmanager
def shown(
    browser: Any,
    file: Path,
    viewport: dict[str, int],
    *,
    script: bool = True,
    folded: bool = False,
    scheme: str = "light",
    touch: bool = False,
) -> Iterator[Shown]:
    """A file shown in a window of its own, its sheets opened but where they are to be as they come."""
    context = browser.new_context(viewport=viewport, java_script_enabled=script, color_scheme=scheme, has_touch=touch)
    result = Shown(context.new_page())
    context.on("request", lambda request: result.asked_for.append(request.url))
    result.page.on("console", lambda message: result.complaints.append(message.text))
    result.page.on("pageerror", lambda error: result.complaints.append(str(error)))
    result.page.on("dialog", lambda dialog: result.complaints.append(f"dialog {dialog.message}"))
    result.page.goto(file.as_uri())
    if script and not folded:
        result.page.evaluate(UNFOLD)
    yield result
    context.close()


def _missing(reason: str) -> None:
    if os.environ.get(NEEDED) == "1":
        pytest.fail(reason)
    pytest.skip(reason)
