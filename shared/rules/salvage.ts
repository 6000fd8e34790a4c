// A body that tells of a defect is taken even where its form is wrong. What the contract refuses is mended at the place that the contract
// names: clipped, read as what it was meant to be, or left out; each time with a flag, and what was sent is kept beside it. Nothing here
// knows a contract: what stands in for a missing value is handed in. What cannot be mended (no machine, no finding) stays refused.
import type { z } from "zod";
import { observationById } from "../catalogue/sheet.ts";
import { limits } from "../contracts/limits.ts";
import { clipText } from "./clean-text.ts";

export type SalvageFlag =
  | "text-clipped"
  | "photos-left-out"
  | "observations-left-out"
  | "answers-left-out"
  | "odometer-unreadable"
  | "duration-unreadable"
  | "time-unreadable"
  | "reading-unreadable"
  | "value-unreadable"
  | "field-unknown"
  | "id-made-here";

/** What stood at a place, as JSON text, cut where it is long. */
export interface AsSent {
  readonly pointer: string;
  readonly was: string;
}

export interface Salvaged<Body> {
  readonly body: Body;
  readonly flags: readonly SalvageFlag[];
  readonly asSent: readonly AsSent[];
}

type Holder = Record<string, unknown> | unknown[];
type Path = readonly PropertyKey[];

/** What stands in for a value that is missing or cannot be mended; `undefined`: nothing can. `holder` is the object it belongs to. */
export type StandsFor = (field: string, holder: Readonly<Record<string, unknown>>, was: unknown) => unknown;

// Each round mends all that the contract names. Another may be needed: a mended type may then break a limit, a value left out may be
// required.
const mostRounds = 8;
const mostKept = 4000;
const mostPlaces = 200;

/** The body as the contract takes it, and what was done to it; null where it cannot be mended. `raw` is JSON and is left as it is. */
export function salvage<Body>(contract: z.ZodType<Body>, raw: unknown, standsFor: StandsFor): Salvaged<Body> | null {
  if (!isObject(raw)) return null;
  const mending = new Mending(raw);
  for (let round = 0; round < mostRounds; round += 1) {
    const result = contract.safeParse(mending.body);
    if (result.success) return { body: result.data, flags: [...mending.flags], asSent: mending.asSent };
    if (!mending.mendAll(result.error.issues, standsFor)) return null;
  }
  return null;
}

class Mending {
  readonly body: Record<string, unknown>;
  readonly flags = new Set<SalvageFlag>();
  readonly asSent: AsSent[] = [];
  /** places that were dealt with in this round */
  #done = new Set<string>();
  /** elements to be taken out of their lists when the round is over, so that the places which the contract named stay the same */
  #gone = new Map<unknown[], Set<number>>();

  constructor(raw: Readonly<Record<string, unknown>>) {
    this.body = JSON.parse(JSON.stringify(raw)) as Record<string, unknown>;
  }

