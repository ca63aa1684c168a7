"""Starting the bench: the folder, the port, and what is said when they will not do."""

from __future__ import annotations

import asyncio
import socket
from pathlib import Path

import pytest
from click.testing import CliRunner

from gripwright.bench.command import command
from gripwright.bench.serve import check_folder, open_socket, port_of
from gripwright.errors import InputError


def test_small_answers_are_sent_at_once() -> None:
    """Connections have TCP_NODELAY: without it each answer waits for an acknowledgement."""

    async def delay_of_a_connection() -> int:
        seen: asyncio.Queue[int] = asyncio.Queue()

        async def met(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            accepted = writer.get_extra_info("socket")
            await seen.put(accepted.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        listening = open_socket(0)
        async with await asyncio.start_server(met, sock=listening):
            _, writer = await asyncio.open_connection(*listening.getsockname())
            writer.close()
            return await seen.get()

    assert asyncio.run(delay_of_a_connection()) != 0


def test_a_folder_keeps_its_port(tmp_path: Path) -> None:
    """The port belongs to the folder and is one of the dynamic ports (RFC 6335, section 6)."""
    ports = {port_of(tmp_path / str(number)) for number in range(200)}
    assert len(ports) > 190
    assert min(ports) >= 49_152
    assert max(ports) <= 65_535
    assert port_of(tmp_path) == port_of(tmp_path)


@pytest.mark.parametrize(
    ("given", "said"),
    [("nowhere", "there is no folder"), ("song.md", "is a file, and the bench opens a folder")],
)
def test_what_is_no_folder_is_told_apart(tmp_path: Path, given: str, said: str) -> None:
    """A missing folder and a file each get their own words and a remedy."""
    (tmp_path / "song.md").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match=said) as raised:
        check_folder(tmp_path / given)
    assert raised.value.remedy


def test_a_port_in_use_is_said_with_a_remedy(tmp_path: Path) -> None:
    """The command ends with exit code 2 and what to do, and serves nothing."""
    with open_socket(0) as taken:
        port = str(taken.getsockname()[1])
        run = CliRunner().invoke(command, [str(tmp_path), "--no-browser", "--port", port])
    assert run.exit_code == 2
    assert f"port {port} cannot be used" in run.output
    assert "--port" in run.output.splitlines()[-1]
