"""Files written whole or not at all: what a killed run leaves is hidden, and swept away by the next one.

Everything is made in a hidden folder beside its destination, on the same disk, locked by its run while that
lives; a rename then shows it. A hidden folder that nobody locks belongs to a run that was killed.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import IO

from geometry.errors import InputError, Problem

MANIFEST = "manifest.json"


@contextmanager
def output_folder(folder: Path) -> Iterator[Path]:
    """Give a hidden folder to write in; when the block ends well, its files appear in `folder`.

    A new `folder` appears in one step. In one that exists, files are replaced one by one, each whole, the old
    manifest going first and the new one coming last: a manifest never speaks of files of another run. Files
    that this run does not write stay. If the block raises, nothing has changed. Raises InputError where the
    folder cannot be written.
    """
    destination = folder.resolve()
    with ExitStack() as stack:
        with _said_plainly(folder):
            destination.parent.mkdir(parents=True, exist_ok=True)
            if destination.exists() and not destination.is_dir():
                raise NotADirectoryError(0, "it is a file, and a folder is needed")
            _sweep(destination.parent, destination.name)
            place = destination if destination.is_dir() else destination.parent
            work = stack.enter_context(_hidden_folder(place, destination.name)) / "files"
            work.mkdir()
        yield work
        with _said_plainly(folder):
            _publish(work, destination)


def write_bytes(path: Path, data: bytes) -> None:
    """Write a file whole or not at all, in place of an older one. Raises InputError where it cannot be."""
    with _said_plainly(path):
        destination = path.resolve()
        with _hidden_folder(destination.parent, destination.name) as hidden:
            (hidden / "data").write_bytes(data)
            _sync(hidden / "data")
            os.replace(hidden / "data", destination)
        _sync(destination.parent)


def write_text(path: Path, text: str) -> None:
    """Write a text (UTF-8, line feeds) as `write_bytes` does."""
    write_bytes(path, text.encode())


def write_new(path: Path, text: str) -> None:
    """Write a text as `write_text` does; refuse (InputError) to touch a file that is there."""
    if os.path.lexists(path):
        problem = Problem("it exists already, nothing was written", "give another name", file=str(path))
        raise InputError(problem)
    write_text(path, text)


def _publish(work: Path, destination: Path) -> None:
    """Show the finished files at their destination."""
    names = sorted(path.relative_to(work) for path in work.rglob("*") if path.is_file())
    for name in names:
        _sync(work / name)
    if destination.is_dir():
        for name in names:
            if (destination / name).is_dir():
                raise IsADirectoryError(0, f"{name} is a folder there")
        (destination / MANIFEST).unlink(missing_ok=True)
        for name in sorted(names, key=lambda name: name == Path(MANIFEST)):
            (destination / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(work / name, destination / name)
    else:
        os.rename(work, destination)
    _sync(destination)
    _sync(destination.parent)


@contextmanager
def _hidden_folder(place: Path, name: str) -> Iterator[Path]:
    """Make a hidden folder, locked while the block lasts and removed after it; sweep those of killed runs."""
    _sweep(place, name)
    while True:
        hidden = Path(tempfile.mkdtemp(prefix=_prefix(name), dir=place))
        lock = _locked(hidden)
        if lock is not None:  # else a sweep of another run came between the two lines: take a new one
            break
    try:
        yield hidden
    finally:
        lock.close()
        shutil.rmtree(hidden, ignore_errors=True)


def _sweep(place: Path, name: str) -> None:
    """Remove the hidden folders of runs that were killed."""
    for hidden in [path for path in place.iterdir() if path.name.startswith(_prefix(name)) and path.is_dir()]:
        lock = _locked(hidden)
        if lock is not None:
            lock.close()
            shutil.rmtree(hidden, ignore_errors=True)


def _prefix(name: str) -> str:
    return f".{name}.unfinished-"


def _locked(hidden: Path) -> IO[bytes] | None:
    """Lock a hidden folder for as long as the returned file is open; None if another living run has it."""
    try:
        stream = open(hidden / "lock", "ab")  # noqa: SIM115 -- the open file is the lock and outlives this function
    except OSError:
        return None
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        stream.close()
        return None
    return stream


def _sync(path: Path) -> None:
    """Have a file, or the entries of a folder, put on the disk before going on."""
    if path.is_dir() and os.name == "nt":  # folders cannot be opened there
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _said_plainly(path: Path) -> Iterator[None]:
    """Turn the system's complaint into a message about the path that the user gave."""
    try:
        yield
    except OSError as failure:
        reason = failure.strerror or str(failure)
        repair = "give another place, or make room and the right to write there"
        raise InputError(Problem(f"cannot be written: {reason}", repair, file=str(path))) from failure
