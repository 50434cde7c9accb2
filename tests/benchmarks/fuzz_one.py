"""Fuzzes one reader in a process of its own: `python -m tests.benchmarks.fuzz_one READER FOLDER`.

A case that raises anything but a `SurveyError`, takes more than LONGEST_S of processor time,
wants more than MOST_BYTES of memory, or touches anything outside its own folder is a fault; it
is kept in FOLDER under `faults`. Where atheris is installed (pip install atheris) it chooses the
cases by what they reach in the code; without it they are changed at random.
"""

from __future__ import annotations

import contextlib
import importlib.util
import json
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

LONGEST_S = 5.0  # of processor time, for a file of some kilobytes
MOST_BYTES = 3 * 2**30  # of addresses
PEAK_BYTES = 500 * 2**20  # of memory beyond what the readers themselves take
LONGEST_REFUSAL = 700  # characters
STEP = 500  # cases, after which the count is told
PIECES = (
    b"\0", b"\xff\xfe", b"\xed\xa0\x80", b"NaN", b"-1", b"1e999", b"-0.0", b"9" * 25, b"1" * 400,
    b"\\ud800", b"null", b"[", b"{", b"]", b"}", b'"', b"''", b"<", b">", b"&x;", b"<![CDATA[",
    b"../", b"=1+1", b"0001-01-01T00:00:00+12:00", b"9999-12-31T23:59:59-12:00", b"n258", b"rsrp",
    b"4x100", b"/", b",", b";", b"\r", b"\n", b"\t", b"\x1b", "\u202e".encode(), "\u00b2".encode(),
    "\u0661".encode(), b"\x7f\xff\xff\xff", b"\xff\xff\xff\xff\x0f", b"\x80" * 11,
)  # fmt: skip
ASKS = ("os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.symlink", "os.link", "os.truncate")
NEVER = ("subprocess.Popen", "os.system", "os.exec", "socket.connect", "socket.getaddrinfo")


class Outside(BaseException):
    """Something outside the folder was touched."""


class TooLong(BaseException):
    """A case took too much time."""


