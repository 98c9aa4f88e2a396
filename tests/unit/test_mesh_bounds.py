"""Mesh files of at most 1 MB that would unpack, nest or multiply: refused, or read within bounds.

Time is processor time and memory the peak of a process of its own, as the issue's limits are:
20 s and 1 GB for a whole command; the reading may take half. (The peak is the kernel's VmHWM: the
same figure of ``getrusage`` starts from the parent's.)
"""

from __future__ import annotations

import json
import os
import struct
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.unit.mesh_files import ROOT, model, package, simple_3mf

MOST_CPU_S = 10.0
MOST_RSS_MB = 500
VERTICES = (
    '<vertex x="0" y="0" z="0"/><vertex x="30" y="0" z="0"/>'
    '<vertex x="0" y="20" z="0"/><vertex x="0" y="0" z="10"/>'
)
TRIANGLES = (
    '<triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/>'
    '<triangle v1="1" v2="2" v3="3"/><triangle v1="0" v2="3" v3="2"/>'
)
READ = """
import json, sys, time
from pathlib import Path
from fitcheck.errors import InputError
from fitcheck.meshes.mesh_file import read_mesh_file
try:
    said = str(len(read_mesh_file(Path(sys.argv[1])).faces))
except InputError as error:
    said = str(error)
peak = Path("/proc/self/status").read_text().split("VmHWM:")[1].split()[0]
print(json.dumps([said, time.process_time(), int(peak) / 1024]))
"""


def tetrahedra(count: int = 1, also: str = "", build: str = '<item objectid="1"/>') -> str:
    """A model whose object 1 has its vertices and triangles so many times."""
    mesh = (
        f'<object id="1"><mesh><vertices>{VERTICES * count}</vertices>'
        f"<triangles>{TRIANGLES * count}</triangles></mesh></object>"
    )
    return model(mesh + also, build)


def doubling(levels: int) -> str:
    """Each object holds the one before it twice."""
    return "".join(
        f'<object id="{one}"><components><component objectid="{one - 1}"/>'
        f'<component objectid="{one - 1}"/></components></object>'
        for one in range(2, levels + 1)
    )


def declaring_less() -> bytes:
    """A model of 50 MB whose entry says that it has 500 bytes."""
    raw = bytearray(package({ROOT: tetrahedra(also=" " * 50_000_000)}))
    for sign, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        place = raw.rindex(sign)
        struct.pack_into("<I", raw, place + at, 500)
    return bytes(raw)


def quoting() -> bytes:
    """Nine thousand names in the archive's list for one and the same packed model."""
    raw = package({ROOT: tetrahedra(20_000)})
    start, end = raw.index(b"PK\x01\x02"), raw.rindex(b"PK\x05\x06")
    listed = raw[start:end]
    last = listed[listed.rindex(b"PK\x01\x02") :]
    more = b"".join(last[: -len(ROOT)] + b"%016d" % one for one in range(9000))
    closing = bytearray(raw[end:])
    struct.pack_into("<HHI", closing, 8, 9003, 9003, len(listed) + len(more))
    return raw[:end] + more + bytes(closing)


