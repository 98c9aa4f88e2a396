"""Machines that lack a library: all the rest is made, and one last line says what helps.

A folder that comes first on the child's path holds a module that fails to load as the dynamic
linker or the interpreter has it; nothing in the program is changed.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

from fitcheck.workspace.digests import DIGESTS
from tests.cli.commands import ROOT, Ran

LINKER = "ImportError('libGL.so.1: cannot open shared object file: No such file or directory')"
"""What the dynamic linker says of a library that is missing (glibc's words)."""
BROKEN = "AttributeError('built for another version')"
PRINTED = {
    f"{stem}.{ending}"
    for stem in (
        "dummy-card-id1", "dummy-harbour-outside", "dummy-harbour-inside", "dummy-harbour-box",
        "folded-base", "folded-lid",
    )
    for ending in ("stl", "3mf")
}  # fmt: skip
BASE_SYSTEM = re.compile(
    r"(ld-linux[-\w]*|lib(c|m|dl|rt|pthread|util|gcc_s|stdc\+\+|z|bz2|lzma|expat|ffi|crypto|ssl|"
    r"uuid|nss_\w+|resolv|atomic|python3[.\d]*|sqlite3|mpdec\S*|libmpdec|crypt|zstd|bsd|md)"
    r"[-.\d]*)\.so[.\d]*"
)
"""What a Debian system with Python holds (package lists of minbase and python3)."""


def without(module: str, error: str, *arguments: str, cwd: Path) -> Ran:
    """Run `fitcheck` where a top-level module cannot load."""
    hidden = cwd / "hidden" / module
    hidden.mkdir(parents=True, exist_ok=True)
    (hidden / "__init__.py").write_text(f"raise {error}\n")
    done = subprocess.run(
        [sys.executable, "-c", "from fitcheck.cli.main import run; run()", *arguments],
        cwd=cwd,
        env=os.environ | {"PYTHONPATH": f"{hidden.parent}{os.pathsep}{ROOT}", "COLUMNS": "100"},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)


def names(folder: Path) -> set[str]:
    found = {path.name for path in folder.iterdir()} if folder.exists() else set()
    return found - {DIGESTS}


@pytest.mark.parametrize("error", [LINKER, BROKEN])
def test_demo_without_the_modeller_makes_all_but_step(tmp_path: Path, error: str) -> None:
    ran = without("netgen", error, "demo", "bench", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert names(tmp_path / "bench" / "dummies") == PRINTED
    assert "everything fits" in ran.out and "ready to print" in ran.out
    assert "fitcheck list items" in ran.out.splitlines()[-1]
    said = ran.err.strip().splitlines()
    assert len(said) == 1 and "Traceback" not in ran.err
    assert said[0].startswith("fitcheck: left out: STEP files need")
    assert "netgen-mesher" in said[0] and "install" in said[0]
    assert ("libGL.so.1" in said[0]) == (error is LINKER)
    solid = trimesh.load_mesh(tmp_path / "bench" / "dummies" / "folded-base.stl")
    assert solid.is_watertight and solid.volume > 0


def test_demo_without_the_mesh_library_still_checks(tmp_path: Path) -> None:
    ran = without("manifold3d", LINKER, "demo", "bench", cwd=tmp_path)
    assert ran.status == 3
    assert "everything fits" in ran.out and "What to type next" in ran.out
    assert "ready to print" not in ran.out and not (tmp_path / "bench" / "dummies").exists()
    assert (tmp_path / "bench" / "models" / "harbour.toml").is_file()
    said = ran.err.strip().splitlines()
    assert len(said) == 1 and "stand-ins need the Python package manifold3d" in said[0]


def test_dummy_tells_step_as_left_out_or_as_an_error_when_asked_for(tmp_path: Path) -> None:
    plain = without("netgen", LINKER, "dummy", "harbour", "-o", "d", cwd=tmp_path)
    assert plain.status == 0 and names(tmp_path / "d") == PRINTED
    assert plain.err.startswith("fitcheck: left out: STEP") and len(plain.err.splitlines()) == 1
    asked = without("netgen", LINKER, "dummy", "harbour", "-o", "e", "--step", cwd=tmp_path)
    assert asked.status == 3 and names(tmp_path / "e") == PRINTED
    assert asked.err.startswith("fitcheck: STEP files need") and "netgen-mesher" in asked.err
    blocks = without(
        "netgen", LINKER, "dummy", "harbour", "-o", "f", "--only", "inside", cwd=tmp_path
    )
    assert blocks.status == 0 and blocks.err == ""


def test_dummy_without_the_mesh_library_writes_nothing(tmp_path: Path) -> None:
    ran = without("manifold3d", LINKER, "dummy", "harbour", "-o", "d", cwd=tmp_path)
    assert ran.status == 3 and not (tmp_path / "d").exists()
    assert len(ran.err.splitlines()) == 1 and "manifold3d" in ran.err


def test_check_needs_neither(tmp_path: Path) -> None:
    for module in ("netgen", "manifold3d"):
        assert without(module, LINKER, "check", "harbour", "--no-odds", cwd=tmp_path).status == 0


@pytest.mark.skipif(sys.platform != "linux", reason="a process shows what it has loaded in /proc")
def test_stand_ins_load_no_graphics_library_of_the_system(tmp_path: Path) -> None:
    """Whatever a bare Debian lacks must come with the Python packages."""
    script = (
        "import json, pathlib, sys\n"
        "from fitcheck.cli.main import app\n"
        "app(['dummy', 'harbour', '-o', 'd', '--step'], standalone_mode=False)\n"
        "maps = pathlib.Path('/proc/self/maps').read_text().splitlines()\n"
        "loaded = {line.split()[-1] for line in maps if '.so' in line.split()[-1]}\n"
        "print(json.dumps(sorted(loaded)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
    )
    loaded = [Path(path) for path in json.loads(done.stdout.splitlines()[-1])]
    assert any("manifold3d" in path.name for path in loaded)
    ours = (Path(sys.prefix).resolve(), Path(sys.base_prefix).resolve() / "lib" / "python3")
    system = {
        path.name
        for path in loaded
        if not any(str(path.resolve()).startswith(str(place)) for place in ours)
    }
    assert {name for name in system if not BASE_SYSTEM.fullmatch(name)} == set()
