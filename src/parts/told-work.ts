// What the records of repairs and of returns from other workshops tell of minutes, parts and invoices, with what was corrected in them. Pure.
import { isForgotten, read } from "../../shared/records/index.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import type { FittedPart, Work } from "../../shared/rules/costs.ts";
import type { WorkRow } from "./work-store.ts";

type Correction = WorkRow["corrections"][number];

interface Figures {
  minutes: number | null;
  cost: number | null;
  parts: { number: string | null; quantity: number | null }[];
}

const figurePointer = /^\/submitted\/(minutes|costMinor|parts\/(\d+)\/(quantity|number))$/;
/** What is about the figures as a whole, or about the day by which they are priced. */
const besidePointer = /^(\/submitted(\/(parts(\/\d+)?|repaired.*|performedAt|returnedAt))?)?$/;

/** A number as people write one; null where it is none. */
const asNumber = (right: Correction["right"]): number | null =>
  typeof right === "number"
    ? right
    : typeof right === "string" && /^\d{1,9}([.,]\d{1,9})?$/.test(right)
      ? Number(right.replace(",", "."))
      : null;
const asWhole = (right: Correction["right"]): number | null => {
  const said = asNumber(right);
  return said !== null && Number.isSafeInteger(said) && said >= 0 ? said : null;
};

/** Puts in what was said to be right, the last word last. Returns how many corrections say it in words alone. */
function correct(figures: Figures, corrections: readonly Correction[]): number {
  let inWords = 0;
  for (const { pointer = "", right } of corrections) {
    const [, what, at, member] = figurePointer.exec(pointer) ?? [];
    const part = at === undefined ? undefined : figures.parts[Number(at)];
    if (what === "minutes") figures.minutes = asWhole(right);
    else if (what === "costMinor") figures.cost = asWhole(right);
    else if (part && member === "number") part.number = String(right);
    else if (part) part.quantity = positive(asNumber(right));
    else if (besidePointer.test(pointer)) inWords += 1;
  }
  return inWords;
}

const positive = (said: number | null): number | null => (said !== null && said > 0 ? said : null);

const partsOf = (parts: readonly { readonly number?: string | undefined; readonly quantity: number }[] = []): FittedPart[] =>
  parts.map(({ number = null, quantity }) => ({ number, quantity }));

/** One record as it is priced. */
export function toldOf(row: WorkRow): Work {
  const { id, machineId, performedAt: at, corrections } = row;
  const about = { id, machineId, at, day: localDay(at, row.timeZone) };
  const said = read(row);
  if (isForgotten(said)) return { ...about, inWords: 0, kind: row.kind === "defect-repaired" ? "repair" : "stay", told: null };
  if (said.kind === "defect-repaired") {
    const { submitted, outside } = said.data;
    const figures: Figures = {
      minutes: submitted.minutes ?? null,
      cost: null,
      parts: partsOf(submitted.parts).map((part) => ({ ...part })),
    };
    const inWords = correct(figures, corrections);
    return { ...about, inWords, kind: "repair", told: { minutes: figures.minutes, parts: figures.parts, outsideId: outside?.id ?? null } };
  }
  if (said.kind !== "machine-taken-back") throw new Error(`${said.kind} tells of no work`);
  const { submitted, currency } = said.data;
  const figures: Figures = {
    minutes: null,
    cost: submitted.costMinor ?? null,
    parts: partsOf(submitted.parts).map((part) => ({ ...part })),
  };
  const inWords = correct(figures, corrections);
  const cost = figures.cost === null || currency === undefined ? null : { minor: figures.cost, currency };
  return { ...about, inWords, kind: "stay", told: { parts: figures.parts, cost } };
}
