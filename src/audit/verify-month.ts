// Whether a pack shows all that its month has: the month on each calendar, the neighbours of its records, and the chains that were signed.
import { z } from "zod";
import { sha256Schema } from "../../shared/contracts/records.ts";
import { endOfDay, lastDayOfMonth, startOfDay } from "../../shared/rules/calendar.ts";
import { sha256 } from "../ledger/index.ts";
import { canonical } from "../platform/index.ts";
import { Coverage, type SpanOfDepot } from "./coverage.ts";
import { canonicalOrNull, count, Fault, parsed } from "./fault.ts";
import type { MonthSpan } from "./pack-format.ts";

/** The part of a manifest that says which records the pack is about. */
export interface AboutMonth {
  readonly month: string;
  readonly depotId: string | null;
  /** null in an older pack, whose manifest had none */
  readonly spans: readonly MonthSpan[] | null;
}

// Local time anywhere is at most 14 hours ahead of UTC and 12 hours behind it (IANA time zone database).
const [mostAheadMs, mostBehindMs] = [14 * 3_600_000, 12 * 3_600_000];

/** Which records belong to the month of a pack. */
export class Month {
  readonly coverage: Coverage;
  readonly #about: AboutMonth;
  readonly #loose: { readonly from: number; readonly to: number };

  /** Throws a fault where the spans are not those of the month. */
  constructor(about: AboutMonth) {
    this.#about = about;
    const [first, last] = [`${about.month}-01`, lastDayOfMonth(`${about.month}-01`, 0)];
    this.#loose = { from: startOfDay(first, "UTC").getTime() - mostAheadMs, to: endOfDay(last, "UTC").getTime() + mostBehindMs };
    if (about.spans !== null) mustBeSpans(about.spans, about);
    this.coverage = new Coverage((about.spans ?? []).map(spanOf));
  }

  /** Null: its depot is not one of the pack's. For an older pack without spans: whether it was that month anywhere on earth. */
  isIn(depotId: string | null, recordedAt: Date): boolean | null {
    if (this.#about.spans !== null) return this.coverage.isInMonth(depotId, recordedAt);
    const isOfDepot = this.#about.depotId === null || depotId === null || depotId === this.#about.depotId;
    return isOfDepot && recordedAt.getTime() >= this.#loose.from && recordedAt.getTime() < this.#loose.to;
  }
}

const spanOf = ({ depotId, starts, ends }: MonthSpan): SpanOfDepot => ({ depotId, starts: new Date(starts), ends: new Date(ends) });

function mustBeSpans(spans: readonly MonthSpan[], { month, depotId: packDepotId }: AboutMonth): void {
  const [firm, ...depots] = spans;
  const ids = depots.map(({ depotId }) => depotId ?? "");
  const isOrdered = ids.every((id, at) => id !== "" && (at === 0 || (ids[at - 1] ?? "") < id));
  const isOfPack = packDepotId === null || (ids.length === 1 && ids[0] === packDepotId);
  const zone = depots.length === 1 ? depots[0]?.timeZone : "UTC";
  if (!firm || firm.depotId !== null || !isOrdered || !isOfPack || firm.timeZone !== zone) throw new Fault("audit.why.spans", { month });
  for (const { timeZone, starts, ends } of spans) {
    const [from, to] = spanIn(month, timeZone);
    if (from !== starts || to !== ends) throw new Fault("audit.why.spans", { month });
  }
}

function spanIn(month: string, timeZone: string): readonly [string, string] {
  // Some versions of Node.js accept an offset as a time zone, others do not; no name in the zone database begins like that.
  if (/^[+-]/.test(timeZone)) throw new Fault("audit.why.zone", { zone: timeZone });
  try {
    const first = `${month}-01`;
    return [startOfDay(first, timeZone).toISOString(), endOfDay(lastDayOfMonth(first, 0), timeZone).toISOString()];
  } catch {
    throw new Fault("audit.why.zone", { zone: timeZone });
  }
}

const chainSchema = z.union([
  z.strictObject({ chainId: z.string(), length: count.min(1), sha256: sha256Schema }),
  z.strictObject({ lineSha256: sha256Schema }),
]);

/** Where a chain ends among what is shown of it. */
export interface ShownEnd {
  readonly position: number;
  readonly sha256: string;
}

/** The list of all chains, each with its length and its last hash. */
export class Chains {
  readonly #hashes: string[] = [];
  readonly #open = new Map<string, { readonly length: number; readonly sha256: string }>();
  #last = "";

  take(line: string, number: number): void {
    const name = `chains.ndjson:${number}`;
    const chain = parsed(name, chainSchema, line);
    if (canonicalOrNull(chain) !== line) throw new Fault("audit.why.chain-line", { number });
    if ("lineSha256" in chain) {
      this.#hashes.push(chain.lineSha256);
      return;
    }
    if (chain.chainId <= this.#last) throw new Fault("audit.why.chain-line", { number });
    this.#last = chain.chainId;
    this.#open.set(chain.chainId, chain);
    this.#hashes.push(sha256(canonical(chain)));
  }

  /** Throws a fault unless these are the chains that the checkpoint states and the entries shown agree with their lengths and ends. */
  mustBe(
    stated: { readonly chainCount: number | null; readonly chainsSha256: string | null; readonly treeSize: number },
    shown: ReadonlyMap<string, ShownEnd>,
  ): void {
    const list = sha256(Buffer.from(this.#hashes.join(""), "hex"));
    if (this.#hashes.length !== stated.chainCount || list !== stated.chainsSha256) throw new Fault("audit.why.chains");
    const entries = [...this.#open.values()].reduce((sum, { length }) => sum + length, 0);
    const isWhole = this.#open.size === this.#hashes.length;
    if (isWhole ? entries !== stated.treeSize : entries > stated.treeSize) {
      throw new Fault("audit.why.chain-sum", { entries, leaves: stated.treeSize });
    }
    for (const [chainId, end] of shown) {
      const chain = this.#open.get(chainId);
      if (!chain || end.position > chain.length || (end.position === chain.length && end.sha256 !== chain.sha256)) {
        throw new Fault("audit.why.chain-end", { chain: chainId });
      }
    }
  }

  /** Throws a fault if a record of the month is left out. Only for a pack of the whole firm: a depot's pack cannot prove that. */
  mustBeCovered(coverage: Coverage): void {
    if (this.#open.size !== this.#hashes.length) throw new Fault("audit.why.chains");
    for (const [chainId, { length }] of this.#open) {
      const missing = coverage.missingIn(chainId, length);
      if (missing) throw new Fault("audit.why.left-out", { chain: chainId, ...missing });
    }
  }
}
