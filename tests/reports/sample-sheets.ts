// The real check sheets of two invented machines, for the reports' tests.
import { isOfRider, itemsFor, mayNotApply, sheetTools } from "../../shared/catalogue/sheet.ts";
import type { Features } from "../../shared/contracts/machine-model.ts";
import { unitsFor } from "../../shared/units.ts";
import { itemHow, itemPrompt, observationText, stationName, toolName } from "../../shared/words/item-words.ts";
import { sayMethod } from "../../shared/words/say-method.ts";
import type { BlankSheetFacts } from "../../src/reports/index.ts";
import { chainMachine, electricMachine } from "../support/machines.ts";
import { frame, machine } from "./sample-facts.ts";

/** Everything that a small motorcycle can have: the longest sheets. */
export const fullFeatures: Features = { ...chainMachine, decompressor: true };

export const electricFeatures: Features = { ...electricMachine, wheels: chainMachine.wheels, carrier: true, loadBox: true };

/** The real sheet of a machine with these features, as `checkSheet` answers it. */
export const sheet = (kind: "daily" | "weekly", features: Features): BlankSheetFacts => {
  const items = itemsFor(features, kind);
  return {
    frame,
    machine: machine(),
    sheet: {
      kind,
      sheetVersion: "2026-07",
      tools: sheetTools(features, kind).map((id) => ({ name: toolName(id) })),
      stations: [...new Set(items.map((item) => item.stationId))].map((id) => ({
        name: stationName(id),
        items: items
          .filter((item) => item.stationId === id)
          .map((item) => ({
            prompt: itemPrompt(item.id),
            about: isOfRider(item) ? "rider" : "machine",
            notApplicable: mayNotApply(item),
            how: itemHow(item, features),
            observations: item.observations.map(({ id: seen, category }) => ({ text: observationText(seen), category })),
            ...(item.quantity === undefined
              ? {}
              : {
                  measurement: {
                    units: ["mm" as const],
                    limit: { kind: "handbook" as const, least: 20, most: 30, unit: "mm" as const, source: "handbook" },
                    takenAt: kind === "weekly" ? ("inspection" as const) : ("sign-off" as const),
                  },
                }),
          })),
      })),
      proof:
        kind === "daily"
          ? { quantity: "front-tyre-pressure", units: unitsFor("front-tyre-pressure"), method: sayMethod("front-tyre-pressure", {}) }
          : null,
    },
    minorWithinDays: 7,
  };
};
