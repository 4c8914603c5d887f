"""`manage.py first_person`: the shop and the one who can sign in and add everybody else."""

import os
from argparse import ArgumentParser
from getpass import getpass

from django.core.management import BaseCommand, CommandError
from django.utils import timezone

from crewjobs.actions import shops
from crewjobs.actions.errors import ActionError
from crewjobs.actions.people import PersonEntry
from crewjobs.models import Units

PASSWORD = "FIRST_PASSWORD"  # noqa: S105 (the name of a variable)
QUESTIONS = {
    "shop": "Name of the shop: ",
    "time_zone": "Its time zone, such as America/Chicago: ",
    "name": "Your name: ",
    "email": "Your mail address, to sign in with: ",
}


class Command(BaseCommand):
    help = (
        "Found the shop with its first office person. Asks for what is not given; the password "
        f"comes from the variable {PASSWORD}."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--units", choices=list(Units), default=Units.IMPERIAL)
        for name, question in QUESTIONS.items():
            parser.add_argument(f"--{name.replace('_', '-')}", help=question.rstrip(": "))

    def handle(self, *, units: str, **given: str | None) -> None:
        said = {name: given.get(name) or input(question) for name, question in QUESTIONS.items()}
        password = os.environ.get(PASSWORD) or getpass("A password of ten letters or more: ")
        entry = shops.ShopEntry(name=said["shop"], time_zone=said["time_zone"], units=Units(units))
        first = PersonEntry(name=said["name"], email=said["email"], password=password)
        try:
            person = shops.found(entry=entry, first=first, now=timezone.now())
        except ActionError as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{person.name} can sign in as {person.email}.")
