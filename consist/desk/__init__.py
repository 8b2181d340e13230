"""The desk: the evening live, changed by several people at once; its logic here, served by `consist.desk.server`.

A program asks it over HTTP with the code of its link, and needs nothing but the standard library. This one takes the
better order of every train that has one, and says what came of it:

    import json, sys
    from urllib.parse import parse_qs, urlsplit
    from urllib.request import Request, urlopen

    link = urlsplit(sys.argv[1])  # as 'consist desk' printed it
    desk, (code,) = f"{link.scheme}://{link.netloc}", parse_qs(link.query)["code"]

    def ask(path, told=None):
        body = None if told is None else json.dumps(told).encode()
        headers = {"Authorization": f"Bearer {code}", "Content-Type": "application/json"}
        with urlopen(Request(desk + path, body, headers)) as answer:
            return json.load(answer)

    state = ask("/state")
    for train in state["trains"]:
        if train["suggestion"]:
            moves = [{"do": "move", "train": train["train"], **move} for move in train["suggestion"]["moves"]]
            after = ask("/changes", {"revision": state["revision"], "changes": moves})
            print(train["train"], train["margin"], after["trains"][0]["margin"])
"""

from __future__ import annotations

from consist.desk.desk import Desk, Done, Entry, StaleError, Who

__all__ = ["Desk", "Done", "Entry", "StaleError", "Who"]
