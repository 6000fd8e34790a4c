// From the answers of a sheet to findings: what was seen, weighed by the catalogue of the sheet's version. In doubt the worse case counts:
// what is said of a defect is taken even where the answer is inconsistent, and flagged.
import {
  categoryOf,
  isKnownSheet,
  isOfRider,
  itemById,
  itemsFor,
  mayNotApply,
  mayPutRight,
  observationById,
  SHEET_VERSION,
} from "../catalogue/sheet.ts";
import type { Item, SheetKind } from "../catalogue/types.ts";
import type { Features } from "../contracts/machine-model.ts";
import type { Finding } from "./findings.ts";

export interface Answer {
  readonly itemId: string;
  readonly result: "ok" | "defect" | "put-right" | "not-applicable";
  readonly observationIds?: readonly string[] | undefined;
  readonly note?: string | undefined;
}

export interface AnswerIssue {
  /** which answer, or null for the sheet as a whole */
  readonly index: number | null;
  readonly field?: "itemId" | "result" | "observationIds" | "proof" | "reading";
  readonly message: string;
}

export type AnswerFlag =
  | "sheet-unknown"
  | "sheet-old"
  | "answers-missing"
  | "answer-doubled"
  | "item-unknown"
  | "item-not-on-this-machine"
  | "observation-unknown"
  | "defect-not-described"
  | "ok-with-observations"
  | "ok-with-note"
  | "put-right-not-offered"
  | "not-applicable-claimed";

export type WeighedFinding = Finding & { readonly itemId: string; readonly note: string | null; readonly index: number };

export interface WeighedAnswers {
  /** of the machine */
  readonly findings: readonly WeighedFinding[];
  /** about the rider: no defect of the machine */
  readonly ofRider: readonly WeighedFinding[];
  /** put right on the spot, where the sheet lets a rider do so: findings only if a reading after it says so */
  readonly putRight: readonly WeighedFinding[];
  /** items of this machine's sheet without an answer that counts */
  readonly unanswered: readonly string[];
  readonly flags: readonly AnswerFlag[];
  /** what has to be put right before a check without any defect can be taken */
  readonly issues: readonly AnswerIssue[];
}

/** What is found at an unknown item still takes a competent person to close. */
const unknownItem = { competence: "general", secondPerson: false, quantity: null } as const;

/** What a defect takes over from its item. */
export const itemFacts = (item: Item | undefined): Pick<Finding, "competence" | "secondPerson" | "quantity"> =>
  item
    ? {
        competence: item.competence,
        secondPerson: item.secondPerson,
        quantity: item.quantity !== undefined && item.quantityOptional !== true ? item.quantity : null,
      }
    : unknownItem;

/** A finding at an item: its category by the catalogue, `major` where only words were given or nothing is known of it. */
export function findingOf(itemId: string, observationIds: readonly string[], version: string): Finding & { readonly itemId: string } {
  const item = itemById(itemId, version);
  const known = item ? categoryOf(itemId, observationIds, true, version) : null;
  return {
    itemId,
    observationIds,
    category: known ?? "major",
    ...itemFacts(item),
    onlyNewPart: observationIds.some((id) => observationById(id, version)?.onlyRepair === "new-part"),
  };
}

/** The item that an observation of the catalogue belongs to. */
export const ownerOf = (observationId: string): string => observationId.split(".")[0] ?? observationId;

/** Answers to one sheet while they are weighed: what is odd about them is noted as it is met. */
interface Weighing {
  readonly version: string;
  readonly sheet: ReadonlyMap<string, Item>;
  readonly flags: Set<AnswerFlag>;
  readonly issues: AnswerIssue[];
}

/** Weighs all answers to a sheet of this machine. */
export function weighAnswers(kind: SheetKind, features: Features, sheetVersion: string, answers: readonly Answer[]): WeighedAnswers {
  const weighing = beginWeighing(kind, features, sheetVersion);
  const { version, sheet, flags, issues } = weighing;
  const worst: Worst = new Map();
  const putRight: Worst = new Map();
  const answered = new Set<string>();
  const seen = new Set<string>();
  answers.forEach((answer, index) => {
    noteOddAnswer(weighing, answer, index, seen.has(answer.itemId));
    seen.add(answer.itemId);
    const item = sheet.get(answer.itemId);
    const observationIds = [...new Set(answer.observationIds ?? [])];
    if (answer.result === "put-right" && mayPutRight(item, observationIds)) {
      addFound(putRight, answer, observationIds, index, version);
      answered.add(answer.itemId);
    } else if (answer.result === "defect" || answer.result === "put-right" || observationIds.length > 0) {
      // What a rider may not put right is a defect, whatever was done about it.
      if (answer.result === "put-right") flags.add("put-right-not-offered");
      else if (answer.result !== "defect") {
        flags.add("ok-with-observations");
        issues.push({ index, field: "result", message: "observations are given, so the result is a defect" });
      }
      if (observationIds.length === 0 && answer.note === undefined) flags.add("defect-not-described");
      addFound(worst, answer, observationIds, index, version);
      answered.add(answer.itemId);
    } else if (answer.result === "not-applicable") {
      if (item) flags.add("not-applicable-claimed");
      // The model may have a feature wrong, and the manager is asked. That cannot be so for what every machine has.
      if (item && mayNotApply(item)) answered.add(answer.itemId);
    } else {
      answered.add(answer.itemId);
      // The rider says that it is all right and adds a word: no defect, but kept where a mechanic will read it.
      if (answer.note !== undefined) flags.add("ok-with-note");
    }
  });
  const unanswered = [...sheet.keys()].filter((id) => !answered.has(id));
  if (unanswered.length > 0) flags.add("answers-missing");
  issues.push(...unanswered.map((id) => issueOfUnanswered(id, answers)));
  // An item that was answered as put right and as a defect too has a defect.
  for (const [itemId, { observationIds, notes }] of putRight) {
    worst.get(itemId)?.observationIds.push(...observationIds);
    worst.get(itemId)?.notes.push(...notes);
  }
  const { ofMachine, ofRider } = findingsIn(worst, version);
  const done = findingsIn(putRight, version).ofMachine.filter(({ itemId }) => !worst.has(itemId));
  return { findings: ofMachine, ofRider, putRight: done, unanswered, flags: [...flags], issues };
}

