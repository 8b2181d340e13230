"""Whatever stands in a file, reading it gives records or `InputError` with one line a problem."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consist.errors import InputError
from consist.intake import new_session, read_cars, read_layout, read_session

FEW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])

cells = st.one_of(
    st.sampled_from(["", "#", '"', "car", "weight_g", "weight", "body_length_mm", "1,5", "nan", "-1", "1e400", "NA"]),
    st.text(max_size=6),
)
tables = st.builds(
    lambda rows, delimiter, end: end.join(delimiter.join(row) for row in rows),
    st.lists(st.lists(cells, max_size=5), max_size=6),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["\n", "\r\n", "\r"]),
).map(lambda text: text.encode("utf-8", "surrogatepass"))

values = st.recursive(
    st.one_of(
        st.sampled_from(["1", "-1", "0", "nan", "inf", "1e308", "true", "10:00:00", "1979-05-27", '"a, b"', '"HO"']),
        st.integers().map(str),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: "[" + ", ".join(items) + "]"),
        st.dictionaries(st.sampled_from(["length", "radius", "turn", "angle", "from", "x"]), inner, max_size=3).map(
            lambda table: "{" + ", ".join(f"{key} = {value}" for key, value in table.items()) + "}"
        ),
    ),
    max_leaves=6,
)
KEYS = ["title", "layout", "house", "train", "name", "scale", "units", "place", "line", "other"]
tomls = st.dictionaries(st.sampled_from(KEYS), values, max_size=5).map(
    lambda table: "\n".join(f"{key} = {value}" for key, value in table.items()).encode()
)


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("anything") / "evening"
    new_session(folder, "HO")
    return folder


def only_input_error(read: Callable[[], object]) -> None:
    try:
        read()
    except InputError as error:
        lines = [str(problem) for problem in error.problems]
    else:
        return
    assert lines
    assert all(line.isprintable() for line in lines)


@FEW
@given(content=st.one_of(st.binary(max_size=200), tables))
def test_any_bytes_as_cars(sample: Path, content: bytes) -> None:
    path = sample.parent / "anything.csv"
    path.write_bytes(content)
    only_input_error(lambda: read_cars(path))


@FEW
@given(content=st.one_of(st.binary(max_size=200), tomls))
def test_any_bytes_as_a_session(sample: Path, content: bytes) -> None:
    kept = (sample / "session.toml").read_bytes()
    (sample / "session.toml").write_bytes(content)
    try:
        only_input_error(lambda: read_session(sample))
    finally:
        (sample / "session.toml").write_bytes(kept)


@FEW
@given(content=st.one_of(st.binary(max_size=200), tomls))
def test_any_bytes_as_a_layout(sample: Path, content: bytes) -> None:
    path = sample.parent / "anything.toml"
    path.write_bytes(content)
    only_input_error(lambda: read_layout(path))


@FEW
@given(piece=values)
def test_any_value_as_a_piece(sample: Path, piece: str) -> None:
    path = sample.parent / "piece.toml"
    line = f'[[line]]\nfrom = "A, e"\nto = "B, w"\ntrack = [{piece}]\n'
    path.write_text(f'name = "x"\nscale = "HO"\nunits = "in"\n{line}', encoding="utf-8")
    only_input_error(lambda: read_layout(path))


@FEW
@given(weight=st.floats(allow_nan=True, allow_infinity=True), length=st.floats())
def test_a_number_read_is_finite_and_over_nothing(sample: Path, weight: float, length: float) -> None:
    path = sample.parent / "numbers.csv"
    path.write_text(f"car,weight_oz,body_length_in\nA,{weight!r},{length!r}\n", encoding="utf-8")
    try:
        (car,) = read_cars(path)
    except InputError:
        bounds = ((weight, 1e6), (length, 5e3))
        assert not all(math.isfinite(value) and 0.001 <= value <= most for value, most in bounds)
    else:
        assert car.values["weight_g"] == pytest.approx(weight * 28.349523125)
        assert car.values["body_length_mm"] == pytest.approx(length * 25.4)


@pytest.mark.parametrize(
    "content",
    [b"a = " + b"[" * 5000, b"a = " + b"9" * 5000, b"a = 1e5000", b"\xff\xfe", b"a = 1\na = 2", b'"" = 1', b"\r"],
)
def test_toml_at_its_limits(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "layout.toml"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_layout(path)
    assert all(str(problem).isprintable() for problem in caught.value.problems)