BOMBS: dict[str, tuple[Callable[[], bytes], str]] = {
    "unpacks to 201 MB": (
        lambda: package({ROOT: tetrahedra(also=" " * 201_000_000)}),
        "allowed: 200,000,000",
    ),
    "declares less than it holds": (declaring_less, "export it again"),
    "an archive in an archive": (
        lambda: package({ROOT: package({ROOT: tetrahedra(200_000)})}),
        "broken XML",
    ),
    "one packed file under many names": (quoting, "80000"),
    "a picture of 210 MB beside it": (
        lambda: package({ROOT: tetrahedra(), "3D/a.png": b"\0" * 210_000_000}),
        "4",
    ),
    "too many parts": (
        lambda: package({ROOT: tetrahedra()} | {f"{n}": "" for n in range(9_998)}, 0),
        "more than 10,000 files",
    ),
    "too many triangles": (lambda: package({ROOT: tetrahedra(126_000)}), "more than 500,000"),
    "just few enough": (lambda: package({ROOT: tetrahedra(124_000)}), "496000"),
    "deep elements": (lambda: package({ROOT: tetrahedra(also="<a>" * 9_000_000)}), "holds XML"),
    "many names": (
        lambda: package({ROOT: tetrahedra(also="".join(f"<a{n}/>" for n in range(200_000)))}),
        "2,000 names",
    ),
    "a long comment": (
        lambda: package({ROOT: tetrahedra(also=f"<!--{'a' * 3_000_000}-->")}),
        "in one tag",
    ),
    "XML entities": (
        lambda: package({ROOT: '<!DOCTYPE a [<!ENTITY a "aaaa">]>' + tetrahedra()[39:]}),
        "a document type",
    ),
    "components that double": (
        lambda: package({ROOT: tetrahedra(also=doubling(31), build='<item objectid="31"/>')}),
        "more than 500,000 triangles",
    ),
    "components one in the other": (
        lambda: package({ROOT: tetrahedra(also=doubling(60), build='<item objectid="60"/>')}),
        "32 deep",
    ),
    "a PLY of many properties": (
        lambda: (
            b"ply\nformat binary_little_endian 1.0\nelement face 1\n"
            + b"".join(b"property list uchar int a%d\n" % n for n in range(2000))
            + b"end_header\n"
            + b"\0" * 9000
        ),
        "more than 100 properties",
    ),
    "a PLY that announces a billion rows": (
        lambda: (
            b"ply\nformat ascii 1.0\nelement vertex 999999999999\nproperty float x\n"
            b"property float y\nproperty float z\nend_header\n0 0 0\n"
        ),
        "more than 500,000 triangles",
    ),
    "an OBJ of 40 000 materials": (
        lambda: (
            b"v 0 0 0\nv 10 0 0\nv 0 20 0\nv 0 0 30\n"
            + b"".join(b"usemtl %d\nf 1 2 3\nf 1 2 4\n" % n for n in range(30_000))
        ),
        "60000",
    ),
    "an STL of 8 800 solids": (
        lambda: b"".join(
            b"solid a\nfacet\nouter loop\nvertex 0 0 0\nvertex 9 0 0\nvertex 0 9 %d\n"
            b"endloop\nendfacet\nendsolid a\n" % (n % 50)
            for n in range(8_800)
        ),
        "8800",
    ),
}
LONG = ("a picture of 210 MB beside it", "too many triangles", "just few enough")
"""Large when they are made, so that they take long to make."""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="no such peak is told here")
@pytest.mark.parametrize(
    "name", [pytest.param(one, marks=pytest.mark.long) if one in LONG else one for one in BOMBS]
)
def test_a_small_file_takes_little(name: str, tmp_path: Path) -> None:
    make, says = BOMBS[name]
    raw = make()
    assert len(raw) <= 1_100_000, "what is tried is small"
    ending = {"PLY": "ply", "OBJ": "obj", "STL": "stl"}.get(name.split()[1], "3mf")
    path = tmp_path / f"bomb.{ending}"
    path.write_bytes(raw)
    ran = subprocess.run(
        [sys.executable, "-c", READ, str(path)],
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True,
        text=True,
        check=True,
    )
    said, cpu_s, rss_mb = json.loads(ran.stdout)
    assert says in said
    assert cpu_s < MOST_CPU_S and rss_mb < MOST_RSS_MB


def test_a_part_is_found_whatever_the_case_of_its_name(tmp_path: Path) -> None:
    """Open Packaging Conventions: names of parts are equal without regard to case."""
    from fitcheck.meshes.package import Package

    package_read = Package(simple_3mf())
    assert "/3d/3DMODEL.model" in package_read and "gone" not in package_read
    assert b"".join(package_read.pieces("/3D/3DModel.MODEL")).startswith(b"<?xml")
