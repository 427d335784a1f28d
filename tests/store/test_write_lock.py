from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from herdscore.domain.changes import adding
from herdscore.errors import Problem
from herdscore.store.herd_file import HerdFile
from herdscore.store.lock import WriteLock
from tests.store.small_herd import LAPTOP, OTHER_LAPTOP, as_set, names_in, score

HOLDS_THE_FILE = """
import sys
from pathlib import Path
from herdscore.store.herd_file import HerdFile
herd = HerdFile.open(Path(sys.argv[1]), laptop="b" * 32)
print("read only" if herd.read_only else "writes", flush=True)
sys.stdin.read()
"""


def test_that_a_second_window_only_looks_and_says_so(herd: HerdFile, path: Path) -> None:
    with HerdFile.open(path, laptop=LAPTOP) as second:
        assert second.read_only
        assert "Another window is writing this herd" in second.why_read_only
        assert as_set(second.read()) == as_set(herd.read())
        with pytest.raises(Problem, match="Another window"):
            second.apply(adding("score", [score("new")]), "Bea")
    # Closing the window that looks must not take the other's lock.
    with HerdFile.open(path, laptop=LAPTOP) as third:
        assert third.read_only
    herd.close()
    with HerdFile.open(path, laptop=OTHER_LAPTOP) as fourth:
        assert not fourth.read_only
        assert fourth.why_read_only == ""


def test_that_a_file_reached_by_another_name_is_still_one_file(herd: HerdFile, path: Path) -> None:
    link = path.with_name("link.herd")
    link.symlink_to(path)
    with HerdFile.open(link, laptop=LAPTOP) as second:
        assert second.read_only


def test_that_the_right_to_write_dies_with_the_process_that_had_it(herd: HerdFile, path: Path) -> None:
    herd.close()
    command = [sys.executable, "-c", HOLDS_THE_FILE, str(path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "writes\n"
        with HerdFile.open(path, laptop=LAPTOP) as here:
            assert here.read_only
        other.kill()
    with HerdFile.open(path, laptop=LAPTOP) as here:
        assert not here.read_only
    assert names_in(path.parent) == [path.name]


def test_that_no_two_ever_hold_the_lock_while_many_take_it_and_give_it_back(tmp_path: Path) -> None:
    holding: list[int] = []
    most: list[int] = []

    def take_and_give_back(who: int) -> None:
        taken = 0
        while taken < 50:
            lock = WriteLock(tmp_path / "a.herd")
            if lock.take():
                taken += 1
                holding.append(who)
                for _ in range(20):
                    tmp_path.exists()  # lets the others run meanwhile
                most.append(len(holding))
                holding.remove(who)
                lock.release()

    usual = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)  # threads cut in between any two lines
    try:
        with ThreadPoolExecutor(4) as pool:
            list(pool.map(take_and_give_back, range(4)))
    finally:
        sys.setswitchinterval(usual)
    assert most == [1] * 200
    assert names_in(tmp_path) == []


def test_that_a_folder_where_no_lock_can_be_made_gives_a_window_that_looks(herd: HerdFile, path: Path) -> None:
    herd.close()
    path.with_name(f"{path.name}-lock").mkdir()  # as root, no folder refuses a new file
    with HerdFile.open(path, laptop=LAPTOP) as looking:
        assert looking.read_only
        assert "may only be read" in looking.why_read_only
        assert len(looking.read().cows) == 2


def test_that_writing_needs_the_identity_of_the_laptop(herd: HerdFile, path: Path) -> None:
    herd.close()
    with pytest.raises(ValueError, match="laptop"):
        HerdFile.open(path)
