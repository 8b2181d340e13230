"""What hangs on a scale works in every scale: a new session, its check, weights, strips, bounds and words."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from builders import car, case, curve, layout, line, one_line, session, straight, train
from typer.testing import CliRunner

import consist
from consist.cli import app
from consist.report.explain import meanings_of
from consist.rules.unlikely import unlikely
from consist.scales import SCALES, known_scale
from consist.stock import engine_by_rule, weight_standard
from consist.unlikely import car_lengths, least_rise_mm, radii

__all__: list[str] = []

NARROW = ("TTm", "H0m", "HOn3", "HOn30", "H0e", "Sn3", "On3", "On30", "0m", "0e", "Im", "IIm")


@pytest.fixture(scope="module", params=SCALES)
def scale(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def made(scale: str, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A new session of the scale, and what was said of it."""
    folder = tmp_path_factory.mktemp("evening")
    return folder, CliRunner().invoke(app, ["new", str(folder), "--scale", scale]).stdout


def test_a_new_session_checks_as_it_stands(scale: str, made: tuple[Path, str]) -> None:
    (checked,) = consist.check(consist.load(made[0])).trains
    assert checked.verdict == "go"
    assert {finding.code for finding in checked.findings} <= {"assumed"}
    shown = CliRunner().invoke(app, ["layout", str(made[0] / "layout.toml")]).stdout
    assert f"1:{SCALES[scale].ratio:g}" in shown
    assert "HARDLY MEANT" not in shown
    for written in made[0].glob("*.toml"):
        assert max(map(len, written.read_text(encoding="utf-8").splitlines())) < 120


def test_whose_figures_are_taken_is_said_once_wherever_no_standard_is_named(
    scale: str, made: tuple[Path, str], tmp_path: Path
) -> None:
    folder, note = shutil.copytree(made[0], tmp_path / "evening"), weight_standard(None, scale).note
    head = (folder / "session.toml").read_text(encoding="utf-8").splitlines(keepends=True)
    unnamed = "".join(line for line in head if not line.startswith("weight_standard"))
    (folder / "session.toml").write_text(unnamed, encoding="utf-8")
    assert consist.load(folder).standard == weight_standard(None, scale)
    of_table = ["bench", str(folder / "cars.csv"), "--scale", scale]
    pages = [CliRunner().invoke(app, asked).stdout for asked in (["check", str(folder), "--no-pages"], of_table)]
    for told in (made[1], *pages):
        assert " ".join(told.split()).count("has no figures for scale") == (1 if note else 0)
        assert note in " ".join(told.split())
    rated = ["rating", str(folder / "layout.toml"), str(folder / "engines.csv")]
    for command in (["check", str(folder)], of_table, rated):
        printed = json.loads(CliRunner().invoke(app, [*command, "--json"]).stdout)
        assert printed["notes"] == list(filter(None, [note]))


def test_target_and_new_take_the_same_standard_and_say_the_same(scale: str, made: tuple[Path, str]) -> None:
    asked = ["target", "--scale", scale, "--length", "100mm"]
    found = json.loads(CliRunner().invoke(app, [*asked, "--json"]).stdout)
    assert f'weight_standard = "{found["standard"]}"' in (made[0] / "session.toml").read_text(encoding="utf-8")
    assert found["note"] in made[1]
    assert found["note"] in CliRunner().invoke(app, asked).stdout
    assert found["low_g"] == pytest.approx(0.9 * found["target_g"])


def test_a_scale_that_is_none_names_the_nearest_or_where_they_are_told(tmp_path: Path) -> None:
    for wrong, said in (("HOn33", "did you mean 'HOn3'?"), ("gauge", "'consist explain scale' lists them")):
        for asked in (["new", str(tmp_path / "x")], ["target", "--length", "4in"]):
            refused = CliRunner().invoke(app, [*asked, "--scale", wrong])
            assert (refused.exit_code, refused.stderr.count("\n"), said in refused.stderr) == (2, 1, True)
    listed = CliRunner().invoke(app, ["explain", "scale"]).stdout
    assert all(f'"{name}"' in " ".join(listed.split()) for name in SCALES)
    assert "is NEM's 1:45" in " ".join(CliRunner().invoke(app, ["explain", "scales"]).stdout.split())


