"""How the web server runs: enough threads that slow phones do not keep the others waiting."""

import gc
import os

from django.urls import get_resolver

from crewjobs.management import running

worker_class = "gthread"
workers = 2
threads = 16
timeout = 120
graceful_timeout = 10
control_socket_disable = True


def post_worker_init(_worker: object) -> None:
    """Take the server along when `manage.py serve` is gone.

    What is loaded stays for good, so that no request waits for it to be loaded or swept through.
    """
    running.leash(os.getppid())
    list(get_resolver().url_patterns)
    gc.collect()
    gc.freeze()
