"""A live throw-away server with the demo region in it, for the fuzz and load parts.

It is the demo itself: started, signed in to, asked for what there is, and stopped in order. Standard library only.
"""

import contextlib
import json
import os
import re
import signal
import subprocess
import time
import urllib.error
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
SERVER = Path(os.environ.get("TURFRING", TARGET / "debug" / "turfring"))
PEOPLE = {
    "coordinator": "coordinator@wendlemarsh.example",
    "grounds lead": "lead@tansyford.example",
    "treasurer": "treasurer@tansyford.example",
    "volunteer": "volunteer@tansyford.example",
}
READY_WITHIN_S = 180
STOPPED_WITHIN_S = 30
ID = re.compile(r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")


class Answer:
    """Status, media type and body of one response; a status of 0 is a broken connection."""

    def __init__(self, status, media_type, body):
        self.status, self.media_type, self.body = status, media_type, body

    def json(self):
        return json.loads(self.body)


class Live:
    """The running server."""

    def __init__(self, process, origin, password):
        self.process, self.origin, self.password = process, origin, password
        self.api = f"{origin}/api/v1"

    def ask(self, path, token=None, method="GET", body=None, headers=None):
        """One request below /api/v1, or anywhere for a path with the origin. Never raises for what the server answers."""
        url = path if path.startswith("http") else self.api + path
        headers = {"Accept": "application/json", **(headers or {})}
        if token:
            headers["Authorization"] = f"Bearer {token}"
        data = None
        if body is not None:
            data, headers["Content-Type"] = json.dumps(body).encode(), "application/json"
        request = urllib.request.Request(url, data=data, headers=headers, method=method)
        try:
            with urllib.request.urlopen(request, timeout=30) as response:
                return Answer(response.status, response.headers.get_content_type(), response.read())
        except urllib.error.HTTPError as refused:
            return Answer(refused.code, refused.headers.get_content_type(), refused.read())
        except OSError as broken:
            return Answer(0, "", str(broken).encode())

    def try_sign_in(self, role):
        body = {"email": PEOPLE[role], "password": self.password, "as_bearer": True}
        return self.ask("/session", method="POST", body=body)

    def sign_in(self, role):
        """An access token and what the API says about the person."""
        answer = self.try_sign_in(role)
        assert answer.status == 200, f"the {role} cannot sign in: {answer.status} {answer.body!r}"
        signed_in = answer.json()
        return signed_in["tokens"]["access_token"], signed_in["me"]

    def document(self):
        return self.ask("/openapi.json").json()

    def is_well(self):
        return self.process.poll() is None and self.ask("/health").status == 200

    def known_ids(self, token, me):
        """Identifiers that exist, by the name path parameters use for them: found by reading every list there is."""
        network = me["networks"][0]
        ids = {"network_id": {network["network_id"]}, "person_id": {me["person_id"]}}
        for _ in range(2):  # The first round finds what the second reads on from.
            for path in readable_paths(self.document()):
                for url in filled(path, ids):
                    answer = self.ask(url, token)
                    if answer.status == 200 and answer.media_type == "application/json":
                        gather_ids(answer.json(), path, ids)
        return {name: sorted(values) for name, values in ids.items()}


def readable_paths(document):
    """Paths below /api/v1 that GET can read without a query."""
    for path, item in document["paths"].items():
        read = item.get("get")
        parameters = (read or {}).get("parameters", []) + item.get("parameters", [])
        needs_query = any(p.get("required") and p.get("in") == "query" for p in parameters)
        if read and not needs_query and path.startswith("/api/v1/"):
            yield path.removeprefix("/api/v1")


def filled(path, ids, most=3):
    """The path with known identifiers put in: a few variations, or none if a kind is not known."""
    names = re.findall(r"{(\w+)}", path)
    if any(not ids.get(name) for name in names):
        return
    for turn in range(most if names else 1):
        chosen = {name: sorted(ids[name])[turn % len(ids[name])] for name in names}
        yield path.format(**chosen)


def gather_ids(value, path, ids):
    """Collects `…_id` members, and a plain `id` under the name of what the path lists (`…/machines` has `machine_id`s)."""
    listed = path.rstrip("/").split("/")[-1].removesuffix("s") + "_id"
    if isinstance(value, list):
        for element in value:
            gather_ids(element, path, ids)
    elif isinstance(value, dict):
        for name, member in value.items():
            if isinstance(member, str) and ID.match(member) and (name == "id" or name.endswith("_id")):
                ids.setdefault(listed if name == "id" else name, set()).add(member)
            else:
                gather_ids(member, path, ids)


@contextlib.contextmanager
def live(name):
    """Starts a demo that keeps nothing, hands it over, and stops it as Ctrl-C does. A stop that is not clean is a failure too."""
    log = TARGET / "checks" / f"{name}-server.said"
    log.parent.mkdir(parents=True, exist_ok=True)
    with open(log, "wb") as said:
        command = [SERVER, "demo", "--throw-away", "--port", "0"]
        process = subprocess.Popen(command, cwd=ROOT, stdout=said, stderr=subprocess.STDOUT)
    try:
        yield Live(process, *wait_until_ready(process, log))
        process.send_signal(signal.SIGINT)
        assert process.wait(STOPPED_WITHIN_S) == 0, f"the server did not stop in order, see {log}"
    finally:
        process.kill()
        process.wait()


def wait_until_ready(process, log):
    """The address and the password, as the demo prints them for people."""
    give_up_at = time.monotonic() + READY_WITHIN_S
    while True:
        said = log.read_text()
        origin, password = re.search(r"running at (\S+)", said), re.search(r"password for everyone: (.+)", said)
        if origin and password:
            return origin[1], password[1].strip()
        assert process.poll() is None, f"the demo ended:\n{said[-2000:]}"
        assert time.monotonic() < give_up_at, f"the demo is not ready, see {log}"
        time.sleep(0.2)
