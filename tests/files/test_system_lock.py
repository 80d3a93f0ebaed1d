"""The system's lock: one holder at a time, whichever way each of them locks."""

from __future__ import annotations

import gc
import os
import threading

import pytest

from inspect_tui.files.log.system_lock import PortableLock, SystemLock

pytestmark = pytest.mark.skipif(
    os.name != "posix", reason="elsewhere the library's is the only one"
)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "log.lock"


@pytest.mark.parametrize("first", [SystemLock, PortableLock])
@pytest.mark.parametrize("second", [SystemLock, PortableLock])
def test_one_holds_it_and_the_next_has_it_afterwards(path, first, second):
    one, other = first(path), second(path)
    assert one.acquire(0.0) and one.is_held
    assert not other.acquire(0.0) and not other.is_held
    one.release()
    one.release()
    assert not one.is_held
    assert other.acquire(0.0)
    other.release()
    assert path.exists()
    assert path.stat().st_mode & 0o777 == 0o600


def test_it_waits_for_who_gives_it_back(path):
    one, other = SystemLock(path), SystemLock(path)
    assert one.acquire(0.0)
    waits = threading.Event()

    def give_back():
        waits.wait()
        one.release()

    helper = threading.Thread(target=give_back)
    helper.start()
    waits.set()
    assert other.acquire(60.0)
    helper.join()
    other.release()


def test_a_process_that_was_split_off_gives_nothing_back(path):
    one, other = SystemLock(path), SystemLock(path)
    assert one.acquire(0.0)
    child = os.fork()
    if not child:
        one.release()
        os._exit(0)
    os.waitpid(child, 0)
    assert not other.acquire(0.0)
    one.release()
    assert other.acquire(0.0)


def test_who_gives_it_back_has_no_child_that_holds_it(path):
    one, other = SystemLock(path), SystemLock(path)
    assert one.acquire(0.0)
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.close(writing)
        os.read(reading, 1)  # until the parent is done
        os._exit(0)
    one.release()
    assert other.acquire(0.0)
    os.close(writing)
    os.waitpid(child, 0)
    os.close(reading)


def test_a_lock_file_that_was_deleted_locks_nobody(path, monkeypatch):
    """Between its opening and its locking: another file is the lock by then."""
    import inspect_tui.files.log.system_lock as module

    real, times = module.fcntl.flock, []

    def deleted_once(descriptor, how):
        if not times:
            path.unlink()
        times.append(how)
        real(descriptor, how)

    monkeypatch.setattr(module.fcntl, "flock", deleted_once)
    one = SystemLock(path)
    assert one.acquire(1.0)
    monkeypatch.undo()
    assert path.exists()
    assert not SystemLock(path).acquire(0.0)


def test_what_nobody_can_give_back_any_more_is_free(path):
    assert SystemLock(path).acquire(0.0)
    gc.collect()
    assert SystemLock(path).acquire(0.0)
