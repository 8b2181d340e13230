"""The desk over HTTP: who may come in, what is refused in which words, and that each thing done is told to all."""

from __future__ import annotations

import asyncio
import json
import shutil
import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from builders import SAMPLES
from starlette.testclient import TestClient
from typer.testing import CliRunner

import consist
from consist.changes import Change, Take, Weigh
from consist.cli import app
from consist.desk import Desk, Who
from consist.desk.access import WRONG_A_MINUTE, Codes, hosts_of
from consist.desk.save import save
from consist.desk.serve import desk_of, opened
from consist.desk.served import Served
from consist.desk.server import MOST_BODY, app_of
from consist.errors import InputError
from consist.intake import read_runs
from consist.report.json import Key, as_json, json_keys

__all__: list[str] = []

HOST = "http://127.0.0.1:8000"
ROUTES = (
    ("GET", "/"), ("GET", "/state"), ("GET", "/events"), ("GET", "/sheet?train=Creamery%205"), ("GET", "/desk.js"),
    ("GET", "/desk.css"), ("GET", "/page.css"), ("POST", "/changes"), ("POST", "/undo"), ("POST", "/ticks"),
    ("POST", "/door"), ("POST", "/log"), ("POST", "/save"), ("POST", "/name"),
)  # fmt: skip
POSTS = tuple(path for method, path in ROUTES if method == "POST")
TAKE = {"revision": 0, "changes": [{"do": "take", "cars": ["PQF 201"]}]}


