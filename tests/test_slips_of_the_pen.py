"""Slips of the pen in a good layout and its session are each caught, and what is only unusual is taken as it is."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import consist
from consist.errors import InputError
from consist.intake import read_layout
from consist.track import close_up, loop_words
from consist.wording import units_for

__all__: list[str] = []

LAYOUT = """name = "Alder Loop"
scale = "HO"
units = "in"

[place."Alder"]
standing = 90

[place."Birch"]
through = [["east", "west"], ["east", "branch"]]
standing = 90

[[line]]
from = "Alder, east"
to = "Birch, east"
track = [
  { length = 48, grade = 1.0 },
  { radius = 30, turn = "left", angle = 90, easement = 8 },
  { length = 24 },
  { radius = 30, turn = "left", angle = 90, easement = 8 },
  { length = 60, grade = 1.0 },
]

[[line]]
from = "Birch, west"
to = "Alder, west"
track = [
  { length = 46, grade = -2.0 },
  { radius = 30, turn = "left", angle = 90, easement = 8 },
  { length = 24.0 },
  { radius = 30, turn = "left", angle = 90, easement = 8 },
  { length = 32, grade = -0.5 },
  { length = 26 },
]

[[line]]
from = "Birch, branch"
to = "Quarry, south"
track = [
  { length = 20 },
  { radius = 26, turn = "right", angle = 60, grade = 2.5 },
  { length = 60, grade = 3.0 },
]
"""
SESSION = """title = "Slips"
layout = "layout.toml"

[[train]]
name = "Local"
route = ["Alder", "Birch", "Quarry"]
engines = ["31", "32"]
depart = "10:00"
arrive = "10:40"

