"""What nobody foresaw: an error object or words, never a traceback; batches go on."""

from __future__ import annotations

import errno
import json
import sys
from typing import Any

import pytest

from gripwright.cli import name
from gripwright.cli.main import main
from gripwright.cli.output import batch
from gripwright.cli.unforeseen import SWITCH, foreseen
from gripwright.errors import ECHOED, InputError
from json_shape import faults

FULL = OSError(errno.ENOSPC, "No space left on device", "clip.wav")


def run(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], error: BaseException,
    *flags: str,
) -> tuple[Any, str, str]:  # fmt: skip
    """Run ``gripwright name x35453`` with readings that raise; return code, stdout, stderr."""

    def raises(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr(name, "readings", raises)
    monkeypatch.setattr(sys, "argv", ["gripwright", "name", "x35453", *flags])
    with pytest.raises(SystemExit) as ended:
        main()
    return ended.value.code, *capfd.readouterr()


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (KeyError("sharp"), "internal"), (RecursionError("too deep"), "internal"),
        (MemoryError(), "system"), (FULL, "system"),
    ],
)  # fmt: skip
def test_whatever_happens_is_one_error_object(
    error: Exception, code: str, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Under --json, with exit code 2, by the published schema, and stderr stays empty."""
    ended, out, err = run(monkeypatch, capfd, error, "--json")
    answer = json.loads(out)
    assert (ended, answer["error"]["code"], err) == (2, code, "")
    assert faults(answer, "error") == []


def test_words_have_no_traceback(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """But say how to see one."""
    ended, out, err = run(monkeypatch, capfd, KeyError("sharp"))
    assert (ended, out) == (2, "")
    assert "Traceback" not in err
    assert f"{SWITCH}=1" in err


def test_the_traceback_can_be_seen(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """On stderr, beside the object on stdout."""
    monkeypatch.setenv(SWITCH, "1")
    _, out, err = run(monkeypatch, capfd, KeyError("sharp"), "--json")
    assert "Traceback" in err
    assert json.loads(out)["error"]["code"] == "internal"


def test_stopping_exits_130_with_an_object(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Code "stopped", and nothing was half written."""
    ended, out, _ = run(monkeypatch, capfd, KeyboardInterrupt(), "--json")
    assert (ended, json.loads(out)["error"]["code"]) == (130, "stopped")


def test_stopping_says_so_in_words(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """On stderr."""
    ended, out, err = run(monkeypatch, capfd, KeyboardInterrupt())
    assert (ended, out) == (130, "")
    assert "nothing is half written" in err


def test_a_full_disk_gets_its_own_remedy() -> None:
    """And names the file."""
    told = foreseen(FULL)
    assert (told.at, told.remedy) == ("clip.wav", "free some space on that disk")


def test_a_batch_outlives_a_fault_of_ours(capfd: pytest.CaptureFixture[str]) -> None:
    """That line gets an error object with its id, the others their answers; exit code 1."""

    def answer(request: dict[str, Any]) -> dict[str, Any]:
        return {"share": 1 / request["parts"]}

    code = batch([b'{"id": 1, "parts": 0}\n', b'{"id": 2, "parts": 4}\n'], answer)
    first, second = map(json.loads, capfd.readouterr().out.splitlines())
    assert (code, first["id"], first["error"]["code"]) == (1, 1, "internal")
    assert (second["id"], second["share"]) == (2, 0.25)


def test_fields_may_have_the_hyphens_of_the_options(capfd: pytest.CaptureFixture[str]) -> None:
    """``no-doubling`` is ``no_doubling``; both at once is refused."""
    code = batch([b'{"no-doubling": true}\n', b'{"a-b": 1, "a_b": 2}\n'], lambda given: given)
    first, second = map(json.loads, capfd.readouterr().out.splitlines())
    assert (code, first["no_doubling"]) == (1, True)
    assert "with a hyphen and without" in second["error"]["message"]


@pytest.mark.parametrize("said", ["'{}' is no chord", '"{}" is no chord', "{} is no chord"])
def test_long_input_is_cut_in_messages(said: str) -> None:
    """20,000 letters become 60 with an ellipsis; what is said of them stays."""
    told = InputError(said.format("Z" * 20_000)).message
    assert len(told) < ECHOED + 20
    assert told.endswith("is no chord")
    assert "Z…" in told


def test_ordinary_words_stay_whole() -> None:
    """Apostrophes are no quotes, and a long path is kept."""
    said = "the pattern's name is not a name that any part of this lesson's file would ever know"
    path = "/".join(["a-folder"] * 30)
    assert InputError(said).message == said
    assert InputError(f"{path} is missing").message == f"{path} is missing"
