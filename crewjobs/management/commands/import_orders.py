"""`manage.py import_orders FILE --as EMAIL`: work orders from a CSV file, all of them or none."""

from argparse import ArgumentParser
from pathlib import Path

from django.core.management import BaseCommand, CommandError
from django.utils import timezone

from crewjobs.actions import imports
from crewjobs.actions.errors import ActionError, InvalidError
from crewjobs.models import Person


class Command(BaseCommand):
    help = "Book every work order of a CSV file, or list what is wrong with it and book none."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--as", dest="email", required=True, help="whose mail address books")
        parser.add_argument("--dry-run", action="store_true", help="only list what is wrong")

    def handle(self, *, file: Path, email: str, dry_run: bool, **_: object) -> None:
        by = Person.objects.by_email(email)
        if by is None:
            raise CommandError(f"There is nobody with the address {email}.")
        try:
            data = file.read_bytes()
        except OSError as error:
            raise CommandError(f"{file}: {error.strerror}") from error
        try:
            if dry_run:
                found = imports.dry_run(data=data, by=by, now=timezone.now())
                imports.refuse(found.problems)
                for each in found.warnings:
                    self.stderr.write(f"{each.pointer.removeprefix('/')}: {each.message}")
                self.stdout.write(f"{len(found.orders)} orders could be booked.")
            else:
                booked = imports.run(data=data, by=by, now=timezone.now())
                self.stdout.write(f"{len(booked)} orders are booked.")
        except InvalidError as error:
            for where, what in error.problems.items():
                self.stderr.write(f"{where.removeprefix('/')}: {what}")
            raise CommandError("Nothing was booked.") from error
        except ActionError as error:
            raise CommandError(str(error)) from error
