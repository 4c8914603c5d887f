"""`manage.py demo`: an invented shop's fortnight, on one command."""

import gc
from argparse import ArgumentParser
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random

from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command
from django.urls import reverse
from django.utils import timezone

from crewjobs.actions import links
from crewjobs.management import demo_history, demo_shop, running
from crewjobs.models import (
    Crew,
    Job,
    Link,
    OutboxMessage,
    OutboxStatus,
    Person,
    Placement,
    Plan,
    Purpose,
    Role,
    Shop,
)

SEED = 7
ADDRESSES = "demo_feeds.txt"
"""In the data folder, for its owner alone: tokens are not kept anywhere else."""


class Command(BaseCommand):
    help = "Load an invented shop, unless it is there, and serve it until stopped."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="0.0.0.0 lets the network in")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--no-serve", action="store_true", help="only load it")
        parser.add_argument("--fresh", action="store_true", help="begin the demo anew")

    def handle(self, *, host: str, port: int, no_serve: bool, fresh: bool, **_: object) -> None:
        running.name_address(port)
        running.migrate()
        self.open_shop(fresh=fresh)
        self.tell_what_there_is()
        self.tell_addresses()
        self.stdout.flush()
        if not no_serve:
            self.stdout.write(f"\nServing {settings.PUBLIC_URL}. Ctrl-C stops.")
            self.stdout.flush()
            running.run(host, port)
            self.stdout.write("Stopped.")

    def open_shop(self, *, fresh: bool) -> None:
        """Make the invented shop, or go on with it; nobody else's shop is touched."""
        shop = Shop.objects.first()
        if shop and shop.name != demo_shop.SHOP.name:
            raise CommandError(
                f"{shop.name} is in this database: use `manage.py serve`, or another CREWJOBS_DATA."
            )
        if shop and fresh:
            call_command("flush", interactive=False, verbosity=0)
        elif shop:
            since = f"{shop.created_at:%Y-%m-%d}"
            self.stdout.write(f"Going on with the shop of {since}; --fresh begins anew.")
            return
        addresses().unlink(missing_ok=True)
        with without_collector():
            demo_history.play(now=timezone.now(), rng=Random(SEED))  # noqa: S311 (no secret)

    def tell_what_there_is(self) -> None:
        """Count what was made."""
        stages = Counter(Job.objects.filter(cancelled_at=None).values_list("stage", flat=True))
        plan = Plan.objects.filter(published_at__isnull=False).latest("version")
        shown = ", ".join(f"{number} {stage}" for stage, number in stages.most_common())
        sent = OutboxMessage.objects.filter(status=OutboxStatus.SENT).count()
        waiting = OutboxMessage.objects.waiting().count()
        places = Placement.objects.filter(withdrawn_at=None, visit__planned__plan=plan).count()
        lines = (
            f"{demo_shop.SHOP.name}, an invented shop: {Crew.objects.count()} crews, "
            f"{Person.objects.count()} people, {Job.objects.count()} jobs: {shown}.",
            f"The plan of {plan.first_on} to {plan.last_on} is published: {places} visits have a "
            f"place, {plan.unplaced.count()} have none, each with its reasons.",
            f"{sent} messages were sent, {waiting} wait for their hour. "
            f"Mails are files in {settings.EMAIL_FILE_PATH}.",
        )
        self.stdout.write("\n".join(lines))

    def tell_addresses(self) -> None:
        """Say how to sign in as each role, and where the calendars are."""
        self.stdout.write(f"\nPages: {settings.PUBLIC_URL}/   API: {settings.PUBLIC_URL}/api/v1/")
        self.stdout.write(f"Sign in with the password `{demo_shop.PASSWORD}` as")
        for role in Role:
            person = Person.objects.filter(role=role).first()
            if person:
                self.stdout.write(f"  {person.email:36} {role}, {person.name}")
        self.stdout.write("Calendars to subscribe to, as often as you like:")
        for line in feeds():
            name, path = line.split("\t")
            self.stdout.write(f"  {name:36} {settings.PUBLIC_URL}{path}")


@contextmanager
def without_collector() -> Iterator[None]:
    """Spares the tenth of the time that would go into looking for cyclic garbage."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


def feeds() -> list[str]:
    """The feeds with their addresses, made when they are first asked for."""
    path = addresses()
    if not path.exists():
        made = make_feeds()
        path.touch(mode=0o600)
        path.write_text("\n".join(made), encoding="utf-8")
    return path.read_text(encoding="utf-8").splitlines()


def addresses() -> Path:
    """The file that keeps the feeds' addresses."""
    return Path(settings.DATA_DIR) / ADDRESSES


def make_feeds() -> list[str]:
    """A feed of the whole shop, of each crew, and of somebody of it."""
    office = Person.objects.get(email=demo_shop.DISPATCHER.entry().email)
    lead = Person.objects.filter(role=Role.CREW_LEAD).earliest("name")
    made: list[tuple[str, tuple[Link, str]]] = []
    now = timezone.now()
    made.append(("whole shop", links.make(purpose=Purpose.SHOP_FEED, by=office, now=now)))
    for crew in Crew.objects.all():
        link = links.make(purpose=Purpose.CREW_FEED, crew=crew, by=office, now=now)
        made.append((crew.name, link))
    own = links.make(purpose=Purpose.PERSON_FEED, person=lead, by=lead, now=now)
    made.append((lead.name, own))
    return [f"{name}\t{reverse('feed', args=[token])}" for name, (_, token) in made]
