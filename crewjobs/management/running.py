"""Keeps the web server and the worker running as children of one small parent.

Each child holds an end of a pipe. The parent holds the other and never writes: when the parent is
gone, however it went, the pipe ends and the child ends itself. Nothing is left behind.
"""

import fcntl
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.core.management import CommandError, call_command

LEASH = "CREWJOBS_LEASH"
"""The variable that names a child's end of the pipe."""
GRACE_S = 15.0
"""How long a child may take to finish what it does."""
SETTLED_S = 10.0
"""A child that lived as long is started again at once."""
LONGEST_PAUSE_S = 30.0
GLANCE_S = 0.2


def run(host: str, port: int, *, web_workers: int = 2, with_worker: bool = True) -> None:
    """Serve until SIGTERM or SIGINT, then stop both children and wait for them.

    Raises
    ------
    CommandError
        If something else listens on that port.
    """
    wait_for_port(host, port)
    leash, held = os.pipe()
    children = [Child(web_command(host, port, web_workers), leash)]
    if with_worker:
        children.append(Child(worker_command(), leash))
    stops: list[int] = []
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda number, _frame: stops.append(number))
    while not stops:
        for child in children:
            child.keep_up()
        time.sleep(GLANCE_S)
    stop(children)
    os.close(leash)
    os.close(held)


def name_address(port: int) -> None:
    """Let links lead to this port, unless the environment names a public address."""
    if not (os.environ.get("PUBLIC_URL") or os.environ.get("PUBLIC_URL_FILE")):
        # The children read it anew.
        os.environ["PUBLIC_URL"] = settings.PUBLIC_URL = f"http://localhost:{port}"


def web_command(host: str, port: int, web_workers: int) -> list[str]:
    """The web server of the embedded run and of the outgrown one."""
    where = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    words = ["gunicorn", "--config", "python:config.gunicorn", "--bind", where]
    return [sys.executable, "-m", *words, "--workers", str(web_workers), "config.wsgi"]


def worker_command() -> list[str]:
    """The worker of the embedded run."""
    return [sys.executable, str(settings.BASE_DIR / "manage.py"), "work"]


class Child:
    """A process that is started again when it ends, ever later while it ends at once."""

    def __init__(self, command: Sequence[str], leash: int) -> None:
        self.command = command
        self.leash = leash
        self.process: subprocess.Popen[bytes] | None = None
        self.started_s = 0.0
        self.falls = 0

    def keep_up(self) -> None:
        """Start it unless it runs, or fell too short a while ago."""
        if self.process and self.process.poll() is None:
            return
        if self.process:
            self.falls += 1
            self.process = None
            if time.monotonic() - self.started_s > SETTLED_S:
                self.falls = 0
        if time.monotonic() >= self.started_s + self.pause_s():
            self.start()

    def pause_s(self) -> float:
        """The time from one start to the next."""
        return min(LONGEST_PAUSE_S, 2.0**self.falls) if self.falls else 0.0

    def start(self) -> None:
        """Start it in a group of its own, so that Ctrl-C reaches the parent alone."""
        path = os.pathsep.join([str(settings.BASE_DIR), os.environ.get("PYTHONPATH", "")])
        told = {
            LEASH: str(self.leash),
            "PYTHONPATH": path.strip(os.pathsep),
            "DJANGO_SETTINGS_MODULE": "config.settings",
        }
        self.started_s = time.monotonic()
        self.process = subprocess.Popen(  # noqa: S603 (the command is ours)
            self.command, env=os.environ | told, pass_fds=[self.leash], process_group=0
        )


def stop(children: Sequence[Child]) -> None:
    """Ask all at once, wait, and kill what has not gone by then."""
    running = [child.process for child in children if child.process]
    for process in running:
        process.terminate()
    last_s = time.monotonic() + GRACE_S
    for process in running:
        try:
            process.wait(max(0.0, last_s - time.monotonic()))
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()


def leash(pid: int | None = None) -> None:
    """End this process (or the one named) when the parent that started us is gone.

    Does nothing where nobody holds a leash: a command that was started by hand, a container.
    """
    if end := os.environ.get(LEASH):
        end_it = threading.Thread(target=_outlive, args=(int(end), pid or os.getpid()), daemon=True)
        end_it.start()


def _outlive(end: int, pid: int) -> None:
    os.read(end, 1)
    os.kill(pid, signal.SIGTERM)
    time.sleep(GRACE_S)
    os.kill(os.getpid(), signal.SIGKILL)


def wait_for_port(host: str, port: int, patience_s: float = 15.0) -> None:
    """Return once the port is free: a server that was killed gives it back after a moment."""
    last_s = time.monotonic() + patience_s
    while not is_free(host, port):
        if time.monotonic() > last_s:
            raise CommandError(f"Port {port} of {host} is taken; choose another with --port.")
        time.sleep(GLANCE_S)


def is_free(host: str, port: int) -> bool:
    """Whether we could listen there."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Holds a file that only one process of this machine can hold."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


def migrate() -> None:
    """Bring the tables up to date; a second one that starts meanwhile waits."""
    with locked(settings.DATA_DIR / "migrate.lock"):
        call_command("migrate", interactive=False, verbosity=0)
