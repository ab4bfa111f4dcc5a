"""A headless Chromium for the tests of pages, and what a checker of accessibility finds in one."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final, NoReturn

import axe_playwright_python
from playwright.sync_api import Browser, Page, sync_playwright

MISSING: Final = "there is no Chromium here: apt-get install chromium"
QUIET: Final = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
"""Without these a browser started by root refuses, and any other asks the network on its own account."""


@contextmanager
def chromium(absent: Callable[[str], NoReturn]) -> Iterator[Browser]:
    """The system's Chromium; `absent` is told where there is none."""
    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if program is None:
        absent(MISSING)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(QUIET))
        yield browser
        browser.close()


def violations(page: Page) -> list[str]:
    """What axe-core objects to on the page as it is shown now, one line for each rule and element."""
    axe = Path(axe_playwright_python.__file__).with_name("axe.min.js").read_text(encoding="utf-8")
    page.evaluate(axe)  # evaluated, not added as a tag, which a strict content security policy forbids
    found = page.evaluate("() => axe.run().then(result => result.violations)")
    return [f"{rule['id']}: {node['html']}" for rule in found for node in rule["nodes"]]
