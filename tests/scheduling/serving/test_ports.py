import socket

import pytest

from scheduling.serving import ports
from scheduling.serving.ports import HOST, NoPortError, address_of, choose, is_free


@pytest.fixture
def taken():
    with socket.socket() as holder:
        holder.bind((HOST, 0))
        holder.listen()
        yield holder.getsockname()[1]


def test_a_taken_port_is_not_free(taken):
    assert not is_free(taken)


def test_the_port_asked_for_is_refused_if_taken(taken):
    with pytest.raises(NoPortError, match=f"Port {taken} is taken"):
        choose(taken)


def test_without_a_wish_the_next_free_port_is_found(taken, monkeypatch):
    monkeypatch.setattr(ports, "FIRST_PORT", taken)
    assert taken < choose(None) < taken + ports.TRIES


def test_none_free_is_said(taken, monkeypatch):
    monkeypatch.setattr(ports, "FIRST_PORT", taken)
    monkeypatch.setattr(ports, "TRIES", 1)
    with pytest.raises(NoPortError, match="--port"):
        choose(None)


@pytest.mark.parametrize("port", [0, 80, 1023, 65536, -1])
def test_a_port_out_of_range_is_refused(port):
    with pytest.raises(NoPortError, match="from 1024 to 65535"):
        choose(port)


def test_the_address_is_of_this_machine_alone():
    assert address_of(8123) == "http://127.0.0.1:8123"
