"""`manage.py serve`: the shop, on one command."""

import sys
from argparse import ArgumentParser

from django.conf import settings
from django.core.management import BaseCommand, call_command

from crewjobs.management import running
from crewjobs.models import Shop


class Command(BaseCommand):
    help = "Bring the tables up to date, then serve pages, API, feeds and messages until stopped."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="0.0.0.0 lets the network in")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--workers", type=int, default=2, help="processes of the web server")
        parser.add_argument("--no-worker", action="store_true", help="another machine sends")

    def handle(self, *, host: str, port: int, workers: int, no_worker: bool, **_: object) -> None:
        running.name_address(port)
        running.migrate()
        self.meet()
        self.stdout.write(f"Serving {settings.PUBLIC_URL} on {host}:{port}. Ctrl-C stops.")
        self.stdout.flush()
        running.run(host, port, web_workers=workers, with_worker=not no_worker)
        self.stdout.write("Stopped.")

    def meet(self) -> None:
        """Ask for the first office person, or say how to name one."""
        if Shop.objects.exists():
            return
        if sys.stdin.isatty():
            call_command("first_person", stdout=self.stdout)
        else:
            self.stdout.write("Nobody can sign in yet: run `manage.py first_person --help`.")
