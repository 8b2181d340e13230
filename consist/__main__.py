"""`python -m consist` is the command `consist`."""

from __future__ import annotations

from consist.cli import main

__all__: list[str] = []

if __name__ == "__main__":
    main()
