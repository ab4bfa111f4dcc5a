"""The client's report: what is computed, what is said of it, and the page and the PDF that it is read on."""

from workbench.report.gather import Gathered, gather
from workbench.report.page import report_html
from workbench.report.pdf import report_pdf

__all__ = ["Gathered", "gather", "report_html", "report_pdf"]
