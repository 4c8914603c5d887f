"""`manage.py serve` answers, comes back, and leaves nothing behind."""

import fcntl
import os
import signal
import socket
import subprocess
import sys
import termios
from pathlib import Path

import pytest
from django.core.management import CommandError

from crewjobs.management import running
from tests import serving

pytestmark = pytest.mark.skipif(not Path("/proc/self").exists(), reason="reads /proc")


def test_it_answers_mends_itself_and_stops_cleanly(tmp_path) -> None:
    with serving.served(tmp_path) as server:
        assert server.get("/readyz").status == 200
        worker, web = server.child("work"), server.child("gunicorn")
        os.kill(worker, signal.SIGKILL)
        os.kill(web, signal.SIGKILL)
        serving.until(lambda: server.child("work") not in (0, worker), "another worker")
        serving.until(lambda: server.child("gunicorn") not in (0, web), "another web server")
        serving.until(lambda: len(server.descendants()) >= 4, "two web workers again")
        serving.until(server.answers, "it answers again")
        children = server.descendants()
        server.process.send_signal(signal.SIGTERM)
        assert server.process.wait(60) == 0
        serving.until(lambda: not serving.alive(children), "every child is gone")


def test_a_parent_that_is_killed_takes_its_children_along(tmp_path) -> None:
    with serving.served(tmp_path) as server:
        children = server.descendants()
        assert len(children) >= 4
        server.process.kill()
        server.process.wait(60)
        serving.until(lambda: not serving.alive(children), "every child is gone")


def test_a_port_that_is_taken_is_named() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} of 127.0.0.1 is taken"):
            running.wait_for_port("127.0.0.1", port, patience_s=0.1)
    running.wait_for_port("127.0.0.1", port)


def test_a_child_that_falls_at_once_is_started_ever_later() -> None:
    child = running.Child(["false"], leash=0)
    pauses_s = []
    for child.falls in range(8):
        pauses_s.append(child.pause_s())
    assert pauses_s == [0, 2, 4, 8, 16, 30, 30, 30]


def test_a_process_without_a_leash_stays() -> None:
    code = "from crewjobs.management import running; running.leash(); print('stays')"
    env = {name: value for name, value in os.environ.items() if name != running.LEASH}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, check=True)
    assert done.stdout == b"stays\n"


PASSWORD = "a quartz counter top"
FIRST = (
    "first_person", "--shop", "Alder Bay Stone", "--time-zone", "America/Chicago",
    "--name", "Dana Office", "--email", "dana@example.test",
)  # fmt: skip


def test_the_first_person_can_be_named_without_questions(tmp_path) -> None:
    serving.manage(tmp_path, "migrate", "--verbosity", "0")
    said = serving.manage(tmp_path, *FIRST, FIRST_PASSWORD=PASSWORD)
    assert said == "Dana Office can sign in as dana@example.test.\n"
    with pytest.raises(AssertionError, match="there is a shop already"):
        serving.manage(tmp_path, *FIRST, FIRST_PASSWORD=PASSWORD)


def test_on_a_terminal_it_asks_and_ctrl_c_stops_it(tmp_path) -> None:
    ours, theirs = os.openpty()
    port = serving.free_port()
    process = subprocess.Popen(
        [sys.executable, str(serving.ROOT / "manage.py"), "serve", "--port", str(port)],
        env=serving.environment(tmp_path), stdin=theirs, stdout=theirs, stderr=theirs,
        start_new_session=True, preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
    )  # fmt: skip
    os.close(theirs)
    for answer in ("Alder Bay Stone", "America/Chicago", "Dana", "dana@example.test", PASSWORD):
        hear(ours, ": ")
        os.write(ours, f"{answer}\n".encode())
    hear(ours, "Dana can sign in as dana@example.test.")
    server = serving.Server(process, port, tmp_path / "log")
    serving.until(server.answers, "an answer")
    children = server.descendants()
    os.write(ours, b"\x03")
    hear(ours, "Stopped.")
    assert process.wait(60) == 0
    os.close(ours)
    serving.until(lambda: not serving.alive(children), "every child is gone")


def hear(terminal: int, words: str) -> None:
    """Read what is shown until the words come."""
    shown = ""
    while words not in shown:
        shown += os.read(terminal, 1024).decode()
