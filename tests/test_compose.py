"""The outgrown run: what the compose file starts, started here against local servers."""

import re
import subprocess
import sys
from contextlib import ExitStack
from pathlib import Path

import pytest
import yaml

from tests import servers, serving

COMPOSE = yaml.safe_load((serving.ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
SERVICES = COMPOSE["services"]
OURS = ("web", "worker", "beat")
BIN = Path(sys.executable).parent


def filled_in(value: str) -> str:
    """The value with its defaults, as compose fills them in."""
    return re.sub(r"\$\{\w+(?::-([^}]*)|:\?[^}]*)?\}", lambda found: found[1] or "", value)


def words(name: str, port: int, folder: Path) -> list[str]:
    """A service's command with this machine's programs, a free port and a folder of its own."""
    here = {
        "python": sys.executable,
        "celery": str(BIN / "celery"),
        "manage.py": str(serving.ROOT / "manage.py"),
        "8000": str(port),
        "0.0.0.0": "127.0.0.1",  # noqa: S104 (what a container listens on)
    }
    said = [word.replace("/tmp", str(folder)) for word in SERVICES[name]["command"]]  # noqa: S108
    return [here.get(word, word) for word in said]


def environment(name: str, folder: Path, url: str) -> dict[str, str]:
    """A service's variables with this machine's addresses."""
    told = {key: filled_in(value) for key, value in SERVICES[name]["environment"].items()}
    (folder / "secret").write_text("a secret of fifty letters and more, for a test only " * 2)
    here = {
        "SECRET_KEY_FILE": str(folder / "secret"),
        "DATABASE_URL": url,
        "REDIS_URL": servers.redis_url(),
        "PUBLIC_URL": "https://jobs.example.test",
    }
    del told["DATABASE_PASSWORD_FILE"]
    return serving.environment(folder) | told | here | {"CREWJOBS_DATA": str(folder)}


def test_every_service_has_a_health_check_and_waits_for_what_it_needs() -> None:
    assert set(SERVICES) == {*OURS, "postgres", "redis"}
    for service in SERVICES.values():
        assert service["healthcheck"]["test"]
        assert service["read_only"] is True
        needed = service.get("depends_on", {})
        assert all(need["condition"] == "service_healthy" for need in needed.values())
        assert set(needed) <= set(SERVICES)


def test_no_secret_stands_in_the_file() -> None:
    told = SERVICES["web"]["environment"]
    assert "@" in told["DATABASE_URL"]
    assert ":" not in told["DATABASE_URL"].removeprefix("postgres://").partition("@")[0]
    for name in ("SECRET_KEY", "DATABASE_PASSWORD"):
        assert told[f"{name}_FILE"].startswith("/run/secrets/")
        assert name not in told
    assert all(set(SERVICES[name]["secrets"]) <= set(COMPOSE["secrets"]) for name in OURS)


def test_the_image_holds_what_is_pinned_and_runs_as_nobody() -> None:
    lines = SERVICES["web"]["build"]["dockerfile_inline"].splitlines()
    assert "RUN pip install --no-cache-dir --require-hashes -r .ci/scale.lock" in lines
    copied = [line.split()[1] for line in lines if line.startswith("COPY")]
    assert all((serving.ROOT / path).exists() for path in copied)
    assert lines[-1] == "USER crewjobs"
    assert all(SERVICES[name]["image"] == SERVICES["web"]["image"] for name in OURS)


@pytest.mark.realdb
def test_its_commands_run_against_real_servers(tmp_path) -> None:
    with servers.database_url() as url, ExitStack() as stack:
        port = serving.free_port()
        log = stack.enter_context((tmp_path / "log").open("ab"))

        def start(name: str) -> subprocess.Popen:
            process = subprocess.Popen(
                words(name, port, tmp_path), env=environment(name, tmp_path, url),
                stdout=log, stderr=log, stdin=subprocess.DEVNULL, cwd=serving.ROOT,
            )  # fmt: skip
            stack.callback(serving.end, process)
            return process

        server = serving.Server(start("web"), port, tmp_path / "log")
        serving.until(server.answers, "an answer")
        assert server.ready()["worker"] == "not seen"
        for name in ("worker", "beat"):
            start(name)
        serving.until(lambda: server.ready()["worker"] == "working", "beat wakes the worker up")
