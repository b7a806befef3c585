"""A real SMTP server of the tests: records, refuses, hangs or dies as it is told."""

import asyncio
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import policy
from email.message import EmailMessage
from email.parser import BytesParser
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session


def free_port() -> int:
    """Return a port on which nothing listens now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass
class Sink:
    """What came in, and how to answer.

    refusals: address -> replies to RCPT in turn, the last one for ever if it is 5yz.
    replies: replies to DATA in turn, given after the message was recorded.
    hold: "rcpt" or "data" keeps a session waiting there, before and after recording.
    """

    port: int = field(default_factory=free_port)
    mails: list[EmailMessage] = field(default_factory=list)
    refusals: dict[str, list[str]] = field(default_factory=dict)
    replies: list[str] = field(default_factory=list)
    hold: str = ""
    held: int = 0

    @property
    def ids(self) -> list[str]:
        """Message-IDs in the order of arrival."""
        return [str(mail["Message-ID"]) for mail in self.mails]

    async def handle_RCPT(  # noqa: N802  the name is the library's
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[Any]
    ) -> str:
        """Refuse, hang or accept a recipient."""
        await self._wait("rcpt")
        replies = self.refusals.get(address, [])
        if replies:
            return replies[0] if replies[0].startswith("5") else replies.pop(0)
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope
    ) -> str:
        """Record a message, then hang or answer."""
        assert isinstance(envelope.content, bytes)
        assert len(envelope.rcpt_tos) == 1
        self.mails.append(BytesParser(policy=policy.default).parsebytes(envelope.content))
        await self._wait("data")
        return self.replies.pop(0) if self.replies else "250 taken"

    async def _wait(self, place: str) -> None:
        if self.hold == place:
            self.held += 1
        while self.hold == place:
            await asyncio.sleep(0.02)

    @contextmanager
    def listening(self) -> Iterator["Sink"]:
        """Listen until the block ends."""
        controller = Controller(self, hostname="127.0.0.1", port=self.port)
        controller.start()
        try:
            yield self
        finally:
            self.hold = ""
            controller.stop()
