"""What `consist order` says of the table it has written."""

from __future__ import annotations

from consist.checking import SessionOrders
from consist.report.page import as_text
from consist.report.words import clean, listing, paragraph

__all__ = ["written_words"]


def written_words(orders: SessionOrders, path: str, width: int | None = None) -> str:
    """Where the table went, and which order of which train it holds; on one line unless there is a width."""
    made = orders.to_make
    enough = [clean(train.plan.train) for train in made if train.choice.enough]
    best = [clean(train.plan.train) for train in made if not train.choice.enough]
    held = [f"the first order to go of {listing(enough)}"] if enough else []
    held += [f"the best order found of {listing(best)}"] if best else []
    what = f"with {' and '.join(held)}" if held else "with every train as it stands"
    told = f"Written to {clean(path)}, {what}."
    return told + "\n" if width is None else as_text(paragraph(told, width), width)
