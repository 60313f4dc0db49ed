"""One thread of linear algebra for each test process: several of them on few cores only wait for each other."""

import os

for library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")


def _forget_if_patched(item):
    if "monkeypatch" in item.fixturenames:
        from scaling.decision.choose import forget

        forget()


def pytest_runtest_setup(item):
    """A test that changes what a choice rests on gets none that was kept, and leaves none."""
    _forget_if_patched(item)


def pytest_runtest_teardown(item):
    """See above."""
    _forget_if_patched(item)
