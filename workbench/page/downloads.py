"""Files of a plan to keep: tables, pictures, workbook, report."""

import importlib
import io
import zipfile
from collections.abc import Callable, Mapping
from typing import Any, Final

from simulator.comparison import Comparison
from simulator.errors import MissingExtraError
from workbench.documents import comparison_document
from workbench.page.answers import file_stem, memory_of
from workbench.page.messages import NOT_THERE_YET, OK, Reply, Settings, message_reply
from workbench.page.plans import Opened, opened_tables

ZIP: Final = "application/zip"
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
FIRST_DAY: Final = (1980, 1, 1, 0, 0, 0)
"""Date of every file in an archive, the first that archives know, so that equal plans give equal bytes."""
READABLE_BY_ALL: Final = 0o644


def download_reply(given: Mapping[str, Any], settings: Settings) -> Reply:
    """Files of one kind.

    Parameters
    ----------
    given
        ``kind`` and ``plan``.
    settings
        What the process was told.

    Returns
    -------
    Reply
        501 where a part of the program that is needed is not installed.
    """
    opened = opened_tables(given["plan"], settings)
    try:
        return MAKERS[given["kind"]](opened, settings)
    except MissingExtraError as error:
        return message_reply(str(error), NOT_THERE_YET)


def _csv(opened: Opened, settings: Settings) -> Reply:
    from workbench.files import comparison_texts  # noqa: PLC0415 - pandas is slow to import

    comparison = _compared(opened, settings)
    texts = comparison_texts(comparison, comparison_document(comparison))
    return Reply(
        OK, archive({name: text.encode() for name, text in texts.items()}), ZIP, f"{file_stem(opened)}-csv.zip"
    )


def _pictures(opened: Opened, settings: Settings) -> Reply:
    from workbench.charts.files import FIGURES, image  # noqa: PLC0415 - matplotlib is slow to import

    comparison = _compared(opened, settings)
    figures = {name: draw(comparison) for name, draw in FIGURES.items()}
    files = {f"{name}.{kind}": image(figure, kind) for name, figure in figures.items() for kind in ("png", "svg")}
    return Reply(OK, archive(files), ZIP, f"{file_stem(opened)}-pictures.zip")


def _workbook(opened: Opened, settings: Settings) -> Reply:
    content = _part("workbench.workbook", "the workbook").workbook_bytes([_compared(opened, settings)])
    return Reply(OK, content, XLSX, f"{file_stem(opened)}.xlsx")


def _report(opened: Opened, settings: Settings) -> Reply:
    return Reply(OK, _html(opened, settings).encode(), "text/html; charset=utf-8", f"{file_stem(opened)}-report.html")


def _pdf(opened: Opened, settings: Settings) -> Reply:
    html = _html(opened, settings)
    content = _part("workbench.report", "the report").report_pdf(html)
    return Reply(OK, content, "application/pdf", f"{file_stem(opened)}-report.pdf")


def _html(opened: Opened, settings: Settings) -> str:
    report = _part("workbench.report", "the report")
    gathered = report.gather(opened.scenario, settings.beside)
    return str(report.report_html([gathered]))


def _part(module: str, what: str) -> Any:  # noqa: ANN401 - a module that may not be there
    try:
        return importlib.import_module(module)
    except ModuleNotFoundError as error:
        if error.name != module:
            raise MissingExtraError(f"{what} needs {error.name}, which is not installed.".capitalize()) from error
        raise MissingExtraError(f"This edition of Halfshade does not make {what}.") from error


def _compared(opened: Opened, settings: Settings) -> Comparison:
    return memory_of(settings).compare(opened.scenario)


def archive(files: Mapping[str, bytes]) -> bytes:
    """Files in one zip archive, the same bytes for the same files."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as into:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, FIRST_DAY)
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, READABLE_BY_ALL << 16
            into.writestr(entry, data)
    return content.getvalue()


MAKERS: Final[Mapping[str, Callable[[Opened, Settings], Reply]]] = {
    "csv": _csv,
    "pictures": _pictures,
    "workbook": _workbook,
    "report": _report,
    "pdf": _pdf,
}