  /** False where one of them cannot be mended. */
  mendAll(issues: readonly z.core.$ZodIssue[], standsFor: StandsFor): boolean {
    this.#done = new Set();
    this.#gone = new Map();
    const all = issues.every((issue) => (issue.code === "unrecognized_keys" ? this.#dropUnknown(issue) : this.#mendOne(issue, standsFor)));
    for (const [list, indexes] of this.#gone) {
      const kept = list.filter((_, index) => !indexes.has(index));
      list.splice(0, list.length, ...kept);
    }
    return all;
  }

  #dropUnknown({ path, keys }: z.core.$ZodIssueUnrecognizedKeys): boolean {
    if (this.#isDone(path)) return true;
    const holder = at(this.body, path);
    if (!isObject(holder)) return false;
    for (const key of keys) {
      this.#note("field-unknown", [...path, key], holder[key]);
      delete holder[key];
    }
    return true;
  }

  #mendOne(issue: z.core.$ZodIssue, standsFor: StandsFor): boolean {
    const { path } = issue;
    if (this.#isDone(path)) return true;
    const key = path.at(-1);
    const holder = at(this.body, path.slice(0, -1));
    if (key === undefined || holder === undefined) return false;
    const was = (holder as Record<PropertyKey, unknown>)[key];
    const mended = was === undefined ? undefined : mend(issue, was);
    const instead = mended ?? (Array.isArray(holder) ? undefined : standsFor(String(key), holder, was));
    if (instead !== undefined) {
      const clipped = issue.code === "too_big" && typeof was === "string";
      // A single value was taken as a list of one: nothing was left out.
      const flag = clipped ? "text-clipped" : Array.isArray(instead) && !Array.isArray(was) ? "value-unreadable" : flagOf(path);
      this.#note(flag, path, was);
      (holder as Record<PropertyKey, unknown>)[key] = instead;
      return true;
    }
    // Required, missing, and nothing can stand in for it: what it belongs to is left out. At the top that is the body itself: refused.
    if (was === undefined) return path.length > 1 && this.#leaveOut(path.slice(0, -1));
    return this.#leaveOut(path);
  }

  /** What is named twice, or lies within what was just left out, has been dealt with. */
  #isDone(path: Path): boolean {
    return path.some((_, depth) => this.#done.has(pointerOf(path.slice(0, depth + 1))));
  }

  #leaveOut(path: Path): boolean {
    const key = path.at(-1);
    const holder = at(this.body, path.slice(0, -1));
    if (key === undefined || holder === undefined) return false;
    this.#note(flagOf(path), path, (holder as Record<PropertyKey, unknown>)[key]);
    if (Array.isArray(holder)) this.#gone.set(holder, (this.#gone.get(holder) ?? new Set()).add(Number(key)));
    else delete holder[String(key)];
    return true;
  }

  #note(flag: SalvageFlag, path: Path, was: unknown): void {
    this.flags.add(flag);
    this.#done.add(pointerOf(path));
    if (was !== undefined && this.asSent.length < mostPlaces) {
      this.asSent.push({ pointer: pointerOf(path), was: JSON.stringify(was).slice(0, mostKept) });
    }
  }
}

/** The value as it was meant, as far as it can be told; undefined where it cannot. */
function mend(issue: z.core.$ZodIssue, was: unknown): unknown {
  if (issue.code === "too_big") {
    if (typeof was === "string") return clipText(was.trim(), Number(issue.maximum));
    return Array.isArray(was) ? was.slice(0, Number(issue.maximum)) : undefined;
  }
  if (issue.code !== "invalid_type") return undefined;
  // Zod reports a fraction in place of a whole number as a wrong type.
  const expected: string = issue.expected;
  // A single value in place of a list.
  if (expected === "array") return typeof was === "string" ? [was] : undefined;
  if (typeof was === "number") return expected === "string" ? String(was) : expected === "int" ? Math.round(was) : undefined;
  return typeof was === "string" && ["number", "int"].includes(expected) && /^\s*-?\d+(\.\d+)?\s*$/.test(was) ? Number(was) : undefined;
}

const flagsOfFields: Readonly<Record<string, SalvageFlag>> = {
  photoIds: "photos-left-out",
  observationIds: "observations-left-out",
  answers: "answers-left-out",
  id: "id-made-here",
  odometerKm: "odometer-unreadable",
  durationSeconds: "duration-unreadable",
  performedAt: "time-unreadable",
  seenAt: "time-unreadable",
  happenedAt: "time-unreadable",
  proof: "reading-unreadable",
  reading: "reading-unreadable",
  asFound: "reading-unreadable",
  asLeft: "reading-unreadable",
  places: "reading-unreadable",
  unit: "reading-unreadable",
};

/** The flag of the innermost field of the path that has one of its own. */
function flagOf(path: Path): SalvageFlag {
  const names = path.filter((part) => typeof part === "string");
  if (names.length > 1 && names[0] === "answers") names.shift();
  return (
    names.toReversed().flatMap((name) => (Object.hasOwn(flagsOfFields, name) ? (flagsOfFields[name] ?? []) : []))[0] ?? "value-unreadable"
  );
}

const isObject = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null && !Array.isArray(value);

function at(body: unknown, path: Path): Holder | undefined {
  let value = body;
  for (const part of path) value = typeof value === "object" && value !== null ? (value as Record<PropertyKey, unknown>)[part] : undefined;
  return typeof value === "object" && value !== null ? (value as Holder) : undefined;
}

