"""Reports: results as sheets, and the writers that bring them to a terminal, a page, paper and JSON.

Each part is loaded from where it stands, so that a command loads only what it shows.
"""

__all__: list[str] = []
