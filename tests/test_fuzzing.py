"""Damaged sessions and wrong command lines, some hundreds of them; `fuzzing.py` tries thousands by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from fuzzing import broken_promise

__all__: list[str] = []


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_no_damaged_session_breaks_the_promise(first: int) -> None:
    assert [broken for seed in range(first, first + 50) if (broken := broken_promise(seed))] == []


def test_a_broken_promise_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each kind of it, by a command that breaks it whatever it is given."""
    import fuzzing

    def told_by(breaks: str) -> str:
        monkeypatch.setattr(fuzzing, "_command", lambda folder, draw: ["check", str(folder / "session")])
        monkeypatch.setattr("consist.session.read_session", lambda folder: exec(breaks, {"folder": Path(folder)}))
        return broken_promise(3) or ""

    assert "KeyError" in told_by("{}['x']")
    assert "changed" in told_by("(folder / 'session.toml').write_text('x'); raise SystemExit(0)")
    assert "changed" in told_by("(folder / 'left.part').write_text('x'); raise SystemExit(0)")
    assert "exit 3" in told_by("raise SystemExit(3)")
    assert "without a word" in told_by("raise SystemExit(2)")
    assert "Warning" in told_by("import warnings; warnings.warn('odd')")
    monkeypatch.setattr(fuzzing, "SECONDS", 1)
    assert "not ended" in told_by("import time; time.sleep(5)")
