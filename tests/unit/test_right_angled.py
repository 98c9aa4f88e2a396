"""The right-angled search has two models, which say the same of what both can take."""

import subprocess
import sys

import pytest

from fitcheck.errors import MissingLibraryError
from fitcheck.kinds.poses import Pose
from fitcheck.packing.arrange import arrange
from fitcheck.packing.placing import Demand, hanging, verify
from fitcheck.packing.right_angled import right_angled
from fitcheck.packing.room import Room
from fitcheck.packing.solver import End
from tests.unit.packed import WORK, flat


def test_without_the_solver_the_error_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    with pytest.raises(MissingLibraryError, match="pip install ortools"):
        arrange(Room(5, 5, 1), [Demand("brick", flat(3, 2, 1), 4)])


def test_the_quick_ways_load_nothing_heavy() -> None:
    code = (
        "import sys\n"
        "from fitcheck.packing.arrange import arrange\n"
        "from fitcheck.packing.placing import Demand\n"
        "from fitcheck.kinds.poses import Pose\n"
        "from fitcheck.packing.room import Room\n"
        "r = arrange(Room(6, 4, 1), [Demand('a', (Pose('flat', 3, 2, 1),), 4)])\n"
        "print(r.outcome, sorted({'ortools', 'scipy', 'netgen'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "found []"


@pytest.fixture(params=["by spots", "pair by pair"])
def model(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both models of the search; the second is taken where the first lists no spots."""
    if request.param == "pair by pair":
        monkeypatch.setattr("fitcheck.packing.right_angled.list_spots", lambda kinds, ends: None)
    return str(request.param)


def test_both_models_find_the_pinwheel_and_no_fifth(model: str) -> None:
    room = Room(5, 5, 1)
    found = right_angled(room, [Demand("brick", flat(3, 2, 1), 4)], supported=False, work=WORK)
    assert found.end is End.FOUND, model
    assert verify(room, found.placements) == ()
    fifth = right_angled(room, [Demand("brick", flat(3, 2, 1), 5)], supported=False, work=WORK)
    assert fifth.end is not End.FOUND


def test_both_models_hold_bodies_up(model: str) -> None:
    room = Room(10, 10, 40)
    demands = [
        Demand("slab", (Pose("flat", 10, 10, 2),), 2),
        Demand("cube", (Pose("flat", 6, 6, 6),), 4),
        Demand("post", (Pose("flat", 3, 3, 5),), 3),
    ]
    held = right_angled(room, demands, supported=True, work=WORK)
    assert held.end is End.FOUND, model
    assert verify(room, held.placements) == ()
    if model == "by spots":
        # without the rule this model leaves bodies hanging, so the rule is at work
        loose = right_angled(room, demands, supported=False, work=WORK)
        assert hanging(loose.placements) != ()
