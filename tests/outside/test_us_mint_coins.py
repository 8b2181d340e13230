"""US Mint, coin specifications: weights of the coins that are known as pieces by default."""

from __future__ import annotations

import pytest

from consist.intake import KNOWN_PIECES

__all__: list[str] = []

# grams; the cent's is that since 1982
COINS = {"cent coin": 2.500, "nickel coin": 5.000, "dime coin": 2.268, "quarter coin": 5.670}


def test_coins_weigh_what_the_mint_says() -> None:
    known = {piece.piece: piece.weight_g for piece in KNOWN_PIECES}
    assert {name: known[name] for name in COINS} == COINS


def test_a_stick_on_piece_is_a_quarter_of_an_ounce() -> None:
    # common practice, no source; the ounce is 28.349523125 g exactly
    known = {piece.piece: piece.weight_g for piece in KNOWN_PIECES}
    assert known["quarter-ounce stick-on"] == pytest.approx(28.349523125 / 4)


def test_nuts_and_washers_are_not_known() -> None:
    assert not [piece for piece in KNOWN_PIECES if "nut" in piece.piece or "washer" in piece.piece]
