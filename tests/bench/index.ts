// Runs the benchmarks that are named, or all.
import { benchAudit } from "./audit.ts";
import { benchPages } from "./pages.ts";
import { benchPlanning } from "./planning.ts";
import { benchReadiness } from "./readiness.ts";
import { benchRecords } from "./records.ts";
import { benchSubmission } from "./submission.ts";
import { benchThreads } from "./threads.ts";

const benches: Readonly<Record<string, () => Promise<void>>> = {
  submission: benchSubmission,
  readiness: benchReadiness,
  planning: benchPlanning,
  threads: benchThreads,
  records: benchRecords,
  audit: benchAudit,
  pages: benchPages,
};

const wanted = process.argv.slice(2);
for (const name of wanted) if (!(name in benches)) throw new Error(`no benchmark ${name}; there are ${Object.keys(benches).join(", ")}`);
for (const [name, bench] of Object.entries(benches)) {
  if (wanted.length > 0 && !wanted.includes(name)) continue;
  console.log(`\n== ${name}`);
  await bench();
}
process.exit(0);
