// `npm run verify -- PACK.zip [--kid THUMBPRINT]`: checks an audit pack offline. Ends with 0 where it holds, with 1 where it does not.
import { parseArgs } from "node:util";
import { word } from "../../shared/words/index.ts";
import { verifyPack } from "./verify-pack.ts";

const { positionals, values } = parseArgs({ args: process.argv.slice(2), allowPositionals: true, options: { kid: { type: "string" } } });
const [path] = positionals;
if (path === undefined) {
  console.error("Name the pack: npm run verify -- PACK.zip");
  process.exit(1);
}
const verdict = await verifyPack(path, { kid: values.kid });
if (verdict.holds) {
  const { records, chains, gaps, depotId, neighbours } = verdict.manifest;
  console.log(word("audit.holds", "en", { records, chains, checkpoint: verdict.checkpoint.number, kid: verdict.kid }));
  const { takenAt, rootSha256 } = verdict.checkpoint;
  console.log(word("audit.checkpoint", "en", { taken: takenAt, root: rootSha256 }));
  const { named, added } = verdict.photos;
  if (named > 0) console.log(word("audit.photos", "en", { named, added }));
  if (verdict.forgotten > 0) console.log(word("audit.forgotten", "en", { forgotten: verdict.forgotten }));
  if (verdict.manifest.spans !== null && depotId === null) console.log(word("audit.whole", "en", { gaps, neighbours }));
  for (const limit of verdict.limits) console.log(limit);
  if (values.kid === undefined) console.log(word("audit.compare-key"));
} else {
  console.error(word("audit.fails", "en", { why: verdict.why }));
  process.exitCode = 1;
}
