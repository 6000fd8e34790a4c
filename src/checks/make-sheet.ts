// The sheet of this very machine: what applies, in walking order, with what can be observed, the limits, and the one reading that a daily
// check asks for.

import {
  isOfRider,
  itemOfTheDay,
  itemsFor,
  mayNotApply,
  type Proof,
  proofFor,
  SHEET_VERSION,
  sheetTools,
} from "../../shared/catalogue/sheet.ts";
import { sourceByKey } from "../../shared/catalogue/sources.ts";
import { stations } from "../../shared/catalogue/stations.ts";
import type { Item, SheetKind } from "../../shared/catalogue/types.ts";
import type { Sheet } from "../../shared/contracts/sheets.ts";
import { limitFor } from "../../shared/rules/as-new.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import type { DueAtItem } from "../../shared/rules/engine.ts";
import type { JudgedMachine } from "../../shared/rules/judge-reading.ts";
import { worstPlaceOf } from "../../shared/rules/places.ts";
import { onlyRides } from "../../shared/rules/roles.ts";
import type { DecidingLimit } from "../../shared/rules/verdict.ts";
import { dueBy } from "../../shared/rules/weekly-inspection.ts";
import { unitsFor } from "../../shared/units.ts";
import { type Language, word } from "../../shared/words/index.ts";
import { itemHow, itemPrompt, itemWhy, observationText, stationName, toolName } from "../../shared/words/item-words.ts";
import { sayDue } from "../../shared/words/say-guidance.ts";
import { sayMethod } from "../../shared/words/say-method.ts";
import { type AppContext, depotRulesOf, type MachineFacts, readMachineFacts } from "../acts/index.ts";
import { type Actor, machineInBody, objectOf, platformErrors } from "../platform/index.ts";
import { sheetSha256 } from "./sheet-versions.ts";

/** The machine of a sheet, with its depot. */
export const machine = objectOf({
  name: "machine",
  missing: "There is no machine with this id.",
  find: (context: AppContext, id) => readMachineFacts(context, id),
  depotOf: ({ machine }) => machine.depotId,
});

/** The machine of a draft, which its body names. */
export const inBody = machineInBody(machine);

/** The sheet of a machine for today. Riders get the daily one. Throws `not-your-role`. */
export function checkSheet(context: AppContext, actor: Actor, facts: MachineFacts, kind: SheetKind): Sheet {
  if (kind === "weekly" && onlyRides(actor)) {
    throw platformErrors.problem("not-your-role", "The weekly sheet is for mechanics, managers and auditors.");
  }
  return sheetOf(facts, kind, context.clock.now());
}

/** The sheet for a machine as its facts are, with its words in a language. */
export function sheetOf(facts: MachineFacts, kind: SheetKind, at: Date, language: Language = "en"): Sheet {
  const { features, handbook, engineCc } = facts.model;
  const judged: JudgedMachine = { features, handbook, engineCc, ruleSet: facts.depot.ruleSet };
  const items = itemsFor(features, kind);
  const inspected = { features, handbook, state: facts.state, depotRules: depotRulesOf(facts) };
  const due = kind === "weekly" ? dueBy(inspected, at) : [];
  const day = localDay(at, facts.depot.timeZone);
  return {
    machineId: facts.machine.id,
    sheetVersion: SHEET_VERSION,
    sheetSha256: sheetSha256(SHEET_VERSION) ?? "",
    kind,
    day,
    tools: sheetTools(features, kind).map((id) => ({ id, name: toolName(id, language) })),
    stations: stations
      .map(({ id }) => ({
        id,
        name: stationName(id, language),
        items: items
          .filter((item) => item.stationId === id)
          .map((item) => ({
            ...itemAnswer(item, judged, language),
            ...dueAnswer(
              due.find(({ itemId }) => itemId === item.id),
              language,
            ),
          })),
      }))
      .filter((station) => station.items.length > 0),
    proof: kind === "daily" ? proofAnswer(proofFor({ machineId: facts.machine.id, day, features, handbook }), judged, language) : null,
    itemOfTheDay: kind === "daily" ? itemOfTheDay({ machineId: facts.machine.id, day, features }) : null,
    caution: word("caution.line", language),
  };
}

const proofAnswer = (proof: Proof, judged: JudgedMachine, language: Language): NonNullable<Sheet["proof"]> => ({
  ...proof,
  units: [...unitsFor(proof.quantity)],
  method: sayMethod(proof.quantity, judged.handbook, language),
  load: proof.quantity.endsWith("tyre-pressure") ? "solo" : null,
  limit: limitFor(proof.quantity, judged),
});

const dueAnswer = (at: DueAtItem | undefined, language: Language) =>
  at === undefined ? {} : { oil: { due: at.due, kmLeft: at.kmLeft, daysLeft: at.daysLeft, text: sayDue(at, language) } };

function sourceOf({ kind, source }: DecidingLimit) {
  const known = kind === "not-set" ? undefined : sourceByKey(source);
  if (known === undefined) return null;
  const { title, locator, basis, note } = known;
  return { title, locator, basis, ...(note === undefined ? {} : { note }) };
}

function itemAnswer(item: Item, judged: JudgedMachine, language: Language): Sheet["stations"][number]["items"][number] {
  const limit = item.quantity === undefined ? null : limitFor(item.quantity, judged);
  return {
    id: item.id,
    prompt: itemPrompt(item.id, language),
    how: itemHow(item, judged.features, language),
    why: itemWhy(item.id, language),
    competence: item.competence,
    secondPerson: item.secondPerson,
    about: isOfRider(item) ? "rider" : "machine",
    notApplicable: mayNotApply(item),
    riderMayPutRight: item.observations.some(({ riderMayPutRight }) => riderMayPutRight !== undefined),
    observations: item.observations.map(({ id, category, source, riderMayPutRight }) => ({
      ...{ id, text: observationText(id, language), category },
      source: sourceByKey(source)?.title ?? source,
      riderMayPutRight: riderMayPutRight ?? null,
    })),
    ...(item.quantity === undefined || limit === null
      ? {}
      : {
          measurement: {
            quantity: item.quantity,
            units: [...unitsFor(item.quantity)],
            limit,
            takenAt: item.kind === "weekly" ? ("inspection" as const) : ("sign-off" as const),
            optional: item.quantityOptional === true,
            method: sayMethod(item.quantity, judged.handbook, language),
            severalPlaces: worstPlaceOf(item.quantity, judged.handbook),
            source: sourceOf(limit),
          },
        }),
  };
}
