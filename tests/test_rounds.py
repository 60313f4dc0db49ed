"""Long work tells how far it is, and an interruption leaves nothing behind."""

import numpy as np
import pytest
from briefs import brief

from scaling import Q, certainty, choose_each, size_for
from scaling.decision import certainty as sureness
from scaling.decision import choose as choosing
from scaling.decision import training_sample
from scaling.decision.binding import binding
from scaling.ground.rounds import rounds
from scaling.machines import ROTORS

UNSURE = brief(gap_floor=("30 um", "40 um"), pole_pairs=2)
LIST = {"vane": brief(rotor_diameter="3 mm"), "fan": brief(rotor_diameter="110 mm")}
ASKED = brief(torque="2 N*m", pole_pairs=2)
WORK = {  # a work, and its rounds
    "certainty": (lambda progress: certainty(UNSURE, draws=1000, progress=progress), 1),
    "certainty by size": (
        lambda progress: certainty(UNSURE, ["20 mm", "25 mm"], draws=1000, progress=progress),
        2 + 3,
    ),  # 12 at once
    "binding": (lambda progress: binding(brief(), Q(np.array([20.0, 30.0]), "mm"), progress=progress), len(ROTORS)),
    "list": (lambda progress: choose_each(LIST, progress=progress), len(LIST)),
    "size": (lambda progress: size_for(ASKED, between=("60 mm", "62 mm"), progress=progress), 1 + 2 * len(ROTORS)),
}


@pytest.mark.parametrize("name", ["certainty by size", "binding", "list", "size"])
def test_work_tells_every_round_once_and_changes_by_it_in_nothing(name, monkeypatch):
    monkeypatch.setattr(sureness, "TRAINING_DRAWS", 16)
    monkeypatch.setattr(training_sample, "AT_ONCE", 12)
    work, total = WORK[name]
    told = []
    found = work(lambda done, all_of_it: told.append((done, all_of_it)))
    assert told == [(done, total) for done in range(total + 1)]
    if name == "list":
        assert found == choose_each(LIST)


@pytest.mark.parametrize("name", ["certainty", "list", "size"])
def test_an_interruption_goes_through_and_leaves_nothing(name):
    work, _ = WORK[name]
    choosing.forget()
    rest = []

    def stop(done, total):
        rest.append(total - done)
        if done == 1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        work(stop)
    assert len(rest) == 2, "nothing runs on"
    assert choosing._designs.cache_info().currsize == (1 if name == "list" else 0), "what is kept was whole"


@pytest.mark.parametrize("name", WORK)
def test_what_cannot_be_called_is_refused_before_the_work(name):
    with pytest.raises(TypeError, match=r"progress: got 3; expected a function of done and total, such as lambda done"):
        WORK[name][0](3)


def test_no_work_is_done_at_once():
    told = []
    assert list(rounds([], lambda done, total: told.append((done, total)))) == [] and told == [(0, 0)]
