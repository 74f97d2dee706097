"""Answers out, as pages, files and text; nothing is computed here."""
