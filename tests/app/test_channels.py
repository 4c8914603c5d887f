"""A text leaves signed for one gateway; a mail has one recipient and one id."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, HTTPServer
from uuid import UUID

import pytest
from django.core import mail
from standardwebhooks.webhooks import Webhook, WebhookVerificationError

from crewjobs import channels
from crewjobs.channels import ChannelError

ID = UUID(int=5)
SECRET = "whsec_c3RvbmUgdG9wcyBhcmUgaGVhdnkgYW5kIGxvbmc="
OTHER_SECRET = "whsec_bm90IHRoZSBzYW1lIHNlY3JldCBhdCBhbGwhISE="


@dataclass
class Gateway:
    """What a gateway answers and what it was sent."""

    status: int = 200
    answer: bytes = b'{"id": "ref-9"}'
    headers: dict[str, str] = field(default_factory=dict)
    calls: list[tuple[str, dict[str, str], bytes]] = field(default_factory=list)
    port: int = 0


@contextmanager
def serving(gateway: Gateway) -> Iterator[Gateway]:
    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            gateway.calls.append((self.path, dict(self.headers), body))
            self.send_response(gateway.status)
            for name, value in gateway.headers.items():
                self.send_header(name, value)
            self.end_headers()
            self.wfile.write(gateway.answer)

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    with HTTPServer(("127.0.0.1", 0), Handler) as server:
        gateway.port = server.server_port
        thread = threading.Thread(target=server.serve_forever, args=(0.01,))
        thread.start()
        try:
            yield gateway
        finally:
            server.shutdown()
            thread.join()


@pytest.fixture
def gateway(settings) -> Iterator[Gateway]:
    with serving(Gateway()) as open_gateway:
        settings.TEXT_GATEWAY_URL = f"http://127.0.0.1:{open_gateway.port}/texts?shop=1"
        settings.TEXT_GATEWAY_SECRET = SECRET
        yield open_gateway


def text() -> str:
    return channels.send_text(
        message_id=ID, to="+1 555 0100", body="the crew is coming: “soon”", now=datetime.now(UTC)
    )


def refusal() -> ChannelError:
    with pytest.raises(ChannelError) as caught:
        text()
    return caught.value


def test_a_text_arrives_once_whole_and_signed(gateway) -> None:
    assert text() == "ref-9"
    ((path, headers, body),) = gateway.calls
    assert path == "/texts?shop=1"
    told = Webhook(SECRET).verify(body, headers)
    assert told == {"id": str(ID), "to": "+1 555 0100", "text": "the crew is coming: “soon”"}
    assert headers["webhook-id"] == str(ID)
    assert headers["Content-Type"] == "application/json"


def test_another_secret_or_another_body_does_not_verify(gateway) -> None:
    text()
    ((_, headers, body),) = gateway.calls
    with pytest.raises(WebhookVerificationError):
        Webhook(OTHER_SECRET).verify(body, headers)
    with pytest.raises(WebhookVerificationError):
        Webhook(SECRET).verify(body.replace(b"0100", b"0199"), headers)


def test_a_redirect_is_not_followed(gateway) -> None:
    with serving(Gateway()) as elsewhere:
        gateway.status = 307
        gateway.headers = {"Location": f"http://127.0.0.1:{elsewhere.port}/"}
        assert refusal().is_permanent
        assert (len(gateway.calls), elsewhere.calls) == (1, [])


@pytest.mark.parametrize(
    ("status", "is_permanent"),
    [(400, True), (401, True), (404, True), (408, False), (429, False), (500, False), (503, False)],
)
def test_a_refusal_stays_and_a_fault_passes(gateway, status, is_permanent) -> None:
    gateway.status = status
    error = refusal()
    assert (str(error), error.is_permanent) == (f"text gateway answered {status}", is_permanent)


@pytest.mark.parametrize("answer", [b"", b"OK", b"[1]", b"{}", b"\xff\xfe", b"x" * 1_000_000])
def test_any_good_answer_will_do(gateway, answer) -> None:
    gateway.answer = answer
    assert text() == ""


def test_nobody_there_is_a_fault_that_passes(settings) -> None:
    with socket.socket() as unused:
        unused.bind(("127.0.0.1", 0))
        settings.TEXT_GATEWAY_URL = f"http://localhost:{unused.getsockname()[1]}"
        settings.TEXT_GATEWAY_SECRET = SECRET
        assert not refusal().is_permanent


def test_a_gateway_that_never_answers_is_left_alone(settings, monkeypatch) -> None:
    monkeypatch.setattr(channels, "GATEWAY_TIMEOUT_S", 0.2)
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        settings.TEXT_GATEWAY_URL = f"http://127.0.0.1:{silent.getsockname()[1]}"
        settings.TEXT_GATEWAY_SECRET = SECRET
        assert not refusal().is_permanent


@pytest.mark.parametrize(
    ("url", "secret", "reason"),
    [
        ("", SECRET, "no text gateway is configured"),
        ("http://gateway.example.test/", SECRET, "must begin with https://"),
        ("file:///etc/passwd", SECRET, "must begin with https://"),
        ("https://gateway.example.test/", "", "TEXT_GATEWAY_SECRET"),
        ("https://gateway.example.test/", "whsec_%", "TEXT_GATEWAY_SECRET"),
    ],
)
def test_a_wrong_setting_is_named(settings, url, secret, reason) -> None:
    settings.TEXT_GATEWAY_URL, settings.TEXT_GATEWAY_SECRET = url, secret
    error = refusal()
    assert error.is_permanent
    assert reason in str(error)


def send(**changes: str) -> str:
    fields = {
        "to": "mara@example.test", "subject": "a visit", "body": "soon\n", "reply_to": ""
    } | changes  # fmt: skip
    return channels.send_email(message_id=ID, **fields)


def test_a_mail_sent_again_has_the_same_id(settings) -> None:
    settings.DEFAULT_FROM_EMAIL = "Crew office <office@alderbay.example.test>"
    assert send() == send() == f"<{ID}@alderbay.example.test>"
    sent = mail.outbox[1].message()
    assert sent["Message-ID"] == f"<{ID}@alderbay.example.test>"
    assert sent["From"] == "Crew office <office@alderbay.example.test>"


@pytest.mark.parametrize("name", ["to", "subject", "reply_to"])
@pytest.mark.parametrize("line_break", ["\n", "\r", "\r\n"])
def test_a_line_break_never_becomes_a_header(name, line_break) -> None:
    with pytest.raises(ChannelError) as caught:
        send(**{name: f"mara@example.test{line_break}Bcc: all@example.test"})
    assert caught.value.is_permanent
    assert mail.outbox == []


@pytest.mark.parametrize(
    ("backend", "is_permanent"),
    [("tests.app.mailboxes.Down", False), ("tests.app.mailboxes.Refusing", True)],
)
def test_a_server_that_is_down_is_tried_again(settings, backend, is_permanent) -> None:
    settings.EMAIL_BACKEND = backend
    with pytest.raises(ChannelError) as caught:
        send()
    assert caught.value.is_permanent is is_permanent
