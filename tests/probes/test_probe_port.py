"""Opening a port, and the sentences when it does not open."""

from __future__ import annotations

import errno
import select
import socket
import threading
from pathlib import Path
from typing import Any

import pytest
import serial

from roastside.core.errors import ProbeError
from roastside.probes.port import open_port, trouble
from roastside.probes.virtual_line import virtual_line
from tests.probes.waiting import PATIENCE_S


def refusal(url: str, baud: int = 9600) -> str:
    with pytest.raises(ProbeError) as caught:
        open_port(url, baud).close()
    assert caught.value.exit_code == 3
    return str(caught.value)


def test_a_missing_port_is_named(tmp_path: Path) -> None:
    missing = tmp_path / "ttyUSB9"
    sentence = refusal(str(missing))
    assert sentence.startswith(f"There is no port {missing};")


def test_a_port_that_leads_nowhere_is_missing(tmp_path: Path) -> None:
    dangling = tmp_path / "probe"
    dangling.symlink_to(tmp_path / "gone")
    assert refusal(str(dangling)).startswith("There is no port")


def test_a_port_held_by_another_is_refused() -> None:
    with virtual_line() as line:
        holder = open_port(line.port, 9600)
        assert "held by another program" in refusal(line.port)
        holder.close()
        open_port(line.port, 9600).close()


def test_a_file_is_no_port(tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("203.4\n")
    assert "is not a serial port" in refusal(str(file))
    assert "is not a serial port" in refusal(str(tmp_path))


def test_an_unknown_kind_of_address_is_refused() -> None:
    assert "Write it as /dev/ttyUSB0" in refusal("carrier-pigeon://roof")


@pytest.mark.parametrize("url", ["socket://", "socket://host", "socket://host:99999", "rfc2217://"])
def test_an_incomplete_address_is_refused(url: str) -> None:
    assert "socket://host:port" in refusal(url)


def test_an_address_where_nothing_listens_is_refused_with_the_reason() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        url = f"socket://127.0.0.1:{server.getsockname()[1]}"
    assert refusal(url).startswith(f"Nothing answers at {url} (Connection refused);")


def test_an_impossible_speed_is_refused() -> None:
    with virtual_line() as line:
        assert "speed" in refusal(line.port, -5)


def test_a_forbidden_port_names_the_group_to_join(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Tests may run as root, who may open everything: the system's error is given by hand.
    device = tmp_path / "ttyUSB0"
    device.touch()
    error = serial.SerialException(errno.EACCES, f"could not open port {device}")
    monkeypatch.setattr(Path, "group", lambda self: "dialout" if self == device else "")
    assert "sudo usermod -aG dialout $USER" in trouble(str(device), error)
    assert "ask the person" in trouble(str(tmp_path / "other"), error)


def test_control_characters_in_a_port_name_do_not_reach_the_terminal() -> None:
    assert refusal("/dev/tty\x1b[2J\x07X").isprintable()


def test_what_a_network_line_sent_before_the_port_was_ready_is_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    connect = socket.create_connection

    def connect_slowly(*address: Any, **options: Any) -> socket.socket:
        connection = connect(*address, **options)
        select.select([connection], [], [], PATIENCE_S)  # the first bytes lie ready
        return connection

    def greet() -> None:
        connection, _ = server.accept()
        with connection:
            connection.sendall(b"203.4\n")
            connection.recv(1)

    monkeypatch.setattr(socket, "create_connection", connect_slowly)
    with socket.create_server(("127.0.0.1", 0)) as server:
        greeter = threading.Thread(target=greet)
        greeter.start()
        port = open_port(f"socket://127.0.0.1:{server.getsockname()[1]}", 9600)
        data = port.read(6)
        port.close()
        greeter.join()
    assert data == b"203.4\n"
