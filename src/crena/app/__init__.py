"""The edges put together: command line, jobs, files.

Small matrices are all there is to multiply, and threads of the linear algebra library only
stand in each other's way; one is asked for before it is loaded, unless the user set a number.
"""

import os

for _library in ("OPENBLAS", "MKL", "OMP", "VECLIB"):
    os.environ.setdefault(f"{_library}_NUM_THREADS", "1")
