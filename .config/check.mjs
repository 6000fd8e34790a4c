// `npm run check`: what can be checked quickly, without a database and a browser: types, format, lint, promises, the rules of the code
// (tests/house) and the pure rules. Only a step that fails prints more than its name. Left to `npm test`: every test of the service, its pages
// and reports, and the few files of pure rules that take seconds (`.config/vitest-check.ts` names them).
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { setUp, top } from "./set-up.mjs";
import { sinceLast } from "./since-last.mjs";
import { code, formatAndLint, inLanes, promises, typesOfPages, typesOfPageTests, typesOfService, typesOfWorker } from "./steps.mjs";

setUp({ withTools: true, withPages: false });
delete process.env.NODE_ENV;

const cache = join(top, "node_modules", ".cache", "ferrule");
mkdirSync(cache, { recursive: true });
// The result of a type check is kept, so that the next one only looks at what changed.
const kept = ({ title, command, options }) => ({
  ...{ title, command },
  options: [...options, "--incremental", "--tsBuildInfoFile", join(cache, `${title.replaceAll(" ", "-")}.tsbuildinfo`)],
});
// The linter that uses types takes longer than everything else together, so it only looks at files changed since it last found nothing, and at
// those that import them.
const toLint = sinceLast(code, join(cache, "promises.json"), [".config/oxlint.json", "tsconfig.json", "package-lock.json"]);

// The longest first, since two run at a time.
const began = performance.now();
const failed = await inLanes([
  { title: "rules of the house, pure rules", command: "vitest", options: ["run", "--config", ".config/vitest-check.ts", "--reporter=dot"] },
  kept(typesOfService),
  ...(toLint.files.length > 0 ? [{ ...promises(toLint.files), after: toLint.keep }] : []),
  kept(typesOfPageTests),
  kept(typesOfPages),
  formatAndLint,
  kept(typesOfWorker),
]);
const seconds = ((performance.now() - began) / 1000).toFixed(1);
console.log(`\n${failed.length > 0 ? `Not in order: ${failed.join("; ")}` : "All in order"}, in ${seconds} s. The rest is asked by npm test.`);
process.exit(failed.length > 0 ? 1 : 0);
