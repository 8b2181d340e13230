"""Documents on a terminal: pages of lines, pictures in text, and how far the work is."""

from __future__ import annotations

from consist.report.terminal.writer import Terminal, TextOf, as_pages, plain_lines, this_terminal

__all__ = ["Terminal", "TextOf", "as_pages", "plain_lines", "this_terminal"]