class Trial:
    """Runs cases against one reader, counts them and keeps what went wrong."""

    def __init__(self, name: str, target: Any, folder: Path, most: int) -> None:
        self.name, self.target, self.folder, self.most = name, target, folder, most
        self.cases = self.refused = 0
        self.slowest_s = 0.0
        self.faults: dict[str, str] = {}
        self.workspace = folder / "work"
        self.workspace.mkdir(parents=True, exist_ok=True)
        (folder / "faults").mkdir(exist_ok=True)
        tempfile.tempdir = str(self.workspace)
        self._watching = False
        self._before = _peak()
        sys.addaudithook(self._audit)
        signal.signal(signal.SIGPROF, _too_long)

    def run(self, content: bytes) -> None:
        """One case."""
        from surveyapp.errors import SurveyError

        begin, peak = time.process_time(), _peak()
        self._watching = True
        signal.setitimer(signal.ITIMER_PROF, LONGEST_S)
        try:
            self.target.read(content, self.workspace)
        except SurveyError as error:
            self.refused += 1
            if len(str(error).splitlines()) != 1 or len(str(error)) > LONGEST_REFUSAL:
                self._fault(f"no one sentence, {_told(error)}", content)
        except BaseException as error:
            self._fault(_told(error), content)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            self._watching = False
        self.slowest_s = max(self.slowest_s, time.process_time() - begin)
        if _peak() - peak > PEAK_BYTES:
            self._fault(f"memory of {(_peak() - peak) >> 20} MB", content)
        self._tidy()
        self.cases += 1
        if self.cases % STEP == 0 or self.cases >= self.most:
            self.tell()

    def tell(self) -> None:
        """Write down how far it is."""
        told = {
            "cases": self.cases, "refused": self.refused, "slowest_s": self.slowest_s,
            "memory_mb": (_peak() - self._before) >> 20, "faults": self.faults,
        }  # fmt: skip
        (self.folder / "told.json").write_text(json.dumps(told))

    def _fault(self, what: str, content: bytes) -> None:
        self._watching = False
        if what not in self.faults:
            kept = self.folder / "faults" / f"{len(self.faults)}"
            kept.write_bytes(content)
            self.faults[what] = str(kept)
            self.tell()

    def _tidy(self) -> None:
        for entry in os.scandir(self.workspace):
            if entry.is_dir(follow_symlinks=False):
                shutil.rmtree(entry.path)
            else:
                os.unlink(entry.path)

    def _audit(self, event: str, given: tuple[Any, ...]) -> None:
        if not self._watching:
            return
        writes = event == "open" and given[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        named = given and isinstance(given[0], str | bytes | os.PathLike)
        if event in NEVER or (named and (writes or event in ASKS) and self._is_outside(given[0])):
            raise Outside(f"{event} {given[0]!r}")

    def _is_outside(self, path: Any) -> bool:
        place = os.path.realpath(os.fsdecode(path))
        return not place.startswith(os.path.realpath(self.workspace))


def _too_long(*_: Any) -> None:
    raise TooLong


def _peak() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def _told(error: BaseException) -> str:
    """The kind of error and the innermost line of this program it came from."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if f"{os.sep}surveyapp{os.sep}" in frame.filename]
    place = f" at {Path(ours[-1].filename).name}:{ours[-1].lineno}" if ours else ""
    return f"{type(error).__name__}{place}"


def changed(seeds: list[bytes], chance: random.Random) -> Iterator[bytes]:
    """Sound files changed in one to eight places, for ever."""
    while True:
        content = bytearray(chance.choice(seeds))
        for _ in range(chance.randint(1, 8)):
            _change(content, seeds, chance)
        yield bytes(content)


def _change(content: bytearray, seeds: list[bytes], chance: random.Random) -> None:
    place = chance.randrange(len(content) + 1)
    end = min(len(content), place + chance.choice((1, 1, 2, 4, 30, 400)))
    match chance.randrange(6):
        case 0 if place < len(content):
            content[place] ^= 1 << chance.randrange(8)
        case 1:
            del content[place:end]
        case 2:
            content[place:place] = content[place:end] * chance.choice((1, 2, 50))
        case 3:
            content[place:place] = chance.choice(PIECES)
        case 4:
            content[place:end] = chance.choice(PIECES)
        case _:
            other = chance.choice(seeds)
            start = chance.randrange(len(other) + 1)
            content[place:end] = other[start : start + 40]


def _guided(trial: Trial, seeds: list[bytes]) -> None:
    """Never comes back: the process ends with its last case."""
    import atheris

    corpus, pieces = trial.folder / "corpus", trial.folder / "pieces.txt"
    corpus.mkdir(exist_ok=True)
    for number, seed in enumerate(seeds):
        (corpus / f"seed{number}").write_bytes(seed)
    escaped = ("".join(f"\\x{byte:02x}" for byte in piece) for piece in PIECES)
    pieces.write_text("".join(f'"{text}"\n' for text in escaped))

    def one(content: bytes) -> None:
        trial.run(content)
        if trial.cases >= trial.most:
            os._exit(0)

    told = (f"-dict={pieces}", "-rss_limit_mb=0", "-timeout=300", "-seed=1", "-verbosity=0")
    atheris.Setup(["fuzz", *told, f"-artifact_prefix={trial.folder}/", str(corpus)], one)
    atheris.Fuzz()


def main(name: str, place: str, most: int, guided: bool) -> None:
    """Fuzz a reader."""
    sys.dont_write_bytecode = True
    guided = guided and importlib.util.find_spec("atheris") is not None
    instrumented: contextlib.AbstractContextManager[Any] = contextlib.nullcontext()
    if guided:
        import atheris

        instrumented = atheris.instrument_imports(include=["surveyapp", "gpxpy"])
    with instrumented:
        from tests.benchmarks.fuzz_readers import TARGETS
    warnings.simplefilter("error")
    target, folder = TARGETS[name], Path(place)
    trial = Trial(name, target, folder, most)
    with tempfile.TemporaryDirectory(dir=folder) as made:
        seeds = target.seeds(Path(made))
    os.chdir(trial.workspace)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    if guided:
        _guided(trial, seeds)
    for content, _ in zip(changed(seeds, random.Random(1)), range(most), strict=False):
        trial.run(content)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]), sys.argv[4:] == ["guided"])
