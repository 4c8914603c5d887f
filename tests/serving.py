"""A real server for a test: a free port, a folder of its own, and nothing left afterwards."""

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

ROOT = Path(__file__).parent.parent


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def until(holds: Callable[[], object], what: str, patience_s: float = 90) -> None:
    """Wait for it, or fail saying what did not come."""
    last_s = time.monotonic() + patience_s
    while not holds():
        assert time.monotonic() < last_s, f"in vain: {what}"
        time.sleep(0.1)


def environment(folder: Path, **more: str) -> dict[str, str]:
    """The test's own data, whatever database the suite itself runs on."""
    kept = {name: value for name, value in os.environ.items() if name not in {"REDIS_URL"}}
    own = {"CREWJOBS_DATA": str(folder), "DATABASE_URL": f"sqlite:///{folder}/served.sqlite3"}
    return kept | own | {"DJANGO_SETTINGS_MODULE": "config.settings"} | more


def manage(folder: Path, *words: str, **more: str) -> str:
    """What a command prints."""
    command = [sys.executable, str(ROOT / "manage.py"), *words]
    done = subprocess.run(
        command, env=environment(folder, **more), capture_output=True, text=True, cwd=folder
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def parents() -> dict[int, int]:
    """Each process and its parent, of the whole machine."""
    found = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            state, parent = path.read_text().rpartition(")")[2].split()[:2]
            if state != "Z":
                found[int(path.parent.name)] = int(parent)
    return found


def alive(pids: set[int]) -> set[int]:
    return pids & parents().keys()


class Server:
    def __init__(self, process: subprocess.Popen, port: int, log: Path) -> None:
        self.process = process
        self.port = port
        self.log = log

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def get(self, path: str):
        return urllib.request.urlopen(self.url + path, timeout=10)  # noqa: S310 (http, ours)

    def answers(self) -> bool:
        assert self.process.poll() is None, self.log.read_text()
        try:
            return bool(self.get("/healthz").status == 200)
        except (urllib.error.URLError, ConnectionError):
            return False

    def ready(self) -> dict[str, str]:
        return dict(json.load(self.get("/readyz")))

    def descendants(self) -> set[int]:
        of, found = parents(), {self.process.pid}
        while more := {pid for pid, parent in of.items() if parent in found} - found:
            found |= more
        return found - {self.process.pid}

    def child(self, word: str) -> int:
        """The direct child whose command has the word; 0 while there is none."""
        for pid, parent in parents().items():
            with suppress(OSError):
                words = Path(f"/proc/{pid}/cmdline").read_bytes().decode().split("\0")
                if parent == self.process.pid and word in words:
                    return pid
        return 0


def end(process: subprocess.Popen) -> None:
    """Ask it to stop, and wait for it."""
    if process.poll() is None:
        process.send_signal(signal.SIGTERM)
        process.wait(60)


@contextmanager
def served(folder: Path, *words: str, port: int = 0, **more: str) -> Iterator[Server]:
    """`manage.py serve` (or another command) on a free port until the block ends."""
    port, log = port or free_port(), folder / "serve.log"
    command = [sys.executable, str(ROOT / "manage.py"), *(words or ("serve",)), "--port", str(port)]
    with log.open("ab") as out:
        process = subprocess.Popen(
            command, env=environment(folder, **more), stdout=out, stderr=out,
            stdin=subprocess.DEVNULL, cwd=folder,
        )  # fmt: skip
    server = Server(process, port, log)
    try:
        until(server.answers, f"an answer; {log.read_text()}")
        until(lambda: len(server.descendants()) >= 4, "every child")
        yield server
    finally:
        end(process)
