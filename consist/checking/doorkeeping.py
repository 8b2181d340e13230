"""Guests screened against tonight's trains."""

from __future__ import annotations

from consist.screening import screen as screen_guests

__all__ = ["screen_guests"]
