// What the fields of one item hold, and the answer that is made of them.
import type { Item } from "../../../shared/catalogue/types.ts";
import type { Unit } from "../../../shared/contracts/quantities.ts";
import type { JudgedMachine } from "../../../shared/rules/judge-reading.ts";
import { worstPlaceOf } from "../../../shared/rules/places.ts";
import { readingIssues } from "../../../shared/rules/reading-issues.ts";
import { valueTyped } from "../field/number-pad.tsx";
import type { DraftAnswer } from "./draft.ts";
import { firstUnit } from "./reading-field.tsx";

export type Action = NonNullable<DraftAnswer["actions"]>[number];
export const actions: readonly Action[] = ["adjusted", "lubricated", "topped-up", "cleaned", "tightened", "replaced"];

export interface Fields {
  readonly observationIds: readonly string[];
  readonly note: string;
  readonly photoIds: readonly string[];
  readonly actions: readonly Action[];
  readonly unit: Unit | null;
  /** as found, at one place or several, as typed */
  readonly found: readonly string[];
  readonly left: string;
  readonly celsius: string;
  readonly load: "solo" | "laden";
  readonly readTwice: boolean;
  /** what is said of the open advisories of this part */
  readonly advisories: NonNullable<DraftAnswer["advisories"]>;
}

const textOf = (value: number | undefined): string => (value === undefined ? "" : String(value));

export function fieldsOf(answer: DraftAnswer | undefined, item: Item, machine: JudgedMachine): Fields {
  return {
    observationIds: answer?.observationIds ?? [],
    note: answer?.note ?? "",
    photoIds: answer?.photoIds ?? [],
    actions: answer?.actions ?? [],
    unit: answer?.unit ?? (item.quantity === undefined ? null : firstUnit(machine, item.quantity)),
    found: answer?.places?.map(String) ?? [textOf(answer?.asFound)],
    left: textOf(answer?.asLeft),
    celsius: textOf(answer?.celsius),
    load: answer?.load ?? "solo",
    readTwice: answer?.readTwice ?? false,
    advisories: answer?.advisories ?? [],
  };
}

/** At how many places it may be read: at several if the worst of them decides. */
export const mostPlaces = (item: Item, machine: JudgedMachine): number =>
  item.quantity !== undefined && worstPlaceOf(item.quantity, machine.handbook) !== null ? 6 : 1;

type Measured = Pick<DraftAnswer, "asFound" | "places">;
const isMeasured = (answer: Measured): boolean => answer.asFound !== undefined || answer.places !== undefined;

export const needsReading = ({ quantity, quantityOptional }: Item): boolean => quantity !== undefined && quantityOptional !== true;

export type OddField = ReturnType<typeof readingIssues>[number];

/** What is odd about the readings typed so far; empty while there are none. */
export function oddOf(item: Item, fields: Fields, machine: JudgedMachine): OddField[] {
  const answer = { ...answerOf(item, fields, true) };
  return isMeasured(answer) ? readingIssues({ ...answer, result: answer.result ?? "ok" }, 0, item, machine.handbook) : [];
}

/** Whether the item has to stay open: its reading is missing, or has to be taken again. */
export function staysOpen(item: Item, fields: Fields, machine: JudgedMachine): boolean {
  const answer = answerOf(item, fields, true);
  if (!isMeasured(answer)) return needsReading(item) || answer.asLeft !== undefined;
  return oddOf(item, fields, machine).length > 0;
}

export type ItemState = "open" | "missing" | "odd" | "found" | "well" | "well-unmeasured";

/** How an item of a draft stands. `odd`: the rules ask about its reading again; `outside`: the reading is outside its limits. */
export function stateOfItem(item: Item, answer: DraftAnswer | undefined, odd: boolean, outside: boolean): ItemState {
  if (answer === undefined) return "open";
  const measured = isMeasured(answer);
  // An item put off for later has an answer without a result.
  if (!measured && (needsReading(item) || answer.asLeft !== undefined)) return "missing";
  if (odd) return "odd";
  if (answer.result === undefined) return "open";
  if (answer.result === "defect" || outside) return "found";
  return item.quantity !== undefined && !measured ? "well-unmeasured" : "well";
}

export const isSettled = (state: ItemState): boolean => state !== "open" && state !== "missing" && state !== "odd";

/** The answer to the item; `given`: the mechanic said that it is done, else it stays open in the draft. */
export function answerOf(item: Item, fields: Fields, given: boolean): DraftAnswer {
  const values = fields.found.map(valueTyped).filter((value) => value !== null);
  const left = valueTyped(fields.left);
  const celsius = valueTyped(fields.celsius);
  const note = fields.note.trim();
  const seen = fields.observationIds.length > 0 || fields.photoIds.length > 0;
  return {
    itemId: item.id,
    ...(given ? { result: seen ? ("defect" as const) : ("ok" as const) } : {}),
    ...(fields.observationIds.length > 0 ? { observationIds: [...fields.observationIds] } : {}),
    ...(note === "" ? {} : { note }),
    ...(fields.photoIds.length > 0 ? { photoIds: [...fields.photoIds] } : {}),
    ...(fields.actions.length > 0 ? { actions: [...fields.actions] } : {}),
    ...(fields.advisories.length > 0 ? { advisories: [...fields.advisories] } : {}),
    ...(item.quantity === undefined || (values.length === 0 && left === null) || fields.unit === null
      ? {}
      : {
          unit: fields.unit,
          ...(values.length > 1 ? { places: values } : values[0] === undefined ? {} : { asFound: values[0] }),
          ...(left === null ? {} : { asLeft: left }),
          ...(fields.readTwice ? { readTwice: true } : {}),
          ...(item.quantity.endsWith("tyre-pressure") && celsius !== null ? { celsius } : {}),
          ...(fields.load === "laden" ? { load: "laden" as const } : {}),
        }),
  };
}