class At:
    """A desk on a copy of the sample session, and clients of it."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.desk, self.journal, _ = desk_of(home)
        self.codes = Codes(guests="a guest's own code")
        self.served = Served(self.desk, self.codes, lambda who: save(home, self.desk, self.journal, who))
        self.app = app_of(self.served, hosts_of(8000))

    def client(self, code: str | None = None, address: str = "127.0.0.1") -> TestClient:
        made = TestClient(self.app, base_url=HOST, client=(address, 5000), raise_server_exceptions=False)
        if code is not None:
            assert made.get("/", params={"code": code}).status_code == 200
        return made

    @property
    def host(self) -> TestClient:
        return self.client(self.codes.desk)

    @property
    def helper(self) -> TestClient:
        return self.client(self.codes.desk, "192.168.7.9")

    @property
    def reader(self) -> TestClient:
        return self.client(self.codes.guests, "192.168.7.10")


@pytest.fixture
def at(tmp_path: Path) -> Iterator[At]:
    shutil.copytree(SAMPLES / "sunday_shelf", tmp_path / "sessions" / "sunday_shelf")
    shutil.copytree(SAMPLES.parent / "layouts", tmp_path / "layouts")
    made = At(tmp_path / "sessions" / "sunday_shelf")
    yield made
    made.journal.close()


def declared(keys: Any) -> dict[str, Any]:
    return {key.name: declared(key.parts) for key in keys}


def held_to(value: Any, keys: list[Key] | Any) -> None:
    """Every object has the keys that are declared, and no others, but for those that nobody asked for."""
    if isinstance(value, list):
        for one in value:
            held_to(one, keys)
    elif isinstance(value, dict) and keys:
        there = [key for key in keys if not key.asked]
        assert [*value] == [key.name for key in there]
        for key in there:
            held_to(value[key.name], key.parts)


def test_without_the_code_nothing_is_told(at: At) -> None:
    for method, path in ROUTES:
        answer = at.client().request(method, path, content=b"{}")
        assert answer.status_code == 401, path
        assert "Creamery" not in answer.text
        wrong = at.client().request(method, path, headers={"Authorization": "Bearer nonsense"}, content=b"{}")
        assert wrong.status_code == 401
    assert at.client().get("/", params={"code": "nonsense"}).status_code == 401
    assert at.desk.revision == 0


def test_a_code_becomes_a_cookie_and_leaves_the_address(at: At) -> None:
    client = at.client()
    answer = client.get("/", params={"code": at.codes.desk})
    assert at.codes.desk not in answer.text
    assert 'content="0;url=/"' in answer.text
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    page = client.get("/")
    assert page.status_code == 200
    assert 'data-role="host"' in page.text
    assert 'data-role="helper"' in at.helper.get("/").text
    assert 'data-role="reader"' in at.reader.get("/").text
    assert len(at.codes.desk) * 6 >= 128


def test_a_foreign_host_or_page_is_refused(at: At) -> None:
    client = at.host
    for host in ("evil.example", "127.0.0.1:9000", "127.0.0.1", ""):
        assert client.get("/state", headers={"host": host}).status_code == 403
    for origin in ("http://evil.example", "null", "https://127.0.0.1:8000", "http://127.0.0.1:8001"):
        for path in POSTS:
            assert client.post(path, json=TAKE, headers={"origin": origin}).status_code == 403, path
    assert at.desk.revision == 0
    assert client.post("/changes", json=TAKE, headers={"origin": HOST}).status_code == 200
    assert client.get("/state", headers={"host": "localhost:8000"}).status_code == 200


def test_bodies_that_are_too_large_or_broken_or_hostile(at: At) -> None:
    client = at.host
    for path in POSTS:
        assert client.post(path, content=b"x" * (MOST_BODY + 1)).status_code == 413, path
    deep = b"[" * 100_000
    for body in (b"", b"[]", b"nonsense", b"\xff\xfe", deep, b'{"a":' * 5000, b"null", b"1e999"):
        for path in POSTS:
            answer = client.post(path, content=body)
            assert answer.status_code in (409, 422), (path, body[:20])
            assert set(answer.json()) == {"error"}
    assert at.desk.revision == 0


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({}, "found no list of changes; say them"),
        ({"changes": []}, "found no whole number as revision; say it"),
        ({"revision": True, "changes": []}, "found no whole number as revision; say it"),
        ({"revision": 0, "changes": []}, "found no change; say at least one"),
        ({"revision": 0, "changes": ["take"]}, "found a change that is no object"),
        ({"revision": 0, "changes": [{"do": "burn"}]}, "found 'burn' to do, expected one of take, add, move, stand"),
        ({"revision": 0, "changes": [{"do": ["take"]}]}, "to do, expected one of take"),
        ({"revision": 0, "changes": [{"do": "take"}]}, "take needs cars; say it too"),
        (
            {"revision": 0, "changes": [{"do": "take", "cars": []}]},
            "take has a cars of '[]', expected a list of names",
        ),
        ({"revision": 0, "changes": [{"do": "take", "cars": ["x"] * 301}]}, "expected a list of names; correct it"),
        ({"revision": 0, "changes": [{"do": "take", "cars": ["x" * 201]}]}, "expected a list of names; correct it"),
        (
            {"revision": 0, "changes": [{"do": "take", "cars": ["PQF 201"], "how": 1}]},
            "take has no 'how'; it has cars",
        ),
        ({"revision": 0, "changes": [{"do": "weigh", "car": "PQF 71", "weight_g": "4"}]}, "expected a number"),
        ({"revision": 0, "changes": [{"do": "weigh", "car": "PQF 71", "weight_g": True}]}, "expected a number"),
        (
            {"revision": 0, "changes": [{"do": "take", "cars": ["PQF 2011"]}]},
            "no car is called PQF 2011; did you mean",
        ),
        ({"revision": 0, "changes": [{"do": "lay-up", "engine": "21"}]}, "expected one of take"),
        ({"revision": 0, "changes": [{"do": "take", "cars": ["PQF 201"]}] * 101}, "at once, expected at most 100"),
    ],
)
def test_a_change_that_cannot_be_is_one_sentence(at: At, told: dict[str, Any], says: str) -> None:
    answer = at.host.post("/changes", json=told)
    assert answer.status_code == 422
    assert says in answer.json()["error"]
    assert "\n" not in answer.json()["error"]
    assert at.desk.revision == 0


def test_the_state_is_what_is_declared_and_what_the_check_says(at: At) -> None:
    client = at.host
    state = client.get("/state").json()
    held_to(state, json_keys()["desk state"])
    after = client.post("/changes", json=TAKE).json()
    held_to(after, json_keys()["desk state"])
    assert [train["train"] for train in after["trains"]] == ["Creamery 5"]
    assert after["trains"][0]["before"]["margin"] == state["trains"][0]["margin"]
    checked = json.loads(as_json("check", consist.check(at.desk.session, ranges=False), tasks=[]))
    whole = client.get("/state").json()
    for train, one in zip(checked["trains"], whole["trains"], strict=True):
        assert {key: one[key] for key in train} == train


def test_an_old_revision_is_told_what_was_done_since(at: At) -> None:
    ada, bob = at.host, at.helper
    ada.post("/name", json={"name": "Ada <b>"})
    assert ada.post("/changes", json=TAKE).status_code == 200
    apart = {"revision": 0, "changes": [{"do": "weigh", "car": "PQF 71", "weight_g": 90}]}
    assert bob.post("/changes", json=apart).json()["revision"] == 2
    answer = bob.post(
        "/changes", json={"revision": 0, "changes": [{"do": "add", "train": "Creamery 5", "car": "PQF 201"}]}
    )
    assert answer.status_code == 409
    told = answer.json()
    assert told["revision"] == 2
    assert [(one["name"], one["what"]) for one in told["since"]] == [("Ada <b>", "PQF 201 out of its train")]
    assert "changed the same meanwhile" in told["error"]


def test_each_may_undo_their_own_and_the_host_all(at: At) -> None:
    host, helper, other = at.host, at.helper, at.helper
    helper.post("/changes", json=TAKE)
    assert other.post("/undo", json={"of": 1}).status_code == 422
    assert "ask them or the host" in other.post("/undo", json={"of": 1}).json()["error"]
    assert host.post("/undo", json={"of": 1}).json()["revision"] == 2
    assert host.post("/undo", json={"of": 2}).json()["revision"] == 3
    assert helper.post("/undo", json={}).json()["revision"] == 4


def test_a_reader_sees_all_and_changes_nothing(at: At) -> None:
    reader = at.reader
    assert reader.get("/state").status_code == 200
    assert reader.get("/sheet", params={"train": "Creamery 5"}).status_code == 200
    assert reader.post("/door", json={"car": "201"}).status_code == 200
    for path in ("/changes", "/undo", "/ticks", "/save"):
        answer = reader.post(path, json=TAKE)
        assert answer.status_code == 403
        assert answer.json()["error"] == "this link is for looking; ask the host for the other one to change things"
    assert at.desk.revision == 0


def test_a_program_comes_with_the_code_in_its_header(at: At) -> None:
    client = at.client()
    key = {"Authorization": f"Bearer {at.codes.desk}"}
    assert client.get("/state", headers=key).json()["revision"] == 0
    assert client.post("/changes", json=TAKE, headers=key).json()["done"][0]["name"] == "a program"
    guests = {"Authorization": f"Bearer {at.codes.guests}"}
    assert client.post("/changes", json=TAKE, headers=guests).status_code == 403


def test_after_fifty_wrong_codes_the_door_waits(at: At) -> None:
    inside = at.host
    client = at.client()
    for number in range(WRONG_A_MINUTE):
        assert client.get("/", params={"code": f"wrong {number}"}).status_code == 401
    assert client.get("/", params={"code": at.codes.desk}).status_code == 429
    assert client.get("/state", headers={"Authorization": f"Bearer {at.codes.desk}"}).status_code == 429
    assert inside.get("/state").status_code == 200


@pytest.mark.parametrize(
    "path",
    [
        "/../desk.py",
        "/%2e%2e/serve.py",
        "/desk.py",
        "/session.toml",
        "/page/desk.js",
        "//etc/passwd",
        "/cars.csv",
        "/x",
    ],
)
def test_nothing_of_the_disk_is_served(at: At, path: str) -> None:
    answer = at.host.get(path)
    assert answer.status_code == 404
    assert set(answer.json()) == {"error"}
    assert at.host.put("/state").status_code == 405


def test_every_answer_says_what_a_page_may_load(at: At) -> None:
    for path in ("/", "/state", "/desk.js", "/none", "/sheet?train=Creamery%205"):
        headers = at.host.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self';" in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cache-control"] == "no-store"


def test_names_are_data_on_the_page(at: At) -> None:
    client = at.host
    client.post("/name", json={"name": '"><script>alert(1)</script>'})
    page = client.get("/").text
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page
    long = client.post("/name", json={"name": "x" * 41})
    assert long.status_code == 422


def test_a_train_that_is_none_is_one_sentence(at: At) -> None:
    answer = at.host.get("/sheet", params={"train": "Creamry 5"})
    assert answer.status_code == 422
    assert answer.json()["error"] == "no train is called 'Creamry 5'; did you mean 'Creamery 5'?"


def test_the_sheet_is_that_of_the_report_and_follows_the_changes(at: At) -> None:
    client = at.host
    before = client.get("/sheet", params={"train": "Creamery 5"}).text
    assert before.count("<svg") >= 4
    assert "PQF 201" in before
    client.post("/changes", json=TAKE)
    assert "PQF 201" not in client.get("/sheet", params={"train": "Creamery 5"}).text


def test_ticks_are_kept_and_told(at: At) -> None:
    client = at.host
    task = client.get("/state").json()["tasks"][0]
    assert task["done"] is False
    after = client.post("/ticks", json={"task": task["key"], "done": True}).json()
    assert after["tasks"][0]["done"] is True
    assert after["trains"] == []
    assert client.post("/ticks", json={"task": task["key"], "done": 1}).status_code == 422
    at.journal.close()
    again, later, _ = desk_of(at.home)
    later.close()
    assert again.ticked == {task["key"]}


def test_a_save_goes_into_the_tables_and_is_refused_where_they_changed(at: At) -> None:
    client = at.host
    assert client.post("/save", json={}).status_code == 409
    client.post("/changes", json=TAKE)
    table = at.home / "cars.csv"
    before = table.read_text()
    table.write_text(before + "\n# mine\n")
    refused = client.post("/save", json={})
    assert refused.status_code == 409
    assert "another program has changed 'cars.csv'" in refused.json()["error"]
    table.write_text(before)
    saved = client.post("/save", json={})
    assert saved.status_code == 200
    assert saved.json()["changed"] is False
    assert len(consist.load(at.home).train("Creamery 5").cars) == 5


@pytest.mark.parametrize(
    ("told", "status", "says"),
    [
        ({"car": "201"}, 200, ""),
        ({"car": "pqf-201", "weight": "3.1 oz"}, 200, ""),
        ({"car": "QRS 9", "weight": "3.1 oz", "length": "6 in"}, 200, ""),
        ({"car": "QRS 9"}, 422, "no table has a car QRS 9; say the length of its body, such as 6 in, to bring it"),
        ({"car": "201", "weight": "heavy"}, 422, "weight: found 'heavy', expected a weight with its unit"),
        ({"car": "QRS 9", "length": "6"}, 422, "length: found '6', expected a unit after the number"),
        ({"car": "QRS 9", "length": "90 in"}, 422, "QRS 9 cannot be 2286 mm long in scale N"),
        ({"car": ""}, 422, "found no car; say it, in at most 200 letters"),
    ],
)
def test_a_car_asked_about_at_the_door(at: At, told: dict[str, str], status: int, says: str) -> None:
    answer = at.host.post("/door", json=told)
    assert answer.status_code == status
    if status != 200:
        assert says in answer.json()["error"]
        return
    found = answer.json()
    assert [ride["train"] for ride in found["trains"]] == [train.name for train in at.desk.session.trains]
    ride = next(each for each in found["trains"] if each["in_train"] is None and each["spots"])
    riding = next((train.name for train in at.desk.session.trains if _has(train, found["car"])), None)
    take = [] if riding is None else [{"do": "take", "cars": [found["car"]], "train": riding}]
    add = {"do": "add", "train": ride["train"], "car": found["car"], "spot": ride["spots"][0]}
    done = at.host.post("/changes", json={"revision": 0, "changes": [*found["changes"], *take, add]})
    assert done.status_code == 200
    standing = at.desk.session.train(ride["train"]).cars
    assert standing[ride["spots"][0] - 1].car.name == found["car"]


def _has(train: Any, car: str) -> bool:
    return any(each.car.name == car for each in train.cars)


def test_all_who_listen_are_told_and_one_that_is_behind_is_let_go(at: At) -> None:
    async def listening() -> None:
        queue: asyncio.Queue[str | None] = asyncio.Queue(2)
        slow: asyncio.Queue[str | None] = asyncio.Queue(1)
        at.served.listening |= {queue, slow}
        who = Who("k", "Ada")
        changes: list[Change] = [Take(("PQF 201",)), Weigh("PQF 71", 90.0)]
        for number, change in enumerate(changes):
            await at.served.do(partial(at.desk.change, who, number, [change]))
            await asyncio.sleep(0)
        told = [await asyncio.wait_for(queue.get(), 5.0) for _ in range(2)]
        first, second = (json.loads(text or "") for text in told)
        assert [first["revision"], second["revision"]] == [1, 2]
        assert [train["train"] for train in first["trains"]] == ["Creamery 5"]
        assert first["done"][0]["what"] == "PQF 201 out of its train"
        assert await asyncio.wait_for(slow.get(), 5.0) is None
        assert slow not in at.served.listening

    asyncio.run(listening())


def runs(*words: object) -> Any:
    return CliRunner().invoke(app, ["desk", *map(str, words)])


def test_what_cannot_be_opened_is_one_line(at: At) -> None:
    at.journal.close()
    for words, says in (
        ((at.home / "none",), "none"),
        ((at.home, "--port", "70000"), "--port: found 70000, expected a port from 0 to 65535"),
    ):
        ran = runs(*words)
        assert ran.exit_code == 2
        assert says in ran.stderr
        assert len(ran.stderr.strip().splitlines()) == 1
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        ran = runs(at.home, "--port", port)
        assert (
            ran.stderr
            == f"--port: found port {port} taken by another program; name another, or 0 for any that is free\n"
        )


@contextmanager
def open_desk(home: Path, **more: Any) -> Iterator[Any]:
    with ExitStack() as stack:
        yield opened(home, stack, **more)


def test_only_one_desk_is_open_on_a_session_and_its_links_are_its_own(at: At) -> None:
    at.journal.close()
    with open_desk(at.home, guest_link=True) as first:
        assert first.link.startswith("http://127.0.0.1:")
        assert first.guest_link is not None
        assert first.guest_link != first.link
        assert "Only this machine can reach it" in first.reached_by
        with pytest.raises(InputError, match="another desk is open on this session"), open_desk(at.home):
            pass
    with open_desk(at.home) as again:
        assert again.link.split("code=")[1] != first.link.split("code=")[1]
        assert again.guest_link is None


def test_no_other_command_loads_what_the_desk_stands_on() -> None:
    import subprocess
    import sys

    code = (
        "import sys, runpy\nsys.argv = ['consist', 'check', 'sample_sessions/sunday_shelf']\n"
        "try:\n    runpy.run_module('consist', run_name='__main__')\nexcept SystemExit:\n    pass\n"
        "heavy = ('starlette', 'uvicorn', 'sse_starlette', 'limits', 'segno', 'tomlkit')\n"
        "print([name for name in heavy if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], cwd=SAMPLES.parent, capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-1] == "[]"


def test_a_desk_is_made_of_a_session_in_memory_too() -> None:
    assert Desk(consist.load(SAMPLES / "sunday_shelf")).revision == 0


def test_the_example_of_a_program_runs(at: At) -> None:
    """The one in the docs of `consist.desk`, as it stands there, against a desk that is served."""
    import subprocess
    import sys
    import textwrap
    import threading

    import uvicorn

    import consist.desk

    assert consist.desk.__doc__ is not None
    code = textwrap.dedent(consist.desk.__doc__.split("what came of it:\n\n")[1])
    with socket.create_server(("127.0.0.1", 0)) as listening:
        port = listening.getsockname()[1]
        config = uvicorn.Config(app_of(at.served, hosts_of(port)), log_level="critical", lifespan="off")
        server = uvicorn.Server(config)
        server.install_signal_handlers = lambda: None  # type: ignore[attr-defined]
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        link = f"http://127.0.0.1:{port}/?code={at.codes.desk}"
        ran = subprocess.run(
            [sys.executable, "-c", code, link], capture_output=True, text=True, timeout=30, check=True
        )
        server.should_exit = True
        thread.join(10.0)
    told = [line.rsplit(" ", 2) for line in ran.stdout.splitlines()]
    assert told
    assert all(float(after) > float(before) for _, before, after in told)
    assert at.desk.revision == len(told)


def test_a_run_is_logged_as_the_train_then_is(at: At) -> None:
    helper = at.helper
    change = {"do": "take", "cars": ["PQF 201"]}
    assert helper.post("/changes", json={"revision": 0, "changes": [change]}).status_code == 200
    assert helper.post("/log", json={"train": "Creamery 5", "what": "clean"}).json()["logged"]["what"] == "clean"
    off = {"train": "Creamery 5", "what": "off", "car": "PQF 203", "at": ["Upper Fold", "Puddlefold"], "note": "=1+1"}
    assert helper.post("/log", json=off).json()["logged"]["at"] == ["Puddlefold", "Upper Fold"]
    clean, second = read_runs(at.home)
    assert "PQF 201" not in dict(clean.cars)
    assert len(clean.cars) == 5
    assert (second.car, second.note) == ("PQF 203", "=1+1")


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({}, "found no train"),
        ({"train": "Creamery 5"}, "found no what"),
        ({"train": "Creamry 5", "what": "clean"}, "did you mean 'Creamery 5'?"),
        ({"train": "Creamery 5", "what": "lost"}, "expected one of clean, off"),
        ({"train": "Creamery 5", "what": "off", "car": "PQF 203", "at": ["Pudlefold"]}, "did you mean 'Puddlefold'?"),
        ({"train": "Creamery 5", "what": "off", "car": 7, "at": ["Puddlefold"]}, "expected a text"),
        ({"train": "Creamery 5", "when": "now"}, "a run has no 'when'"),
    ],
)
def test_what_cannot_be_is_refused_with_one_sentence(at: At, told: dict[str, object], said: str) -> None:
    answer = at.helper.post("/log", json=told)
    assert answer.status_code == 422
    assert said in answer.json()["error"]
    assert not (at.home / "runs.csv").exists()


def test_who_may_only_look_may_not_log(at: At) -> None:
    told = {"train": "Creamery 5", "what": "clean"}
    assert at.reader.post("/log", json=told).status_code == 403
    assert at.client().post("/log", json=told).status_code == 401
    assert not (at.home / "runs.csv").exists()
