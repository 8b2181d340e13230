"""A stop of a session's route may name an end, and a place whose name holds a comma stays a place."""

from pathlib import Path

import pytest

import consist
from consist.errors import InputError

LAYOUT = """
scale = "HO"
units = "mm"
[[line]]
from = "A, south, east"
to = "B, west"
track = [{ length = 1000 }]
[[line]]
from = "B, east"
to = "A, south, west"
track = [{ length = 1200 }]
"""


def load(folder: Path, route: str) -> consist.Session:
    train = f'title = "T"\nlayout = "layout.toml"\n[[train]]\nname = "One"\nroute = {route}\n'
    for name, text in {
        "layout.toml": LAYOUT,
        "session.toml": train,
        "cars.csv": "car,body_length_mm\nC 1,150\n",
        "engines.csv": "engine,class,pull_g\n1,x,100\n",
        "trains.csv": "train,spot,car\nOne,1,C 1\n",
    }.items():
        (folder / name).write_text(text, encoding="utf-8")
    return consist.load(folder)


@pytest.mark.parametrize(
    ("route", "length_mm"),
    [
        ('["A, south", "B"]', 1000.0),
        ('["A, south, west", "B"]', 1200.0),
        ('["A, south", "B, east"]', 1200.0),
    ],
)
def test_a_stop_names_its_end(tmp_path: Path, route: str, length_mm: float) -> None:
    run = load(tmp_path, route).trains[0].route
    assert run.stops == ("A, south", "B")
    assert run.length_mm == pytest.approx(length_mm)


@pytest.mark.parametrize(
    ("route", "said"),
    [
        ('["A, south, wst", "B"]', "an end of 'A, south'"),
        ('["B, east", "B, west"]', "found 'B' twice in a row"),
        ('["B, west", "A, south, west"]', "no allowed way from 'B, west' to 'A, south, west'"),
        ('["Q, west", "B"]', "a place of the layout"),
    ],
)
def test_ends_that_cannot_be_are_one_sentence(tmp_path: Path, route: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        load(tmp_path, route)
    assert len(caught.value.problems) == 1
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("route", "pushed"),
    [
        ('["A, south", { to = "B", pushed = true }]', (True,)),
        ('["A, south", { to = "B, west", pushed = true }, "A, south"]', (True, False)),
        ('["A, south", { to = "B", pushed = false }]', ()),
        ('["A, south", { to = "B" }]', ()),
    ],
)
def test_a_stop_may_be_pushed_to(tmp_path: Path, route: str, pushed: tuple[bool, ...]) -> None:
    run = load(tmp_path, route).trains[0].route
    assert run.pushed == pushed
    assert run.stops[:2] == ("A, south", "B")


@pytest.mark.parametrize(
    ("route", "said"),
    [
        ('["A, south", { to = "B", pushed = "yes" }]', "route, stop 2, pushed: found 'yes', expected true or false"),
        ('["A, south", { pushed = true }]', "route, stop 2, to: found nothing, expected a place of the layout"),
        ('["A, south", { to = "B", backing = true }]', "route, stop 2, backing: found a key that consist does not"),
        ('[{ to = "A, south", pushed = true }, "B"]', "route, stop 1, pushed: found true, and a train backs to no"),
        ('["A, south", 3]', "route: found 3 in the list, expected a list of two or more place names"),
        ('["A, south", ["B"]]', "route: found a list in the list, expected"),
        ('["A, south", { to = "C", pushed = true }]', "found 'C', expected a place of the layout"),
        ('[{ to = "A, south" }]', "found a list of 1, expected a list of two or more"),
    ],
)
def test_a_pushed_stop_that_cannot_be_is_one_sentence(tmp_path: Path, route: str, said: str) -> None:
    with pytest.raises(InputError) as raised:
        load(tmp_path, route)
    (problem,) = raised.value.problems
    assert said in str(problem)
