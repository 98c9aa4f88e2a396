"""Broken mesh files of every form: each is read as a body or is one line, quickly.

A few hundred by default; the long tier takes as many as were once run by hand.
"""

from __future__ import annotations

import random
import time
from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.meshes.mesh_file import read_mesh_file
from tests.unit.mesh_files import FORMS, ROOT, ending, mesh_object, model, package, wedge, written

MOST_CPU_S = 3.0
"""For one file of a kilobyte; a slow machine has room."""
MODEL = model(
    mesh_object(1, wedge())
    + '<object id="2"><components><component objectid="1" transform="0 1 0 -1 0 0 0 0 1 4 7 -3"/>'
    '<component objectid="1"/></components></object>',
    '<item objectid="2"/><item objectid="1"/>',
    "inch",
).encode()
PIECES = (
    *(
        b"0",
        b"-1",
        b"9" * 400,
        b"1e999",
        b"nan",
        b"\0",
        b"\xff\xfe",
        b"\n",
        b" " * 3000,
        b"<",
        b">",
    ),
    *(b"<!DOCTYPE a>", b"&a;", b'"', b"vertex", b"endsolid", b"f -1 -2 -3", b"4294967295"),
)


def mutated(raw: bytes, chance: random.Random) -> bytes:
    """One to six bytes changed, pieces cut out, put in, doubled or moved."""
    data = bytearray(raw)
    for _ in range(chance.randint(1, 6)):
        place = chance.randrange(len(data) + 1)
        match chance.randrange(6):
            case 0:
                data[place : place + 1] = bytes([chance.randrange(256)])
            case 1:
                del data[place : place + chance.randint(1, 40)]
            case 2:
                data[place:place] = chance.choice(PIECES)
            case 3:
                start = chance.randrange(len(data) + 1)
                data[place:place] = data[start : start + chance.randint(1, 200)]
            case 4:
                del data[place:]
            case _:
                for at in range(place, min(place + 4, len(data))):
                    data[at] ^= 1 << chance.randrange(8)
    return bytes(data)


def broken(form: str, chance: random.Random) -> bytes:
    if form == "model in a sound package":
        return package({ROOT: mutated(MODEL, chance)})
    return mutated(written(form), chance)


def run(form: str, count: int, folder: Path) -> tuple[int, int]:
    """How many were read and how many refused; anything else fails."""
    path = folder / ("thing" + (".3mf" if "package" in form else ending(form)))
    read = refused = 0
    for number in range(count):
        raw = broken(form, random.Random(f"{form} {number}"))
        path.write_bytes(raw)
        start = time.process_time()
        try:
            mesh = read_mesh_file(path)
        except InputError as error:
            refused += 1
            assert len(error.lines) == 1 and len(error.lines[0]) < 600 + len(str(path)), number
            assert error.lines[0].isprintable(), number
        else:
            read += 1
            assert np.isfinite(mesh.vertices).all() and len(mesh.faces), number
            assert mesh.faces.min() >= 0 and mesh.faces.max() < len(mesh.vertices), number
            assert np.ptp(mesh.vertices, axis=0).max() <= 2000.0, number
        assert time.process_time() - start < MOST_CPU_S, number
    return read, refused


@pytest.mark.parametrize("form", [*FORMS, "model in a sound package"])
def test_every_broken_file_is_a_body_or_a_line(form: str, tmp_path: Path) -> None:
    _, refused = run(form, 40, tmp_path)
    assert refused > 10


@pytest.mark.long
@pytest.mark.parametrize("form", [*FORMS, "model in a sound package"])
def test_thousands_of_broken_files(form: str, tmp_path: Path) -> None:
    read, refused = run(form, 3000, tmp_path)
    assert read > 0 and refused > 0