function beginWeighing(kind: SheetKind, features: Features, sheetVersion: string): Weighing {
  const known = isKnownSheet(sheetVersion);
  const version = known ? sheetVersion : SHEET_VERSION;
  const sheet = new Map(itemsFor(features, kind, version).map((item) => [item.id, item]));
  const flags = new Set<AnswerFlag>();
  const issues: AnswerIssue[] = [];
  if (!known) {
    flags.add("sheet-unknown");
    issues.push({ index: null, message: `there is no sheet version ${sheetVersion}; load the sheet again` });
  } else if (version !== SHEET_VERSION) flags.add("sheet-old");
  return { version, sheet, flags, issues };
}

/** Notes an item that is answered twice or is not on this machine's sheet, and observations that do not belong to the item. */
function noteOddAnswer({ version, sheet, flags, issues }: Weighing, answer: Answer, index: number, again: boolean): void {
  const item = sheet.get(answer.itemId);
  if (again) {
    flags.add("answer-doubled");
    issues.push({ index, field: "itemId", message: "this item is answered twice" });
  }
  if (!item) {
    const elsewhere = itemById(answer.itemId, version);
    flags.add(elsewhere ? "item-not-on-this-machine" : "item-unknown");
    // Saying that an item of another machine does not apply is right, and not worth a refusal.
    if (!elsewhere || answer.result !== "not-applicable") {
      issues.push({ index, field: "itemId", message: elsewhere ? "this machine does not have this item" : "no such item on this sheet" });
    }
    return;
  }
  for (const id of new Set(answer.observationIds ?? [])) {
    if (item.observations.some((observation) => observation.id === id)) continue;
    flags.add("observation-unknown");
    issues.push({ index, field: "observationIds", message: `${id} is not an observation of this item` });
  }
}

/** What was found, by item id. */
type Worst = Map<string, { observationIds: string[]; notes: string[]; index: number }>;

/** An observation's id names its item; given under another item's answer, it keeps its own item's category and competence. */
function addFound(worst: Worst, answer: Answer, observationIds: readonly string[], index: number, version: string): void {
  const seenAt = observationIds.map((id) => ({ id, itemId: observationById(id, version) ? ownerOf(id) : answer.itemId }));
  for (const itemId of seenAt.length === 0 ? [answer.itemId] : new Set(seenAt.map((one) => one.itemId))) {
    const held = worst.get(itemId) ?? { observationIds: [], notes: [], index };
    held.observationIds.push(...seenAt.filter((one) => one.itemId === itemId).map(({ id }) => id));
    if (answer.note !== undefined) held.notes.push(answer.note);
    worst.set(itemId, held);
  }
}

function issueOfUnanswered(id: string, answers: readonly Answer[]): AnswerIssue {
  const index = answers.findIndex((answer) => answer.itemId === id);
  return index === -1
    ? { index: null, message: `${id} is not answered` }
    : { index, field: "result", message: "this machine has this item: answer ok or defect" };
}

/** One finding for each item, what the rider wears or carries apart: that is no defect of the machine. */
function findingsIn(worst: Worst, version: string): { ofMachine: WeighedFinding[]; ofRider: WeighedFinding[] } {
  const findings = [...worst].map(
    ([itemId, { observationIds, notes, index }]): WeighedFinding => ({
      ...findingOf(itemId, [...new Set(observationIds)], version),
      note: notes.length > 0 ? notes.join("\n") : null,
      index,
    }),
  );
  const concernsRider = ({ itemId }: WeighedFinding): boolean => {
    const item = itemById(itemId, version);
    return item !== undefined && isOfRider(item);
  };
  const ofRider = findings.filter(concernsRider);
  return { ofMachine: findings.filter((finding) => !ofRider.includes(finding)), ofRider };
}
