import type { PartImportReceipt } from "../../shared/contracts/parts.ts";
import type { Said } from "../../shared/records/index.ts";
import { partKey } from "../../shared/rules/part-prices.ts";
import { wordCounted } from "../../shared/words/index.ts";
import { type AppContext, readPolicy } from "../acts/index.ts";
import { fleetErrors } from "../fleet/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, platformErrors, type Tx } from "../platform/index.ts";
import { noCurrency } from "./keep-part.ts";
import { readPartFile } from "./part-file.ts";
import { type AskedPart, changeOf, dayInUtc } from "./rules.ts";
import { findParts, holdCurrency, type PartRow, writeParts } from "./store.ts";

// Thousands of rows take longer than Prisma's five seconds on a small machine.
const transactionMs = 60_000;
/** A record stays as short as somebody can read, and a line of an audit pack too. */
const partsInARecord = 500;

/**
 * Imports a CSV file into the list of parts, all or nothing: new parts are added, those that it has get the name and the price of the file, and none is
 * taken away. Throws `import-refused` with an issue for everything wrong in every row, and `no-currency`.
 */
export async function importParts(context: AppContext, actor: Actor, text: string): Promise<PartImportReceipt> {
  const at = context.clock.now();
  const { currency } = await readPolicy(context.db);
  const { parts, isPriced, issues } = await readPartFile(text, currency, dayInUtc(at));
  if (issues.length > 0) {
    const detail = wordCounted("refusal.import", issues.length, "en", { count: issues.length });
    throw fleetErrors.problem("import-refused", detail, { issues });
  }
  if (currency === null && isPriced) throw noCurrency();
  return recording(
    context,
    async (tx): Promise<PartImportReceipt> => {
      const ask = context.db.rowsIn(tx);
      if ((await holdCurrency(ask)) !== currency) {
        throw platformErrors.problem("changed-meanwhile", "The firm's currency was changed meanwhile. Nothing was stored.");
      }
      const keys = parts.map(({ number }) => partKey(number));
      const changes = changesOf(parts, await findParts(ask, keys));
      for (let from = 0; from < changes.length; from += partsInARecord) {
        await writeSome(context, tx, actor, changes.slice(from, from + partsInARecord), at);
      }
      const added = changes.filter(({ before }) => before === null).length;
      return { read: parts.length, added, changed: changes.length - added, unchanged: parts.length - changes.length };
    },
    { timeout: transactionMs, maxWait: transactionMs },
  );
}

/** One record and the parts that it tells of. */
async function writeSome(context: AppContext, tx: Tx, actor: Actor, parts: readonly Said<"part-kept">[], at: Date): Promise<void> {
  const entryId = context.newId();
  await appendToFirm(context, tx, { staffId: actor.staffId, depotId: null, recordedAt: at }, [
    { id: entryId, kind: "parts-imported", performedAt: at, data: { parts: [...parts] } },
  ]);
  const rows = parts.map(({ number, name, price }) => ({ key: partKey(number), number, name, entryId, price }));
  await writeParts(context.db.rowsIn(tx), rows, at);
}

const changesOf = (parts: readonly AskedPart[], known: ReadonlyMap<string, PartRow>): Said<"part-kept">[] =>
  parts.flatMap((part) => changeOf(known.get(partKey(part.number)), part) ?? []);
