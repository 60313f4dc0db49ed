"""One thread of linear algebra for each test process: several of them on few cores only wait for each other."""

import os

for library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")
