"""Where the demo listens: on this machine alone, at a port that nobody holds."""

import socket

HOST = "127.0.0.1"
FIRST_PORT, TRIES = 8000, 50
LOWEST, HIGHEST = 1024, 65535


class NoPortError(Exception):
    """The port that was asked for cannot be had."""


def is_free(port: int) -> bool:
    """Whether the port can be bound on this machine."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError:
            return False
    return True


def choose(asked: int | None) -> int:
    """The port asked for, or the first free one from 8000 on.

    Raises:
        NoPortError: the port asked for is taken or out of range, or none is free.

    """
    if asked is None:
        free = next((p for p in range(FIRST_PORT, FIRST_PORT + TRIES) if is_free(p)), None)
        if free is None:
            raise NoPortError(
                f"No port from {FIRST_PORT} to {FIRST_PORT + TRIES - 1} is free; name one with"
                " --port."
            )
        return free
    if not LOWEST <= asked <= HIGHEST:
        raise NoPortError(f"--port is {asked}; choose one from {LOWEST} to {HIGHEST}.")
    if not is_free(asked):
        raise NoPortError(
            f"Port {asked} is taken by another program; choose another with --port, or leave"
            " --port out and a free one is found."
        )
    return asked


def address_of(port: int) -> str:
    """The address at which the demo is reached."""
    return f"http://{HOST}:{port}"
