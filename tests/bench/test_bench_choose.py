"""The pieces chosen, against trying every choice there is."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consist.bench.choose import _Kind, _layers, _with_sum, _within, choose
from consist.intake import KNOWN_PIECES, PieceKind

__all__: list[str] = []


def every_choice(
    weight: int, target: int, kinds: Sequence[tuple[int, int]]
) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """The key of the best choice, and its counts, by trying all; whole grams, kinds as weight and number."""
    options = []
    for counts in itertools.product(*(range(most + 1) for _, most in kinds)):
        total = sum(count * grams for count, (grams, _) in zip(counts, kinds, strict=True))
        after = weight + total
        difference = min(
            abs(total - 2 * sum(own * grams for own, (grams, _) in zip(side, kinds, strict=True)))
            for side in itertools.product(*(range(count + 1) for count in counts))
        )
        # shares in whole numbers: 10 % either way, and no more than 30 % over
        if 10 * after > 13 * target:
            continue
        if target <= after and 10 * after <= 11 * target:
            landing = (0, 0)
        elif 10 * after >= 9 * target and after < target:
            landing = (1, target - after)
        elif after > target:
            landing = (2, after - target)
        else:
            landing = (3, target - after)
        uneven, over = 20 * difference > target, max(after - target, 0)
        # a step nearer is worth a piece: 2 % of the target, in whole numbers
        options.append((landing, uneven, 50 * over // target, sum(counts), over, difference, counts))
    best_landing = min(option[0] for option in options)
    landed = [option for option in options if option[0] == best_landing]
    fewest = min(option[3] for option in landed)
    close = [option for option in landed if option[3] <= fewest + 2]
    best = min(close, key=lambda option: option[1:6])
    return None if best[3] == 0 else ((best_landing[0], int(best[1]), *best[3:6]), best[6])


@given(
    st.integers(30, 60),
    st.integers(1, 40),
    st.lists(st.tuples(st.integers(1, 15), st.integers(0, 4)), min_size=1, max_size=4),
)
def test_no_choice_beats_the_one_made(target: int, missing: int, kinds: list[tuple[int, int]]) -> None:
    weight = max(1, target - missing)
    pieces = [PieceKind(f"p{number}", grams, None, most) for number, (grams, most) in enumerate(kinds)]
    made = choose(weight, target, pieces)
    best = every_choice(weight, target, kinds)
    if made is None or best is None:
        assert made is None
        assert best is None
        return
    (landing, uneven, number, over, difference), _ = best
    after = weight + made.added_g
    assert sum(made.pieces.values()) == number
    assert max(after - target, 0) == pytest.approx(over)
    assert made.sides_g[0] - made.sides_g[1] == pytest.approx(difference)
    assert made.even is not bool(uneven)
    if landing == 0:
        assert target - 1e-9 <= after <= 1.1 * target + 1e-9


@given(st.integers(30, 60), st.integers(1, 40), st.lists(st.integers(1, 15), min_size=1, max_size=4))
def test_a_choice_adds_up(target: int, missing: int, grams: list[int]) -> None:
    pieces = [PieceKind(f"p{number}", each, None, 3) for number, each in enumerate(grams)]
    made = choose(max(1, target - missing), target, pieces)
    if made is None:
        return
    weights = {piece.piece: piece.weight_g for piece in pieces}
    for truck, side in zip(made.trucks, made.sides_g, strict=True):
        assert sum(weights[name] * number for name, number in truck.items()) == pytest.approx(side)
    assert made.added_g == pytest.approx(sum(made.sides_g))
    assert all(number <= 3 for number in made.pieces.values())


def test_over_beats_under() -> None:
    # 20 g missing: 19 g would be nearer than 24 g
    made = choose(80, 100, [PieceKind("nearly", 19, None, 1), PieceKind("over", 24, None, 1)])
    assert made is not None
    assert made.pieces == {"over": 1}


def test_the_nearest_set_over_the_target_is_worth_a_piece_more_and_not_three() -> None:
    # 8 g missing: 14 g are within what is near enough, 9 g are nearer
    made = choose(72, 80, [PieceKind("block", 7), PieceKind("nut", 3)])
    assert made is not None
    assert made.pieces == {"nut": 3}
    made = choose(72, 80, [PieceKind("block", 7), PieceKind("shot", 0.3)])
    assert made is not None
    assert made.pieces == {"block": 2}


def test_quarter_ounces_make_whole_ounces() -> None:
    # in whole milligrams six of them are 2 mg short of what is missing
    ounce = 28.349523125
    made = choose(2.5 * ounce, 4.0 * ounce, [PieceKind("quarter ounce", ounce / 4.0), PieceKind("nut", 2.9)])
    assert made is not None
    assert made.pieces == {"quarter ounce": 6}


def test_an_even_split_is_worth_a_piece_more_and_not_three() -> None:
    whole = PieceKind("whole", 20, None, 1)
    made = choose(80, 100, [whole, PieceKind("half", 10)])
    assert made is not None
    assert made.trucks == ({"half": 1}, {"half": 1})
    made = choose(80, 100, [whole, PieceKind("quarter", 5)])
    assert made is not None
    assert made.pieces == {"whole": 1}
    assert not made.even


def test_what_is_left_over_the_evening_is_the_most() -> None:
    pieces = [PieceKind("block", 10, None, 9), PieceKind("nut", 5)]
    made = choose(80, 100, pieces, {"block": 0})
    assert made is not None
    assert made.pieces == {"nut": 4}


def test_a_piece_longer_than_the_room_over_a_truck_is_not_chosen() -> None:
    pieces = [PieceKind("bar", 10, 90.0), PieceKind("nut", 5, 8.0)]
    made = choose(80, 100, pieces, half_length_mm=75.0)
    assert made is not None
    assert made.pieces == {"nut": 4}


@pytest.mark.parametrize(("length_mm", "chosen"), [(75.0, True), (75.1, False)])
def test_a_piece_just_as_long_as_the_room_over_a_truck_fits(length_mm: float, chosen: bool) -> None:
    made = choose(80, 100, [PieceKind("bar", 10, length_mm)], half_length_mm=75.0)
    assert (None if made is None else made.pieces) == ({"bar": 2} if chosen else None)


def test_nothing_is_chosen_where_nothing_helps() -> None:
    assert choose(100, 100, KNOWN_PIECES) is None
    assert choose(80, 100, []) is None
    assert choose(80, 100, [PieceKind("anvil", 500)]) is None


def test_many_pieces_in_a_big_car_are_found() -> None:
    # an O car of 10 in: 15 oz by RP-20.1
    made = choose(100, 425.243, KNOWN_PIECES)
    assert made is not None
    assert made.even
    assert made.pieces == {"quarter-ounce stick-on": 46}  # 45 of 7.087 g are 318.9 g, short of 325.2 g


@pytest.mark.parametrize("target_g", [2_000.0, 5_000.0, 20_000.0])
def test_kilograms_are_laid_in_pairs_and_the_rest_is_chosen(target_g: float) -> None:
    """The exact search of so much would take minutes, and all memory."""
    kinds = [PieceKind("bar", 50.0), PieceKind("nut", 3.1), PieceKind("pin", 0.7, on_hand=20)]
    found = choose(10.0, target_g, kinds)
    assert found is not None
    assert target_g <= 10.0 + found.added_g <= 1.1 * target_g
    assert found.even
    assert sum(found.pieces.values()) <= (target_g - 10.0) / 50.0 + 2
    weights = {kind.piece: kind.weight_g for kind in kinds}
    sides = [sum(count * weights[name] for name, count in side.items()) for side in found.trucks]
    assert sides == pytest.approx(found.sides_g)


def test_kilograms_that_no_pieces_reach_take_all_there_are() -> None:
    found = choose(10.0, 5_000.0, [PieceKind("bar", 50.0, on_hand=7), PieceKind("pin", 0.7, on_hand=20)])
    assert found is not None
    assert found.pieces == {"bar": 7, "pin": 20}


def test_no_piece_is_better_than_one_that_takes_a_car_far_past_its_target() -> None:
    for piece_g in (75.0, 90.0, 140.0):
        assert choose(60.0, 100.0, [PieceKind("slug", piece_g)]) is None
    assert choose(60.0, 100.0, [PieceKind("slug", 41.0)]) is not None


def test_sums_within_a_range_end_at_its_last() -> None:
    sums = sum(1 << number for number in (0, 3, 5, 6, 9))
    assert [*_within(sums, 3, 6)] == [3, 5, 6]
    assert [*_within(sums, 4, 5)] == [5]
    assert [*_within(sums, 7, 8)] == []


@given(
    st.lists(
        st.tuples(st.integers(1, 12), st.integers(1, 4)), min_size=1, max_size=4, unique_by=lambda kind: kind[0]
    ),
    st.integers(1, 6),
)
def test_sets_of_so_many_pieces_and_that_sum_are_all_there_are(
    given_kinds: list[tuple[int, int]], number: int
) -> None:
    kinds = [_Kind(f"piece {mg}", mg, most) for mg, most in sorted(given_kinds, reverse=True)]
    counts = [each for each in itertools.product(*(range(kind.most + 1) for kind in kinds)) if sum(each) == number]
    by_sum: dict[int, set[tuple[int, ...]]] = {}
    for each in counts:
        by_sum.setdefault(sum(count * kind.mg for count, kind in zip(each, kinds, strict=True)), set()).add(each)
    layers = _layers(kinds, 200, number)
    for total, expected in by_sum.items():
        found = list(_with_sum(kinds, layers, number, total))
        assert (len(found), set(found)) == (len(expected), expected)
