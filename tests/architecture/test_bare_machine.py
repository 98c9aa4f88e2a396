"""The README's two commands in an empty Debian root that has Python and nothing else.

debootstrap lays the root out, a mount namespace closes it off, and a clean copy of this checkout is
all that goes in. Takes the time of two installations and of the whole suite.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from fitcheck.workspace.digests import DIGESTS
from tests.cli.commands import ROOT

PACKAGES = "python3,python3-venv,ca-certificates"
PASSED_ON = ("etc/resolv.conf", "etc/hosts", "etc/pip.conf", "etc/ssl/certs/ca-certificates.crt")
"""How this machine reaches its package index, as far as it needs files."""
KEPT = re.compile(r"(pip|ssl|requests|curl)_.*|.*_proxy", re.IGNORECASE)
"""Variables of the environment that say how to reach it."""
TOOLS = ("debootstrap", "unshare", "chroot", "git")

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The empty root with a clean copy of the project in /project."""
    lacking = [tool for tool in TOOLS if shutil.which(tool) is None]
    if lacking:
        pytest.skip(f"an empty root needs {', '.join(lacking)}")
    if os.geteuid() != 0 or subprocess.run(["unshare", "--mount", "true"], check=False).returncode:
        pytest.skip("an empty root needs the right to mount and chroot")
    suite = re.search(r"VERSION_CODENAME=(\w+)", Path("/etc/os-release").read_text())
    if suite is None:
        pytest.skip("an empty root needs a Debian system")
    place = tmp_path_factory.mktemp("bare") / "root"
    made = subprocess.run(
        ["debootstrap", "--variant=minbase", f"--include={PACKAGES}", suite[1], str(place)],
        capture_output=True,
        text=True,
        check=False,
    )
    if made.returncode:
        pytest.skip(f"debootstrap could not lay out the root: {made.stdout.strip()[-200:]}")
    for name in PASSED_ON:
        if Path("/", name).is_file():
            (place / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(Path("/", name), place / name)
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True)
    for name in listed.stdout.decode().split("\0"):
        if name and (ROOT / name).is_file():
            (place / "project" / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, place / "project" / name)
    yield place
    shutil.rmtree(place, ignore_errors=True)


def inside(root: Path, command: str) -> subprocess.CompletedProcess[str]:
    """Run a shell line in the root: its own mounts and processes, nothing of this machine's."""
    enter = (
        'mount --make-rprivate / && mount -t proc proc "$0/proc" && mount --rbind /dev "$0/dev" '
        '&& exec chroot "$0" /bin/bash -c "$1"'
    )
    kept = {key: value for key, value in os.environ.items() if KEPT.fullmatch(key)}
    return subprocess.run(
        ["unshare", "--mount", "--pid", "--fork", "bash", "-c", enter, str(root), command],
        env=kept | {"HOME": "/root", "PATH": "/usr/sbin:/usr/bin:/sbin:/bin", "LANG": "C.UTF-8"},
        capture_output=True,
        text=True,
        check=False,
    )


def readme_commands() -> list[str]:
    return re.findall(r"^    (python3 -m venv .*)$", (ROOT / "README.md").read_text(), re.MULTILINE)


def test_the_root_is_empty(root: Path) -> None:
    """It lacks what the tests and a solid modeller might want of a machine."""
    names = {path.name for path in (root / "usr").rglob("*")}
    assert not [name for name in names if name.startswith(("libGL", "libX11", "libEGL"))]
    for tool in ("chromium", "admesh", "git"):
        assert not (root / "usr" / "bin" / tool).exists()


def test_the_first_command_makes_everything(root: Path) -> None:
    first, _ = readme_commands()
    ran = inside(root, f"cd /project && {first}")
    assert ran.returncode == 0, ran.stdout[-2000:] + ran.stderr[-2000:]
    assert "left out" not in ran.stderr
    folder = root / "project" / "fitcheck-demo" / "dummies"
    made = {path.name for path in folder.iterdir()} - {DIGESTS}
    stems = ("dummy-card-id1", "dummy-harbour-outside", "dummy-harbour-inside",
             "dummy-harbour-box", "folded-base", "folded-lid")  # fmt: skip
    wanted = {f"{stem}.{ending}" for stem in stems for ending in ("stl", "3mf")}
    assert made == wanted | {"folded-base.step", "folded-lid.step"}
    step = inside(root, "cd /project && .venv/bin/fitcheck dummy harbour -o asked --step")
    assert step.returncode == 0, step.stderr
    assert len(list((root / "project" / "asked").glob("*.step"))) == len(stems)


def test_the_second_command_fails_no_test(root: Path) -> None:
    _, second = readme_commands()
    ran = inside(root, f"cd /project && {second} -rs")
    assert ran.returncode == 0, ran.stdout[-4000:] + ran.stderr[-2000:]
    assert re.search(r"\d+ passed", ran.stdout)
    skipped = re.findall(r"^SKIPPED .*", ran.stdout, re.MULTILINE)
    assert all(":" in line and "unconditional" not in line for line in skipped)
