"""Files written whole or not at all, through links, never over what is no ordinary file; one writer at a time."""

from __future__ import annotations

import os
import stat
import time
from codecs import BOM_UTF8
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

PATIENCE = 10.0  # s: how long a writer waits for another one to be done
_PAUSE = 0.02  # s
_ENDS = 8192  # bytes at either end that are looked at to tell whose file it is


class DiskError(Exception):
    """A file that cannot be written; the message names it and says what to do."""


def write_whole(path: Path, content: bytes | str) -> None:
    """Write a file whole or not at all, over what was there; text as UTF-8.

    A link stays and what it points to is written; a file that is there keeps its permissions.

    Raises:
        DiskError: the place cannot be written to.
    """
    write_all({path: content})


def rewrite(texts: Mapping[Path, str]) -> None:
    """Write changed texts, all of them or none; a file that began with a byte order mark keeps it.

    Raises:
        DiskError: one of the places cannot be written to; every file is as it was.
    """
    write_all({path: byte_order_mark(path) + text for path, text in texts.items()})


def byte_order_mark(path: Path) -> str:
    """The mark that a file begins with, as some editors write it; empty where there is none."""
    with suppress(OSError), ordinary(path).open("rb") as file:
        return "\ufeff" if file.read(len(BOM_UTF8)) == BOM_UTF8 else ""
    return ""


def write_all(contents: Mapping[Path, bytes | str]) -> None:
    """Write several files, all of them or none.

    Raises:
        DiskError: one of the places cannot be written to; every file is as it was.
    """
    with ExitStack() as scraps:
        ready: list[tuple[Path, Path, Path | None]] = []
        for path, content in contents.items():
            with _told(path):
                target = ordinary(path)
                part = _beside(target, scraps)
                with _created(part, target) as file:
                    file.write(content.encode() if isinstance(content, str) else content)
                old = _kept(target, scraps) if len(contents) > 1 else None
                ready.append((target, part, old))
        done: list[tuple[Path, Path | None]] = []
        try:
            for path, (target, part, old) in zip(contents, ready, strict=True):
                with _told(path):
                    os.replace(part, target)
                done.append((target, old))
        except BaseException:
            for target, old in done:
                if old is None:
                    target.unlink(missing_ok=True)
                else:
                    os.replace(old, target)
            raise


@contextmanager
def replacing(path: Path) -> Iterator[BinaryIO]:
    """A file to write to, which takes the place of `path` if no error comes.

    Raises:
        DiskError: the place cannot be written to.
    """
    with ExitStack() as scraps:
        with _told(path):
            target = ordinary(path)
            part = _beside(target, scraps)
        with _told(path), _created(part, target) as file:
            yield file
        with _told(path):
            os.replace(part, target)


@contextmanager
def held(path: Path, patience: float = PATIENCE) -> Iterator[None]:
    """Keep other programs of drytank from changing a file, as long as it is read, changed and written.

    The lock is a file beside it, which the system lets go of when the program ends, however it ends.

    Raises:
        DiskError: another program has held it for `patience` seconds, or there is no place for the lock.
    """
    target = ordinary(path)
    lock = target.with_name(f".{target.name}.lock")
    until = time.monotonic() + patience
    while True:
        with _told(path):
            handle = os.open(lock, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o666)
        try:
            if _locked(handle) and _is_still(lock, handle):
                try:
                    yield
                finally:
                    with suppress(OSError):  # Windows does not remove a file that is open; it may stay
                        lock.unlink()
                return
        finally:
            os.close(handle)
        if time.monotonic() > until:
            raise DiskError(
                f"{path} is being written by another drytank; wait until it is done and try again."
            )
        time.sleep(_PAUSE)


def ordinary(path: Path) -> Path:
    """The ordinary file, there or not yet, that a name stands for: links are followed.

    Raises:
        DiskError: the name stands for anything else, or for nothing that can be.
    """
    with _told(path):
        try:
            target = Path(os.path.realpath(path))
            mode = os.lstat(target).st_mode
        except ValueError:
            raise DiskError(f"{str(path)!r} cannot be written: no file can have that name.") from None
        except FileNotFoundError:
            mode = stat.S_IFREG
        except NotADirectoryError:
            raise DiskError(f"{path} cannot be written: {path.parent} is no folder; name another.") from None
        if stat.S_ISDIR(mode):
            raise DiskError(f"{path} cannot be written: this is a folder; add a file's name to it.")
        if not stat.S_ISREG(mode):
            raise DiskError(
                f"{path} cannot be written: this is no ordinary file (a pipe, a device or a link to itself); "
                "name another."
            )
        if not target.parent.is_dir():
            raise DiskError(
                f"{path} cannot be written: there is no folder {target.parent if path.is_symlink() else path.parent}; "
                "make it first, or name another."
            )
        return target


def is_foreign(path: Path, ours: Callable[[bytes], bool]) -> bool:
    """Whether something stands at `path` that is not empty and that `ours` does not know by its first and last bytes.

    Raises:
        DiskError: the place cannot be written to, or what is there cannot be read.
    """
    target = ordinary(path)
    with _told(path):
        if not target.exists():
            return False
        with target.open("rb") as file:
            ends = file.read(_ENDS)
            file.seek(max(file.tell(), os.fstat(file.fileno()).st_size - _ENDS))
            ends += file.read(_ENDS)
    return bool(ends) and not ours(ends)


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """Errors of the system as a sentence about the file that was named."""
    try:
        yield
    except OSError as fault:
        raise DiskError(f"{path} cannot be written: {fault.strerror or fault}.") from fault


def _beside(target: Path, scraps: ExitStack) -> Path:
    """A name beside a file that nothing has yet, and that nothing has afterwards."""
    part = target.with_name(f".{target.name[:100]}.{os.urandom(6).hex()}")
    scraps.callback(lambda: part.unlink(missing_ok=True))
    return part


@contextmanager
def _created(part: Path, target: Path) -> Iterator[BinaryIO]:
    """A new file, with the permissions and the owner of the one whose place it will take."""
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(handle, "wb") as file:
        with suppress(FileNotFoundError):
            old = os.stat(target)
            if not os.access(target, os.W_OK):
                raise PermissionError(13, "it is write-protected")
            if hasattr(os, "fchown"):
                with suppress(OSError):
                    os.fchown(handle, old.st_uid, old.st_gid)
            os.chmod(part, stat.S_IMODE(old.st_mode))
        yield file
        file.flush()
        os.fsync(handle)


def _kept(target: Path, scraps: ExitStack) -> Path | None:
    """A second name for what a file holds now, to bring it back by; None if there is no file."""
    if not target.exists():
        return None
    old = _beside(target, scraps)
    try:
        os.link(target, old)
    except OSError:  # a file system without links
        with _created(old, target) as file:
            file.write(target.read_bytes())
    return old


def _locked(handle: int) -> bool:
    try:
        import fcntl
    except ImportError:  # Windows
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        except OSError:
            return False
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _is_still(lock: Path, handle: int) -> bool:
    """Whether the lock that was taken is the file of that name, and not one that its owner has just removed."""
    try:
        return os.path.samestat(os.stat(lock), os.fstat(handle))
    except OSError:
        return False
