"""Printed sheets that need no screen: of an outing, one or two pages, and of a search, one."""

from backbearing.writers.sheet.html import sheet_html, times_html
from backbearing.writers.sheet.message import overdue_text
from backbearing.writers.sheet.search import search_sheet_html

__all__ = ["overdue_text", "search_sheet_html", "sheet_html", "times_html"]