const pointerOf = (path: Path): string => path.map((part) => `/${String(part).replaceAll("~", "~0").replaceAll("/", "~1")}`).join("");

/** Whether a body, whatever else is wrong with it, has an answer that tells of something that is not right. */
export function answersTellOfDefect(raw: unknown): boolean {
  const answers = isObject(raw) ? raw["answers"] : null;
  return (
    Array.isArray(answers) &&
    answers.some(
      (answer) => isObject(answer) && (answer["result"] === "defect" || (firstSeen(answer) !== undefined && !isPutRight(answer))),
    )
  );
}

/** Whether all that was seen is said to be put right, and a rider may do so: then nothing is lost if the body is asked for again. */
function isPutRight({ result, observationIds }: Readonly<Record<string, unknown>>): boolean {
  const ids: unknown[] = Array.isArray(observationIds) ? observationIds : [observationIds];
  return result === "put-right" && ids.every((id) => typeof id === "string" && observationById(id)?.riderMayPutRight !== undefined);
}

/** What is taken from the arrival where the body says nothing readable: the moment, and an id computed from its bytes. */
export interface Arrival {
  readonly at: string;
  readonly id: string;
}

/** A check or an inspection that tells of a defect, mended; null where it tells of none, or cannot be mended. */
export function salvageCheck<Body extends { readonly answers: readonly { readonly itemId: string; readonly result: string }[] }>(
  contract: z.ZodType<Body>,
  raw: unknown,
  arrival: Arrival,
): Salvaged<Body> | null {
  if (!answersTellOfDefect(raw)) return null;
  const taken = salvage(contract, raw, (field, holder, was) => {
    switch (field) {
      case "result":
        return firstSeen(holder) === undefined ? undefined : "defect";
      case "itemId":
        return firstSeen(holder)?.split(".")[0] ?? (holder["result"] === "defect" ? "unknown" : undefined);
      case "sheetVersion":
        return "unknown";
      case "odometerKm":
        // A placeholder: the last known figure takes its place once the machine is known.
        return "answers" in holder ? 0 : undefined;
      case "durationSeconds":
        return typeof was === "number" && was > 0 ? limits.checkSeconds : 0;
      default:
        return ofArrival(field, holder, arrival);
    }
  });
  return taken !== null && answersTellOfDefect(taken.body) ? taken : null;
}

/** A report, mended; null where nothing readable is reported, or of no machine. */
export const salvageReport = <Body>(contract: z.ZodType<Body>, raw: unknown, arrival: Arrival): Salvaged<Body> | null =>
  salvage(contract, raw, (field, holder) => ofArrival(field, holder, arrival));

/**
 * The report of a fall, mended; null where nothing readable is told of it. Its body has no objects within it, so id and moment can only be its
 * own; where nobody can read what it struck, that is not said.
 */
export const salvageFall = <Body extends FallTold>(
  contract: z.ZodType<Body>,
  raw: unknown,
  { at: moment, id }: Arrival,
): Salvaged<Body> | null => {
  const instead: Readonly<Record<string, string>> = { id, happenedAt: moment, hit: hitNotSaid };
  const taken = salvage(contract, raw, (field) => instead[field]);
  return taken !== null && tellsOfFall(taken.body) ? taken : null;
};

/** What stands where nobody can read what a machine that fell has struck. */
export const hitNotSaid = "not-said";

interface FallTold {
  readonly hit: string;
  readonly bent?: readonly string[] | undefined;
  readonly note?: string | undefined;
}

const tellsOfFall = ({ hit, bent = [], note }: FallTold): boolean => hit !== hitNotSaid || bent.length > 0 || note !== undefined;

/** The id and moment of the body itself, which is what names a machine; objects within it get neither. */
function ofArrival(field: string, holder: Readonly<Record<string, unknown>>, { at: moment, id }: Arrival): unknown {
  if (!("machineId" in holder)) return undefined;
  if (field === "id") return id;
  return field === "performedAt" || field === "seenAt" ? moment : undefined;
}

function firstSeen({ observationIds }: Readonly<Record<string, unknown>>): string | undefined {
  const ids: unknown[] = Array.isArray(observationIds) ? observationIds : [observationIds];
  return ids.find((id): id is string => typeof id === "string" && id.trim() !== "");
}
