"""Solves one integer program again and again with HiGHS through SciPy, the lower bound of one row moved each time.

First line of standard input: the model as JSON. Each further line: {"low": bound, "seconds": limit}. Each answer is one line:
{"status": "optimal" | "infeasible" | "stopped", "x": [...]}.
"""

import json
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array


def bounds(values, absent):
    return np.array([absent if v is None else v for v in values], dtype=float)


model = json.loads(sys.stdin.readline())
rows = csr_array(
    (model["coefficient"], model["column"], model["start"]),
    shape=(len(model["row_low"]), len(model["objective"])),
)
row_low, row_high = bounds(model["row_low"], -np.inf), bounds(model["row_high"], np.inf)
columns = Bounds(bounds(model["low"], -np.inf), bounds(model["high"], np.inf))
objective, integrality = np.array(model["objective"]), np.array(model["integer"])
print(json.dumps({"status": "ready"}), flush=True)

for line in sys.stdin:
    ask = json.loads(line)
    row_low[model["moved"]] = ask["low"]
    r = milp(
        objective,
        integrality=integrality,
        bounds=columns,
        constraints=LinearConstraint(rows, row_low, row_high),
        options={"mip_rel_gap": 0, "time_limit": ask["seconds"]},
    )
    status = {0: "optimal", 2: "infeasible"}.get(r.status, "stopped")
    print(json.dumps({"status": status, "x": list(r.x) if status == "optimal" else []}), flush=True)
