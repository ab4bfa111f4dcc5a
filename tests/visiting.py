"""A visit to the landowner's page in a browser: what was shown, what was said on its console, and whom it asked."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final, NamedTuple

from playwright.sync_api import Browser, BrowserContext, Page

if TYPE_CHECKING:
    from playwright.sync_api import ViewportSize

DESK: "Final[ViewportSize]" = {"width": 1280, "height": 900}
PHONE: "Final[ViewportSize]" = {"width": 320, "height": 640}
VIEWS: Final = ("land", "wait", "best", "odds", "plan", "versions")


class Visit(NamedTuple):
    """An open page.

    Attributes
    ----------
    page
        Its tab.
    address
        Of the server.
    complaints
        Errors and warnings of the console, and faults of the scripts.
    asked
        Address of every request that the tab made.
    """

    page: Page
    address: str
    complaints: list[str]
    asked: list[str]

    def open(self, fragment: str = "") -> None:
        """Open the page with something in its address, and wait for its picture and its handles."""
        self.page.goto("about:blank")  # another fragment alone would be no new visit
        self.page.goto(f"{self.address}/{fragment}")
        self.settle()

    def settle(self) -> None:
        """Wait until the plan stands on the page and nothing is being worked out."""
        self.page.locator("#opening").wait_for(state="hidden")
        self.page.locator("#examples option[value=standing-pines]").wait_for(state="attached")
        self.page.locator("body:not(.busy)").wait_for()

    def go(self, view: str) -> None:
        """Choose a view."""
        self.page.click(f"a[data-view={view}]")
        self.page.locator(f"#view-{view}").wait_for()

    def handle(self, path: str) -> int:
        """Year of a handle on the timeline."""
        return int(self.page.get_attribute(f'.handle[data-path="{path}"]', "aria-valuenow") or -1)

    def wait_for_handle(self, path: str, year: int) -> None:
        """Wait until a handle stands at a year and the plan is worked through."""
        self.page.locator(f'.handle[data-path="{path}"][aria-valuenow="{year}"]').wait_for()
        self.page.locator("body:not(.busy)").wait_for()

    def wide(self) -> int:
        """Width that the page needs [points]."""
        return int(self.page.evaluate("document.documentElement.scrollWidth"))


@contextmanager
def visiting(browser: Browser, address: str, viewport: "ViewportSize" = DESK, *, calm: bool = True) -> Iterator[Visit]:
    """Visit a page that is served; the strict content security policy stays in force.

    Parameters
    ----------
    browser
        Of the tests.
    address
        Without a slash at its end.
    viewport
        Width and height [points].
    calm
        Whether the reader asked for less motion.
    """
    context: BrowserContext = browser.new_context(
        viewport=viewport, reduced_motion="reduce" if calm else "no-preference", accept_downloads=True
    )
    context.set_default_timeout(60_000)
    page = context.new_page()
    visit = Visit(page, address, [], [])
    page.on("console", lambda said: visit.complaints.append(said.text) if said.type in {"error", "warning"} else None)
    page.on("pageerror", lambda fault: visit.complaints.append(str(fault)))
    page.on("request", lambda request: visit.asked.append(request.url))
    yield visit
    context.close()
