"""Writing is complete or not at all: killed, on a full disk, in parallel."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from pennyweight.errors import WorkbookError
from pennyweight.workbook import files
from pennyweight.workbook.files import write_whole
from tests.thorough import sampled

OLD, SIZE = b"the old file", 3_000_000
ROOT = Path(__file__).parents[2]

WRITER = """
import sys
from pathlib import Path
from pennyweight.workbook.files import write_whole
path, size = Path(sys.argv[1]), int(sys.argv[2])
print("ready", flush=True)
for number in range(10_000):
    write_whole(path, bytes([65 + number % 26]) * size, force=True)
"""


def start_writer(path):
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), str(SIZE)], stdout=subprocess.PIPE
    )
    assert writer.stdout.readline() == b"ready\n"
    return writer


def litter(path):
    return sorted(p.name for p in path.parent.iterdir() if p != path)


def aged(folder):
    """Make what lies there look a minute old."""
    for left in folder.glob(".*"):
        os.utime(left, (time.time() - 60,) * 2)


@pytest.mark.parametrize(("seed", "kills"), sampled([(7, 10), (8, 40)], 2))
def test_killed_at_random_points_the_file_is_whole(seed, kills, tmp_path):
    """Always one of the versions, complete; what is left behind goes at the next."""
    path = tmp_path / "book.xlsx"
    path.write_bytes(OLD)
    generator = random.Random(seed)
    writer, left = None, 0
    for _ in range(kills):
        writer = start_writer(path)
        time.sleep(generator.uniform(0, 0.05))
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        content = path.read_bytes()
        assert content == OLD or (len(content) == SIZE and len(set(content)) == 1)
        names = litter(path)
        left += len(names)
        assert all(n.startswith(".book.xlsx.") and n.endswith(".part") for n in names)
    assert left  # some were caught in the middle of writing
    aged(tmp_path)
    write_whole(path, b"new", force=True)
    assert path.read_bytes() == b"new" and litter(path) == []


def test_a_living_writers_part_is_left_alone(tmp_path):
    path, other = tmp_path / "book.xlsx", tmp_path / ".book.xlsx.pennyweight-abcd.part"
    with other.open("wb") as held:
        files._hold(held)
        aged(tmp_path)
        write_whole(path, b"new")
        assert other.exists()
    aged(tmp_path)
    write_whole(path, b"newer", force=True)
    assert not other.exists()


WRITING = [
    (("functions, macros",), "3 kills, 9 full disks"),
    (("excel refresh", "functions, macros"), "6 kills, 28 full disks"),
]


@pytest.mark.parametrize(("names", "tried"), sampled(WRITING, 2))
def test_commands_that_are_killed_or_fill_the_disk_leave_whole_files(names, tried):
    """Two of them; ``python -m tests.fuzz.commands`` tries every one that writes."""
    kills = str(3 * len(names))
    command = [sys.executable, "-m", "tests.fuzz.commands", kills, "0", *names]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"{tried}; 0 faults" in done.stdout


@pytest.fixture
def small_disk(tmp_path):
    """A disk of its own of 256 kB, where the system lets us have one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(folder)]
    try:
        subprocess.run(command, check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("A small disk can be mounted by root only.")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk_leaves_the_old_file(small_disk):
    path = small_disk / "book.xlsx"
    write_whole(path, OLD)
    with pytest.raises(WorkbookError, match="No space left"):
        write_whole(path, b"x" * SIZE, force=True)
    assert path.read_bytes() == OLD and litter(path) == []
    (small_disk / "rest").write_bytes(b"x" * 100_000)
    with pytest.raises(WorkbookError, match="No space left"):
        write_whole(path, b"x" * 200_000, force=True)
    assert path.read_bytes() == OLD


@pytest.mark.parametrize("failing", ["fsync", "chmod", "replace"])
def test_a_step_that_fails_leaves_the_old_file(tmp_path, monkeypatch, failing):
    path = tmp_path / "book.xlsx"
    path.write_bytes(OLD)

    def fail(*_arguments):
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(files.os, failing, fail)
    with pytest.raises(WorkbookError, match="Input/output error"):
        write_whole(path, b"new", force=True)
    assert path.read_bytes() == OLD and litter(path) == []


def test_an_interrupt_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "book.xlsx"
    path.write_bytes(OLD)

    def interrupt(_handle):
        raise KeyboardInterrupt

    monkeypatch.setattr(files.os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_whole(path, b"new", force=True)
    assert path.read_bytes() == OLD and litter(path) == []


def test_rights_and_links_stay(tmp_path):
    path, link = tmp_path / "book.xlsx", tmp_path / "link.xlsx"
    path.write_bytes(OLD)
    path.chmod(0o600)
    link.symlink_to(path)
    write_whole(link, b"new", force=True)
    assert link.is_symlink() and path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o600


def test_readers_see_whole_files_only(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(OLD)
    writer = start_writer(path)
    try:
        end = time.monotonic() + 1
        while time.monotonic() < end:
            content = path.read_bytes()
            assert content == OLD or (len(content) == SIZE and len(set(content)) == 1)
    finally:
        writer.kill()
        writer.wait()
        writer.stdout.close()


def test_a_name_with_odd_signs(tmp_path):
    path = tmp_path / "book [old] *?.xlsx"
    write_whole(path, b"new")
    assert path.read_bytes() == b"new" and litter(path) == []
    assert Path(path).name in os.listdir(tmp_path)


def test_a_part_file_of_another_program_stays(tmp_path):
    path, other = tmp_path / "book.xlsx", tmp_path / ".book.xlsx.download.part"
    other.write_bytes(b"theirs")
    aged(tmp_path)
    write_whole(path, b"new")
    assert other.read_bytes() == b"theirs"


@pytest.mark.parametrize("lock", ["~$book.xlsx", ".~lock.book.xlsx#"])
def test_a_lock_beside_what_a_link_points_to_counts(tmp_path, lock):
    (tmp_path / "there").mkdir()
    path, link = tmp_path / "there" / "book.xlsx", tmp_path / "link.xlsx"
    path.write_bytes(OLD)
    link.symlink_to(path)
    path.with_name(lock).write_text("someone")
    with pytest.raises(WorkbookError, match="open in another program"):
        write_whole(link, b"new", force=True)
    assert path.read_bytes() == OLD


def test_the_owner_stays(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(OLD)
    try:
        os.chown(path, 12345, 23456)
    except PermissionError:
        pytest.skip("Only root can give a file away.")
    path.chmod(0o640)
    write_whole(path, b"new", force=True)
    status = path.stat()
    assert (status.st_uid, status.st_gid, status.st_mode & 0o777) == (
        12345,
        23456,
        0o640,
    )


def test_an_owner_that_cannot_be_kept_is_not_lost(tmp_path, monkeypatch):
    path = tmp_path / "book.xlsx"
    path.write_bytes(OLD)

    def refuse(*_arguments):
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(files, "_owner_differs", lambda *_: True)
    monkeypatch.setattr(files.os, "chown", refuse)
    with pytest.raises(WorkbookError, match="belongs to another user"):
        write_whole(path, b"new", force=True)
    assert path.read_bytes() == OLD and litter(path) == []


def test_extended_attributes_stay(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(OLD)
    try:
        os.setxattr(path, "user.comment", b"from the partner")
    except (OSError, AttributeError):
        pytest.skip("This file system keeps no extended attributes.")
    write_whole(path, b"new", force=True)
    assert os.getxattr(path, "user.comment") == b"from the partner"


def test_what_was_written_is_known(tmp_path):
    path = tmp_path / "book.xlsx"
    write_whole(path, b"new")
    assert path in files.WRITTEN


def test_a_folder_that_cannot_be_made_is_reported(monkeypatch):
    def fail(**_options):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.tempfile, "TemporaryDirectory", fail)
    with pytest.raises(WorkbookError, match="Cannot write in"), files.scratch_folder():
        pass
