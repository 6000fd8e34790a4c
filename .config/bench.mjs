// `npm run bench`: the figures of tests/bench/MEASURED.md, each as a ratio measured in one run. Needs a PostgreSQL server
// (BENCH_DATABASE_URL) and pgbench. Words after `--` choose benchmarks by name.
import { setUp } from "./set-up.mjs";

setUp({ withTools: true });
const { register } = await import("tsx/esm/api");
register();
await import("../tests/bench/index.ts");
