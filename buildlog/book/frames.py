"""Bytes between two processes of ours, one message after another through a pipe."""

from __future__ import annotations

from typing import IO

_MARK = b"buildlog"
_LENGTH = 8


def send(stream: IO[bytes], content: bytes) -> None:
    """Raises `OSError` where nobody reads any more."""
    stream.write(_MARK + len(content).to_bytes(_LENGTH, "big") + content)
    stream.flush()


def receive(stream: IO[bytes]) -> bytes:
    """Raises `EOFError` where the other side has ended, or something else has written into the pipe."""
    head = stream.read(len(_MARK) + _LENGTH)
    length = int.from_bytes(head[len(_MARK) :], "big")
    content = stream.read(length) if head.startswith(_MARK) else b""
    if len(head) < len(_MARK) + _LENGTH or not head.startswith(_MARK) or len(content) < length:
        raise EOFError
    return content
