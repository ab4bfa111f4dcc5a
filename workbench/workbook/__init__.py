"""The accountant's workbook: a comparison as a spreadsheet whose formulas follow its prices and its rate."""

from workbench.workbook.file import workbook_bytes, write_workbook

__all__ = ["workbook_bytes", "write_workbook"]
