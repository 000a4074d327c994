// Solves one integer program, an MPS file, with HiGHS from the npm package "highs", on one thread and to a gap of 0.
//
//	node highs.mjs PACKAGE MODEL.mps SECONDS MARKS
//
// PACKAGE is the package's folder, MARKS are seconds separated by commas. The clock is this process's processor time, so other work on
// the machine does not count. It prints one line of JSON for each better solution, for each mark and at the end:
// {"t", "cost", "bound"}, null where not known. The line of a mark also has "mark", the last line has "status": "optimal", "infeasible" or "stopped".
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [folder, file, seconds, marks] = process.argv.slice(2);
const open = marks.split(",").filter(Boolean).map(Number).sort((a, b) => a - b);

const used = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e3; // ms
};
performance.now = used; // HiGHS reads these two
Date.now = used;

let begin = 0, cost = null, bound = null;
const known = (x) => (Number.isFinite(x) ? x : null);
const elapsed = () => (used() - begin) / 1e3;
const say = (more) => fs.writeSync(1, JSON.stringify({ t: elapsed(), cost, bound, ...more }) + "\n");

function look({ data }) {
  while (open.length > 0 && open[0] <= elapsed()) say({ mark: open.shift() });
  bound = known(data.mip_dual_bound) ?? bound;
  const found = known(data.mip_primal_bound);
  if (found !== null && (cost === null || found < cost)) {
    cost = found;
    say();
  }
}

try {
  const { default: load } = await import(pathToFileURL(path.resolve(folder, "build/highs.mjs")));
  const highs = await load();
  const { callbackType, modelStatus } = highs.constants;
  highs.withModel({ format: "mps", data: fs.readFileSync(file) }, (model) => {
    model.options.set({ output_flag: false, mip_rel_gap: 0, mip_abs_gap: 1e-9, time_limit: Number(seconds) });
    begin = used();
    model.run({ [callbackType.mipImprovingSolution]: look, [callbackType.mipLogging]: look, [callbackType.mipInterrupt]: look });
    const status = { [modelStatus.optimal]: "optimal", [modelStatus.infeasible]: "infeasible" }[model.getModelStatus()] ?? "stopped";
    if (model.info.get("primal_solution_status") === highs.constants.solutionStatus.feasible) cost = known(model.getObjectiveValue());
    bound = known(model.info.get("mip_dual_bound")) ?? bound;
    say({ status });
  });
} catch (e) {
  console.error(e.message); // its stack would quote the package's one long line
  process.exit(1);
}
