// `npm run verify -- PACK.zip [--kid THUMBPRINT] [--ca AUTHORITIES.pem] [--print PRINT]`: checks an audit pack offline. Ends with 0 where it holds, with 1 where it does not.
import { parseArgs } from "node:util";
import { word } from "../../shared/words/index.ts";
import { inGroups } from "../ledger/index.ts";
import { readAuthorities } from "../witness/index.ts";
import { sayTimeStamps } from "./time-stamps.ts";
import { verifyPack } from "./verify-pack.ts";

function endWith(error: Error): never {
  console.error(error.message);
  process.exit(1);
}

const { positionals, values } = parseArgs({
  args: process.argv.slice(2),
  allowPositionals: true,
  options: { kid: { type: "string" }, ca: { type: "string" }, print: { type: "string" } },
});
const [path] = positionals;
if (path === undefined) {
  console.error("Name the pack: npm run verify -- PACK.zip");
  process.exit(1);
}
const authorities = values.ca === undefined ? undefined : await readAuthorities(values.ca).catch(endWith);
const verdict = await verifyPack(path, { kid: values.kid, authorities, print: values.print });
if (verdict.holds) {
  const { records, chains, gaps, depotId, neighbours } = verdict.manifest;
  console.log(word("audit.holds", "en", { records, chains, checkpoint: verdict.checkpoint.number, kid: verdict.kid }));
  const { takenAt, rootSha256 } = verdict.checkpoint;
  console.log(word("audit.checkpoint", "en", { taken: takenAt, root: rootSha256 }));
  const { named, added } = verdict.photos;
  if (named > 0) console.log(word("audit.photos", "en", { named, added }));
  if (verdict.forgotten > 0) console.log(word("audit.forgotten", "en", { forgotten: verdict.forgotten }));
  if (verdict.manifest.spans !== null && depotId === null) console.log(word("audit.whole", "en", { gaps, neighbours }));
  for (const line of sayTimeStamps(verdict.timeStamps)) console.log(line);
  console.log(word("audit.print", "en", { hash: inGroups(verdict.print) }));
  if (verdict.printed) {
    const { number, takenAt: taken, treeSize } = verdict.printed;
    console.log(word("audit.print.found", "en", { number, taken, records: treeSize }));
  }
  for (const limit of verdict.limits) console.log(limit);
  if (values.kid === undefined) console.log(word("audit.compare-key"));
} else {
  console.error(word("audit.fails", "en", { why: verdict.why }));
  process.exitCode = 1;
}
