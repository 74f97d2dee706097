"""The printed sheet of an outing: one or two pages that need no screen."""

from backbearing.writers.sheet.html import sheet_html, times_html
from backbearing.writers.sheet.message import overdue_text

__all__ = ["overdue_text", "sheet_html", "times_html"]
