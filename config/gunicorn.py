"""How the web server runs: enough threads that slow phones do not keep the others waiting."""

import os

from crewjobs.management import running

worker_class = "gthread"
workers = 2
threads = 16
timeout = 120
graceful_timeout = 10
control_socket_disable = True


def post_worker_init(_worker: object) -> None:
    """Take the server along when `manage.py serve` is gone."""
    running.leash(os.getppid())
