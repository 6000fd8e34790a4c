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
  const { records, chains, gaps, checkpoint } = verdict.manifest;
  console.log(word("audit.holds", "en", { records, chains, checkpoint, kid: verdict.kid }));
  const { named, added } = verdict.photos;
  if (named > 0) console.log(word("audit.photos", "en", { named, added }));
  if (gaps > 0) console.log(word("audit.gaps", "en", { gaps }));
  if (values.kid === undefined) console.log(word("audit.compare-key"));
} else {
  console.error(word("audit.fails", "en", { why: verdict.why }));
  process.exitCode = 1;
}
