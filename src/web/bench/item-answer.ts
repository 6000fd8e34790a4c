// What the fields of one item hold, and the answer that is made of them.
import type { Item } from "../../../shared/catalogue/types.ts";
import type { Unit } from "../../../shared/contracts/quantities.ts";
import type { JudgedMachine } from "../../../shared/rules/judge-reading.ts";
import { worstPlaceOf } from "../../../shared/rules/places.ts";
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
  };
}

/** How many places may be read: several where the worst of them decides. */
export const mostPlaces = (item: Item, machine: JudgedMachine): number =>
  item.quantity !== undefined && worstPlaceOf(item.quantity, machine.handbook) !== null ? 6 : 1;

/** The answer to the item; `given`: it was said to be done, else it stays open in the draft. */
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
