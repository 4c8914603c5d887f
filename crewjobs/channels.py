"""How a message leaves: by mail, or as a text through a gateway.

Knows mail and HTTP. Knows nothing of rows, of retries or of what a message is about: it is given
an id that stays the same when the message is sent again, so that the far end can tell.
"""

import json
import smtplib
from datetime import UTC, datetime
from email.utils import parseaddr
from http.client import HTTPConnection, HTTPException, HTTPResponse, HTTPSConnection
from urllib.parse import SplitResult, urlsplit
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMessage
from standardwebhooks.webhooks import EmptyWebhookSecretError, Webhook

GATEWAY_TIMEOUT_S = 10.0
ANSWER_BYTES = 65_536
"""More of an answer is not read."""
LOCALHOST = frozenset({"localhost", "127.0.0.1", "::1"})
TRY_AGAIN = frozenset({408, 425, 429})
"""Client errors that pass: timeout, too early, too many (RFC 9110, RFC 8470, RFC 6585)."""


class ChannelError(Exception):
    """The message did not leave, as far as we know. A permanent error stays when tried again."""

    def __init__(self, reason: str, *, is_permanent: bool) -> None:
        self.is_permanent = is_permanent
        super().__init__(reason)


def send_email(*, message_id: UUID, to: str, subject: str, body: str, reply_to: str) -> str:
    """Send a plain mail; the answer is its Message-ID, which the same id always gets.

    Raises
    ------
    ChannelError
        Permanent where an address or a header cannot be, or the server refuses the recipient.
    """
    _, sender = parseaddr(settings.DEFAULT_FROM_EMAIL)
    reference = f"<{message_id}@{sender.rpartition('@')[2] or 'localhost'}>"
    mail = EmailMessage(
        subject=subject,
        body=body,
        to=[to],
        reply_to=[reply_to] if reply_to else None,
        headers={"Message-ID": reference, "Auto-Submitted": "auto-generated"},
    )
    try:
        mail.send()
    except smtplib.SMTPRecipientsRefused as error:
        codes = [code for code, _ in error.recipients.values()]
        raise ChannelError(f"recipient refused: {codes}", is_permanent=min(codes) >= 500) from error
    except smtplib.SMTPDataError as error:
        raise ChannelError(f"mail refused: {error}", is_permanent=error.smtp_code >= 500) from error
    except OSError as error:
        raise ChannelError(f"mail server: {error!r}", is_permanent=False) from error
    except ValueError as error:
        raise ChannelError(f"not a mail: {error}", is_permanent=True) from error
    return reference


def send_text(*, message_id: UUID, to: str, body: str, now: datetime) -> str:
    """Post a text to the gateway, signed; the answer is the gateway's own id for it, if any.

    Raises
    ------
    ChannelError
        Permanent where no gateway is configured, or it refuses the request as such.

    References
    ----------
    Standard Webhooks 1.0: headers `webhook-id`, `webhook-timestamp`, `webhook-signature`.
    """
    gateway = _gateway()
    content = json.dumps({"id": str(message_id), "to": to, "text": body})
    headers = _signed(message_id, content, now)
    connect = HTTPSConnection if gateway.scheme == "https" else HTTPConnection
    connection = connect(gateway.hostname or "", gateway.port, timeout=GATEWAY_TIMEOUT_S)
    path = (gateway.path or "/") + (f"?{gateway.query}" if gateway.query else "")
    try:
        connection.request("POST", path, content.encode(), headers)
        with connection.getresponse() as answer:
            return _reference(answer)
    except (OSError, HTTPException) as error:
        raise ChannelError(f"text gateway: {error!r}", is_permanent=False) from error
    finally:
        connection.close()


def _gateway() -> SplitResult:
    if not settings.TEXT_GATEWAY_URL:
        raise ChannelError("no text gateway is configured (TEXT_GATEWAY_URL)", is_permanent=True)
    address = urlsplit(settings.TEXT_GATEWAY_URL)
    is_plain = address.scheme == "http" and address.hostname in LOCALHOST
    if not (address.scheme == "https" or is_plain):
        raise ChannelError("TEXT_GATEWAY_URL must begin with https://", is_permanent=True)
    return address


def _signed(message_id: UUID, content: str, now: datetime) -> dict[str, str]:
    try:
        key = Webhook(settings.TEXT_GATEWAY_SECRET)
    except (ValueError, EmptyWebhookSecretError) as error:
        raise ChannelError(f"TEXT_GATEWAY_SECRET: {error}", is_permanent=True) from error
    at = now.astimezone(UTC)
    return {
        "Content-Type": "application/json",
        "webhook-id": str(message_id),
        "webhook-timestamp": str(int(at.timestamp())),
        "webhook-signature": key.sign(str(message_id), at, content),
    }


def _reference(answer: HTTPResponse) -> str:
    """The gateway's id for the text. Redirects are not followed: the signature is for one place."""
    content = answer.read1(ANSWER_BYTES)
    if not 200 <= answer.status < 300:
        is_permanent = answer.status < 500 and answer.status not in TRY_AGAIN
        raise ChannelError(f"text gateway answered {answer.status}", is_permanent=is_permanent)
    try:
        told = json.loads(content)
    except ValueError:
        return ""
    return str(told.get("id", "")) if isinstance(told, dict) else ""