[[train]]
name = "Back"
route = ["Birch", "Alder"]
engines = ["33"]
"""
CARS = """car,weight_oz,load_oz,body_length_in,coupled_length_in,truck_centers_in,rolls_at_percent
TST 1,3.9,,5.8,6.4,4.2,1.5
TST 2,4.1,1.0,6.0,6.5,4.3,1.2
TST 3,3.5,,5.0,5.5,3.6,1.4
TST 4,4.0,,6.0,6.5,,
"""
ENGINES = """engine,class,weight_oz,drivers_weight_oz,pull_oz,coupled_length_in,truck_centers_in
31,mill,14,14,3.2,7.5,4.0
32,mill,14,14,3.1,7.5,4.0
33,mill,14,14,3.1,7.5,4.0
"""
TRAINS = """train,spot,car
Local,1,TST 1
Local,2,TST 2
Back,1,TST 3
Back,2,TST 4
"""
GOOD = {
    "layout.toml": LAYOUT, "session.toml": SESSION, "cars.csv": CARS, "engines.csv": ENGINES, "trains.csv": TRAINS
}  # fmt: skip


def caught(folder: Path) -> list[str]:
    """What is said of figures that are hardly meant, loops that do not close and input that cannot be used."""
    try:
        session = consist.load(folder)
    except InputError as error:
        return [str(problem) for problem in error.problems]
    layout, checked = session.layout, consist.check(session)
    asked = [one.say for train in checked.trains for one in train.findings if one.code == "unlikely"]
    loops = [loop_words(loop, units_for(layout.unit)) for loop in close_up(layout).open]
    return list(dict.fromkeys([*(one.say for one in layout.findings), *asked, *loops]))


def written(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_the_good_session_is_asked_nothing(tmp_path: Path) -> None:
    assert caught(written(tmp_path, GOOD)) == []


MORE = """
[[line]]
from = "Quarry, south"
to = "Mill, west"
track = [{ length = 30 }]
"""
SLIPS = {
    "millimetres for inches in the whole file": (
        "layout.toml",
        'units = "in"',
        'units = "mm"',
        "is the file in inches?",
    ),
    "millimetres for inches of one radius": ("layout.toml", "radius = 26", "radius = 660", "meant in millimetres?"),
    "feet for inches of one radius": (
        "layout.toml",
        "radius = 26",
        "radius = 2.2",
        "very sharp for HO; was it meant in feet?",
    ),
    "a radius for its diameter": ("layout.toml", "  { radius = 30", "  { radius = 60", "miss"),
    "millimetres for inches of one length": (
        "layout.toml",
        "length = 60, grade = 1",
        "length = 1524, grade = 1",
        "over 10 times",
    ),
    "a point left out": ("layout.toml", "length = 24.0", "length = 240", "miss"),
    "a wrong turn": (
        "layout.toml",
        '"left", angle = 90, easement = 8 },\n  { length = 24.0',
        '"right", angle = 90, easement = 8 },\n  { length = 24.0',
        "piece 2 of line 2 turned the other",
    ),
    "a grade's sign": ("layout.toml", "grade = -2.0", "grade = 2.0", "piece 1 of line 2 had a grade of the other"),
    "a fraction for per cent": ("layout.toml", "grade = 2.5", "grade = 0.025", "write 2.5"),
    "a fraction for per cent, down": ("layout.toml", "grade = -0.5", "grade = -0.005", "write -0.5"),
    "a grade for one in so many": ("layout.toml", "grade = 3.0", "grade = 33", "from -15 to 15"),
    "an end named twice on a line": ("layout.toml", '"Birch, east"', '"Alder, east"', "very end"),
    "an end named twice at a place": ("layout.toml", 'from = "Birch, west"', 'from = "Birch, east"', "miss"),
    "an end named twice at a place off the loop": (
        "layout.toml",
        '"Birch, branch"',
        '"Birch, west"',
        "none to its end branch",
    ),
    "an end named twice where no train runs": (
        "layout.toml",
        "grade = 3.0 },\n]\n",
        "grade = 3.0 },\n]\n" + MORE,
        "no train runs through",
    ),
    "an end that is no end of the place": ("layout.toml", '"Birch, branch"', '"Birch, brunch"', "no allowed way"),
    "a length left out": ("layout.toml", "  { length = 32, grade = -0.5 },\n", "", "miss"),
    "a piece without a length": ("layout.toml", "{ length = 60, grade = 3.0 }", "{ grade = 3.0 }", "length"),
    "a curve without its turn": ("layout.toml", 'radius = 26, turn = "right", ', "radius = 26, ", "turn"),
    "a turn misspelt": ("layout.toml", '"right", angle = 60', '"rihgt", angle = 60', "rihgt"),
    "a nought too many in an angle": ("layout.toml", "angle = 90", "angle = 900", "is its angle or its grade wrong?"),
    "an easement for a length": ("layout.toml", "easement = 8", "easement = 80", "too long for its curve"),
    "a place misspelt": ("layout.toml", '"Alder, west"', '"Adler, west"', "did you mean 'Alder'"),
    "from and to exchanged": (
        "layout.toml",
        'from = "Birch, west"\nto = "Alder, west"',
        'from = "Alder, west"\nto = "Birch, west"',
        "miss",
    ),
    "another scale": ("layout.toml", 'scale = "HO"', 'scale = "H0O"', "did you mean 'HO'"),
    "millimetres for inches of a car": ("cars.csv", "6.0,6.5,4.3", "152,165,109", "meant in millimetres?"),
    "grams for ounces": ("cars.csv", "TST 1,3.9", "TST 1,110", "meant in grams?"),
    "ounces for grams": ("cars.csv", "TST 1,3.9", "TST 1,3.9 g", "meant in ounces?"),
    "a point left out of a weight": ("cars.csv", "TST 3,3.5", "TST 3,35", "times the"),
    "trucks for couplers": ("cars.csv", "6.4,4.2", "4.2,6.4", "coupled_length"),
    "a car named twice": ("trains.csv", "Local,2,TST 2", "Local,2,TST 1", "TST 1"),
    "a car of another number": ("trains.csv", "TST 4", "TST 14", "TST 14"),
    "a spot named twice": ("trains.csv", "Local,2,", "Local,1,", "spot"),
    "a stop misspelt": ("session.toml", '"Birch", "Quarry"', '"Birch", "Quary"', "Quarry"),
    "an arrival for a day": ("session.toml", '"10:40"', '"10:70"', "10:70"),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_in_a_good_session_is_caught(tmp_path: Path, slip: str) -> None:
    name, old, new, told = SLIPS[slip]
    assert old in GOOD[name]
    said = caught(written(tmp_path, {**GOOD, name: GOOD[name].replace(old, new, 1)}))
    assert told in " ".join(said)


def straight(mm: float, grade: float = 0.0) -> str:
    return f"{{ length = {mm:.6g}, grade = {grade} }}"


def curve(radius: float, angle: float, turn: str = "left", grade: float = 0.0) -> str:
    return f'{{ radius = {radius:.6g}, turn = "{turn}", angle = {angle}, grade = {grade} }}'


def line(start: str, finish: str, *pieces: str) -> str:
    return f'[[line]]\nfrom = "{start}"\nto = "{finish}"\ntrack = [{", ".join(pieces)}]\n'


def place(name: str, *pairs: str, standing: float = 0.0) -> str:
    """A place; a pair is "ONE END to OTHER"."""
    through = ", ".join("[" + ", ".join(f'"{end}"' for end in pair.split(" to ")) + "]" for pair in pairs)
    more = f"standing = {standing}\n" if standing else ""
    return f'[place."{name}"]\n{more}' + (f"through = [{through}]\n" if pairs else "")


def oval(radius: float, side: float, *, grade: float = 0.0, turns: float = 180.0) -> str:
    """Two stations on an oval, up on one side and down on the other."""
    out = line("A, east", "B, east", straight(side, grade), curve(radius, turns, grade=grade))
    return out + line("B, west", "A, west", straight(side, -grade), curve(radius, turns, grade=-grade))


def balloon(radius: float, name: str = "Fork") -> str:
    """A turnout of 20 degrees to each side of the stem, and the loop round between its legs."""
    leg = radius / math.tan(math.radians(20.0)) - radius * math.tan(math.radians(10.0))
    leaves, around = curve(radius, 20.0), curve(radius, 220.0, "right")
    whole = line(f"{name}, left", f"{name}, right", leaves, straight(leg), around, straight(leg), leaves)
    return place(name, "stem to left", "stem to right") + whole


TWO_SIDED = ("up east to up west", "down east to down west", "up east to down west")
UNUSUAL = {
    "a helix of four turns": ("HO", line("Low, up", "High, down", straight(900), curve(700, 1440, grade=2.0))),
    "a helix of narrow gauge": ("H0e", line("Low, up", "High, down", straight(500), curve(250, 1080, grade=3.5))),
    "a reversing loop": ("HO", line("End, east", "Fork, stem", straight(1000)) + balloon(450)),
    "a dog bone": (
        "N",
        balloon(300, "East")
        + balloon(300, "West")
        + line("East, stem", "West, stem", straight(1500), curve(400, 45), straight(900)),
    ),
    "a wye": (
        "HO",
        place("West", "out to main", "out to leg")
        + place("East", "out to main", "out to leg")
        + place("Tail", "end to west", "end to east")
        + line("West, main", "East, main", straight(1000))
        + line("West, leg", "Tail, west", curve(500, 90, "right"))
        + line("Tail, east", "East, leg", curve(500, 90, "right")),
    ),
    "a branch up a steep grade": (
        "HO",
        place("Town", "west to east", "west to branch")
        + oval(600, 900)
        + line("A, yard", "Town, west", straight(800))
        + line("Town, branch", "Mine, south", straight(600, 5.5), curve(500, 45, grade=6.0)),
    ),
    "Z on a tray": ("Z", oval(145, 300)),
    "N on a shelf": ("N", line("A, east", "B, west", straight(800), curve(195, 90), straight(600, 1.5))),
    "TT": ("TT", oval(310, 500, grade=1.0)),
    "S": ("S", oval(610, 1200)),
    "O on toy curves": ("O", oval(457, 1000)),
    "0 with long straights": ("0", line("A, east", "B, west", straight(6000), curve(1800, 90), straight(4000))),
    "a garden railway": ("IIm", oval(1200, 5000, grade=2.0)),
    "a mine tramway": ("On30", line("A, east", "B, west", straight(400), curve(190, 60), straight(300, 4.0))),
    "three feet in HO": (
        "HOn3",
        line("A, east", "B, west", straight(700), curve(400, 90, "right", 4.0), straight(500)),
    ),
    "metre gauge": ("H0m", oval(330, 700)),
    "a dock with no end beyond it": (
        "HO",
        place("Town", "west to east", "west to dock")
        + oval(600, 900)
        + line("A, ferry", "Town, west", straight(700))
        + line("Town, dock", "Ferry, shore", curve(560, 30), straight(1200)),
    ),
    "a line of a single piece": ("HO", line("A, east", "B, west", straight(9000))),
    "a figure of eight": (
        "HO",
        line("A, east", "B, north", straight(500, 2.0), curve(500, 270, grade=2.0), straight(500, 2.0))
        + line("B, south", "A, west", straight(500, -2.0), curve(500, 270, "right", -2.0), straight(500, -2.0)),
    ),
    "double track": (
        "HO",
        place("A", *TWO_SIDED)
        + place("B", *TWO_SIDED)
        + line("A, up east", "B, up west", straight(2000))
        + line("A, down east", "B, down west", straight(2000)),
    ),
    "modules in a hall": (
        "HO",
        line("A, east", "B, east", *[straight(1220)] * 9, curve(1100, 180))
        + line("B, west", "A, west", *[straight(1220)] * 9, curve(1100, 180)),
    ),
    "curves of the prototype": (
        "HO",
        line("A, east", "B, west", straight(1500), curve(2600, 40), straight(900, 0.1)),
    ),
    "a trolley round street corners": (
        "HO",
        line("A, east", "B, west", straight(300), curve(150, 90), straight(200)),
    ),
    "a staging yard with one throat": (
        "HO",
        place("Staging", standing=1800)
        + line("Staging, throat", "A, east", straight(900))
        + line("Staging, throat", "B, west", straight(900), curve(700, 30)),
    ),
    "sectional track": (
        "HO",
        line("A, east", "B, west", *[curve(457.2, 22.5)] * 8, *[straight(229)] * 6, straight(38)),
    ),
    "twice round": ("HO", oval(600, 800, grade=2.2, turns=540.0)),
    "switchbacks": (
        "HO",
        "".join(place(f"Tail {n}", "end to low", "end to high") for n in (1, 2))
        + line("Low, up", "Tail 1, low", straight(900, 4.0))
        + line("Tail 1, high", "Tail 2, low", straight(900, 4.0))
        + line("Tail 2, high", "High, down", straight(900, 4.0)),
    ),
    "a scale in figures": ("{ ratio = 76.2, gauge_mm = 16.5, coupler_height_mm = 11.0 }", oval(438, 670)),
}


@pytest.mark.parametrize("unusual", UNUSUAL)
def test_what_is_unusual_and_meant_is_not_asked_about(tmp_path: Path, unusual: str) -> None:
    """As a layout, and with a car of 36 ft on its target and an engine run over its first line."""
    scale, track = UNUSUAL[unusual]
    given = scale if scale.startswith("{") else f'"{scale}"'
    layout = f'name = "Unusual"\nscale = {given}\nunits = "mm"\n\n{track}'
    read = read_layout(written(tmp_path, {"layout.toml": layout}) / "layout.toml")
    assert [one.say for one in read.findings] == []
    assert [loop_words(loop, units_for("mm")) for loop in close_up(read).open] == []
    first = read.lines[0]
    session = SESSION[: SESSION.index("[[train]]")]
    session += f'[[train]]\nname = "One"\nroute = ["{first.start[0]}", "{first.finish[0]}"]\nengines = ["1"]\n'
    if first.start[0] == first.finish[0]:
        return
    mm = 36.0 * 304.8 / read.scale.ratio
    files = {
        "session.toml": session,
        "cars.csv": f"car,coupled_length_mm\nTST 1,{mm:.1f}\n",
        "engines.csv": f"engine,weight_g,pull_g,coupled_length_mm\n1,900,200,{mm:.1f}\n",
        "trains.csv": "train,spot,car\nOne,1,TST 1\n",
    }
    assert caught(written(tmp_path, files)) == []
