"""The page for the return visit: one file, no request, readable with scripts off."""

from backbearing.writers.page.render import render_page

__all__ = ["render_page"]
