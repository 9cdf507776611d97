"""Read once by the process whose forks are solver processes: all that a search needs is then there in each of them."""

import gc

from genplan.planning.jobs import load_solver
from genplan.planning.solver.light_start import load_or_tools

load_or_tools()
load_solver()
gc.freeze()  # a fork that looked through all of it for garbage would copy all of it
