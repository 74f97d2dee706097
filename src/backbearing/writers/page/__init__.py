"""The page for the return visit: one file, no request, readable with scripts off."""

from backbearing.writers.page.render import get_ready, render_page

__all__ = ["get_ready", "render_page"]
