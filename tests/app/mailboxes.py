"""Mail servers as they are on a bad day, and one that counts."""

import os
import smtplib
from collections.abc import Sequence
from uuid import UUID

from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend

from crewjobs.models import OutboxMessage


class Down(BaseEmailBackend):
    """Nobody answers."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        raise ConnectionRefusedError(f"{len(email_messages)} not taken")


class Refusing(BaseEmailBackend):
    """It knows no such address."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        raise smtplib.SMTPRecipientsRefused({email_messages[0].to[0]: (550, b"no such user")})


class Taken(BaseEmailBackend):
    """So slow that another worker takes the message over meanwhile."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        OutboxMessage.objects.update(lease_token=UUID(int=7))
        return len(email_messages)


class Counting(BaseEmailBackend):
    """Adds the id of each mail to the file that COUNTED_MAIL names, whole lines at a time."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        lines = "".join(f"{mail.extra_headers['Message-ID']}\n" for mail in email_messages)
        handle = os.open(os.environ["COUNTED_MAIL"], os.O_WRONLY | os.O_APPEND | os.O_CREAT)
        os.write(handle, lines.encode())
        os.close(handle)
        return len(email_messages)