def test_it_is_explained_with_its_source_and_found_as_it_is_spelt(scale: str) -> None:
    for written in (scale, scale.upper(), scale.lower()):
        (told,) = [one for one in meanings_of(written) if one.group == "scale"]
        assert told.word == scale
        assert told.source
    other = scale.replace("0", "O") if "0" in scale else scale.replace("O", "0")
    found = known_scale(other)
    assert found is not None
    assert (found.name == scale) == (scale not in ("O", "0"))


def test_lengths_and_bounds_follow_from_it(scale: str) -> None:
    of, ho = SCALES[scale], SCALES["HO"]
    by = ho.ratio / of.ratio
    assert of.coupler_height_mm == pytest.approx(by * 9.93)
    assert of.pivot_setback_mm == pytest.approx(by * 8.9)
    assert of.coupled_over_body_mm == pytest.approx(by * 12.7)
    assert engine_by_rule("1", of, weight_g=100.0).coupled_length_mm == pytest.approx(by * 200.0)
    assert of.is_narrow == (scale in NARROW)
    # 18 in in HO, by ratio or on narrow gauge by gauge
    usual_mm = 457.2 * (of.gauge_mm / 16.5 if of.is_narrow else by)
    assert (radii(of).least, radii(of).most) == pytest.approx((usual_mm / 4, usual_mm * 15))
    a_foot_mm = 304.8 / of.ratio
    assert car_lengths(of).least == pytest.approx((6.0 if of.is_narrow else 15.0) * a_foot_mm)
    assert least_rise_mm(of) == pytest.approx((15.0 if of.is_narrow else 22.0) * a_foot_mm)


# the sharpest that is common on such lines: from memory
@pytest.mark.parametrize(
    ("name", "radius_mm"),
    [
        ("H0e", 195.0),
        ("HOn30", 152.4),
        ("On30", 203.2),
        ("0e", 229.0),
        ("IIm", 600.0),
        ("H0m", 250.0),
        ("TTm", 150.0),
    ],
)
def test_the_sharp_curves_of_narrow_gauge_are_not_asked_about_but_another_unit_is(
    name: str, radius_mm: float
) -> None:
    assert layout(line("A, out", "B, in", curve(radius_mm, 60.0)), scale=SCALES[name]).findings == ()
    usual_mm = 457.2 * SCALES[name].gauge_mm / 16.5
    wide, sharp = (line("A, out", "B, in", curve(times * usual_mm, 60.0)) for times in (25.4, 1.0 / 25.4))
    (found,) = layout(wide, scale=SCALES[name], unit="in").findings
    assert "was it meant in millimetres?" in found.say
    (found,) = layout(sharp, scale=SCALES[name], unit="mm").findings
    assert "was it meant in inches?" in found.say


def test_a_mine_s_car_and_a_low_helix_are_narrow_gauge_s_own() -> None:
    """2 m at full size and a rise of 17 ft a turn; on standard gauge both are asked about."""
    for name, found in (("H0e", 0), ("HO", 1)):
        of = SCALES[name]
        tub = car(weight_g=20.0, length_mm=2000.0 / of.ratio, target_g=20.0)
        track = one_line(straight(900.0), scale=of)
        short = unlikely(case(session(track, train(track, [tub])), train(track, [tub])))
        rise = curve(300.0, 720.0, grade_percent=17.0 * 304.8 / of.ratio / (6.2832 * 300.0) * 100.0)
        helix = layout(line("Low, out", "High, in", rise), scale=of)
        assert (len(short), len(helix.findings)) == (found, found)
