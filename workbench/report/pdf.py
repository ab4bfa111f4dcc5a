"""A report as a tagged PDF; what draws it is an extra, and needs the system's Pango."""

import logging
from typing import Any, Final

from simulator.errors import MissingExtraError

LETTER: Final = "@page { size: letter }"
NOT_INSTALLED: Final = (
    "a PDF needs the extra [pdf], which is not installed: python -m pip install 'halfshade[pdf]', or print the HTML "
    "from a browser"
)
NO_PANGO: Final = (
    "a PDF needs the system library Pango, which the extra [pdf] did not find: install it (on Debian and Ubuntu "
    "apt-get install libpango-1.0-0 libpangoft2-1.0-0), or print the HTML from a browser"
)


def report_pdf(html: str) -> bytes:
    """Lay a report out on Letter paper as PDF/UA: tagged, with language, title and the words of every picture.

    Parameters
    ----------
    html
        From :func:`workbench.report.page.report_html`.

    Returns
    -------
    bytes
        The same for the same HTML.

    Raises
    ------
    MissingExtraError
        Where WeasyPrint is not installed, or Pango not found.
    """
    weasyprint = _weasyprint()
    # a report asks nobody for anything: only what stands in it is opened
    document = weasyprint.HTML(string=html, url_fetcher=weasyprint.urls.URLFetcher(allowed_protocols={"data"}))
    made: bytes = document.write_pdf(
        stylesheets=[weasyprint.CSS(string=LETTER)], pdf_variant="pdf/ua-1", pdf_identifier=b"halfshade report"
    )
    return made


def _weasyprint() -> Any:  # noqa: ANN401 - a module that may not be there
    try:
        import weasyprint  # noqa: PLC0415 - an extra, and slow to import
    except ImportError as error:
        raise MissingExtraError(NOT_INSTALLED) from error
    except OSError as error:
        raise MissingExtraError(NO_PANGO) from error
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    logging.getLogger("fontTools").setLevel(logging.ERROR)
    return weasyprint
