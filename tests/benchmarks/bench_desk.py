"""How soon the desk answers a move, tells those who look on, and opens; and its memory after many changes.

Run it as `python tests/benchmarks/bench_desk.py [--changes 10000] [--readers 200]`. It serves a copy of the club
night on this machine alone, asks a bounded number of times, prints figures and asserts nothing.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import random
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import httpx2

__all__ = ["main"]

ROOT = Path(__file__).resolve().parents[2]
MOVES = 60


def _peak_mb(pid: int) -> float:
    told = Path(f"/proc/{pid}/status").read_text()
    return float(re.search(r"VmHWM:\s+(\d+)", told)[1]) / 1024.0  # type: ignore[index]


def _percentile(values: list[float], share: float) -> float:
    return sorted(values)[min(int(share * len(values)), len(values) - 1)]


def _a_move(chance: random.Random, state: dict[str, Any]) -> dict[str, Any]:
    train = chance.choice([each for each in state["trains"] if len(each["standing"]) > 2])
    cars = [each["car"] for each in train["standing"]]
    car = chance.choice(cars)
    after = chance.choice([None, *(other for other in cars if other != car)])
    return {"do": "move", "train": train["train"], "cars": [car], "after": after}


async def _listen(client: httpx2.AsyncClient, told: list[float], ready: asyncio.Event, enough: int) -> None:
    async with client.stream("GET", "/events", timeout=None) as answer:
        ready.set()
        event = ""
        async for line in answer.aiter_lines():
            if line.startswith("event:"):
                event = line.removeprefix("event:").strip()
            elif line.startswith("data:") and event == "done":
                told.append(time.monotonic())
                if len(told) >= enough:
                    return


async def _measured(base: str, code: str, changes: int, readers: int, pid: int) -> None:
    key = {"Authorization": f"Bearer {code}"}
    limits = httpx2.Limits(max_connections=readers + 20)
    async with httpx2.AsyncClient(base_url=base, headers=key, limits=limits, timeout=60.0) as client:
        chance = random.Random(1)
        state = (await client.get("/state")).json()
        taken = []
        for _ in range(MOVES):
            move = _a_move(chance, state)
            started = time.perf_counter()
            answer = (await client.post("/changes", json={"revision": state["revision"], "changes": [move]})).json()
            taken.append(time.perf_counter() - started)
            state = (await client.get("/state")).json()
            assert answer["revision"] == state["revision"]
        print(
            f"a move answered: median {1000 * statistics.median(taken):.0f} ms, 95th percentile "
            f"{1000 * _percentile(taken, 0.95):.0f} ms, of {MOVES}"
        )
        told: list[list[float]] = [[] for _ in range(readers)]
        readies = [asyncio.Event() for _ in range(readers)]
        listeners = [
            asyncio.create_task(_listen(client, each, ready, 1)) for each, ready in zip(told, readies, strict=True)
        ]
        await asyncio.gather(*(ready.wait() for ready in readies))
        started = time.monotonic()
        await client.post("/changes", json={"revision": state["revision"], "changes": [_a_move(chance, state)]})
        await asyncio.wait_for(asyncio.gather(*listeners), 30.0)
        last = max(each[0] for each in told) - started
        print(f"{readers} readers told: the last {1000 * last:.0f} ms after it was sent")
        light = next(each["car"] for each in state["idle"])
        state = (await client.get("/state")).json()
        revision, started = state["revision"], time.monotonic()
        for number in range(changes):
            weigh = {"do": "weigh", "car": light, "weight_g": 80.0 + number % 7}
            answer = (await client.post("/changes", json={"revision": revision, "changes": [weigh]})).json()
            revision = answer["revision"]
        print(f"{changes} changes in {time.monotonic() - started:.0f} s; memory at most {_peak_mb(pid):.0f} MB")


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--changes", type=int, default=2000)
    parser.add_argument("--readers", type=int, default=200)
    asked = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_NOFILE, (4096, max(4096, resource.getrlimit(resource.RLIMIT_NOFILE)[1])))
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(ROOT / "sample_sessions", Path(folder) / "sample_sessions")
        shutil.copytree(ROOT / "layouts", Path(folder) / "layouts")
        home = Path(folder) / "sample_sessions" / "club_night"
        command = [sys.executable, "-m", "consist", "desk", str(home), "--port", "0", "--no-browser"]
        started = time.monotonic()
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as desk:
            assert desk.stdout is not None
            link = next(found for line in desk.stdout if (found := re.search(r"(http://\S+/)\?code=(\S+)", line)))
            for _ in range(200):
                try:
                    page = httpx2.get(link[1], headers={"Authorization": f"Bearer {link[2]}"}, timeout=5.0)
                    break
                except httpx2.HTTPError:
                    time.sleep(0.02)
            print(f"open after {time.monotonic() - started:.2f} s, page {len(page.content)} bytes")
            first = time.monotonic()
            whole = httpx2.get(f"{link[1]}state", headers={"Authorization": f"Bearer {link[2]}"}, timeout=5.0)
            print(f"its state in {1000 * (time.monotonic() - first):.0f} ms, {len(json.dumps(whole.json()))} bytes")
            asyncio.run(_measured(link[1], link[2], asked.changes, asked.readers, desk.pid))
            desk.terminate()
            desk.wait(10.0)


if __name__ == "__main__":
    main()
