// What an entry says, in a few words: for a row of a spreadsheet or a paper. Pure; what cannot be told is left out, never guessed.
import { categorySchema, roleSchema } from "../../../shared/contracts/common.ts";
import { isWordKey, type Language, type WordKey, type WordParams, word, wordByKey } from "../../../shared/words/index.ts";
import { nameOfItem, whatWasSeen } from "../../../shared/words/say-reason.ts";
import type { Kind } from "../../ledger/index.ts";

/** What ids in entries are called: depots and models by name, machines by mark, people by staff number. */
export type Called = (id: string) => string;

type Data = Readonly<Record<string, unknown>>;
const part = (data: Data, key: string): Data => {
  const value = data[key];
  return typeof value === "object" && value !== null ? (value as Data) : {};
};
const text = (data: Data, key: string): string => {
  const value = data[key];
  return typeof value === "string" ? value : typeof value === "number" ? String(value) : "";
};
const list = (data: Data, key: string): readonly unknown[] => {
  const value = data[key];
  return Array.isArray(value) ? value : [];
};

/** The entry in short. `data` null: it was forgotten. */
export function inShort(kind: Kind, data: Data | null, called: Called, language: Language): string {
  const say = (key: WordKey, params: WordParams = {}) => word(key, language, params);
  if (data === null) return say("record.forgotten");
  const submitted = part(data, "submitted");
  const outcome = part(data, "outcome");

  const named = (area: string, id: string): string => (isWordKey(`${area}.${id}`) ? wordByKey(`${area}.${id}`, language) : id);
  const category = (id: string): string => (isOne(categorySchema.options, id) ? named("category", id) : id);
  const value = (of: unknown): string => {
    if (of === null || of === undefined || of === "") return say("record.nothing");
    return typeof of === "string" ? called(of) : JSON.stringify(of);
  };
  const changes = (before: Data, after: Data, fields: readonly string[]): string =>
    fields.map((field) => say("record.change", { field, before: value(before[field]), after: value(after[field]) })).join("; ");
  const person = (): WordParams => {
    const role = text(data, "role");
    return { number: text(data, "staffNumber"), role: isOne(roleSchema.options, role) ? named("role", role) : role };
  };
  const defect = (): string => {
    const found = part(data, "defect");
    const itemId = found["itemId"];
    const note = text(data, "note");
    const seen = [
      ...list(found, "observationIds").map((id) => whatWasSeen(String(id), language)),
      ...(note === "" ? [] : [say("record.quoted", { text: note })]),
    ];
    const params = { item: nameOfItem(typeof itemId === "string" ? itemId : null, language), category: category(text(found, "category")) };
    return seen.length === 0 ? say("record.defect", params) : say("record.defect.seen", { ...params, seen: seen.join("; ") });
  };

  switch (kind) {
    case "daily-check": {
      const count = list(outcome, "defects").length;
      const decided = text(part(outcome, "clearance"), "decision");
      const decision = named("record.decision", decided);
      // Beside an older defect it was nothing new; what only the calendar stands against had nothing found.
      const isClear = !list(part(outcome, "clearance"), "reasons").some((one) => text(one as Data, "defectId") !== "");
      const said = count > 0 ? "record.check.found" : isClear ? "record.check.nil" : "record.check.nothing-new";
      const check = say(said, { km: text(submitted, "odometerKm"), count, decision });
      // Of the rider, not of the machine: a class of licence, or what was seen.
      const rider = list(part(outcome, "clearance"), "reasons").filter((one) => text(one as Data, "code") === "licence-class");
      const seen = list(part(outcome, "rider"), "findings").flatMap((one) => [
        ...list(one as Data, "observationIds").map((id) => whatWasSeen(String(id), language)),
        ...[text(one as Data, "note")].filter((note) => note !== "").map((note) => say("record.quoted", { text: note })),
      ]);
      const all = [...rider.map((one) => say("record.check.licence", { held: text(one as Data, "held") })), ...seen];
      return all.length === 0 ? check : say("record.check.rider", { check, seen: all.join("; ") });
    }
    case "weekly-inspection": {
      const count = list(outcome, "defects").length;
      return say(count === 0 ? "record.inspection.nil" : "record.inspection.found", { km: text(submitted, "odometerKm"), count });
    }
    case "defect-raised":
    case "defect-sighted":
      return defect();
    case "defect-regraded":
      return say("record.regraded", { category: category(text(submitted, "category")), reason: text(submitted, "reason") });
    case "defect-deferred":
      return say("record.deferred", { day: text(submitted, "untilDay"), reason: text(submitted, "reason") });
    case "defect-repaired": {
      const parts = list(submitted, "parts").map((one) =>
        say("record.part", { quantity: text(one as Data, "quantity"), name: text(one as Data, "name") }),
      );
      return say("record.repaired", {
        work: text(submitted, "workDone"),
        parts: parts.length === 0 ? say("record.nothing") : parts.join(", "),
      });
    }
    case "defect-signed-off":
      return text(submitted, "statement");
    case "defect-not-found":
      return text(submitted, "reason");
    case "machine-added":
      return say("record.machine", { mark: text(data, "registrationMark"), km: text(data, "odometerKm") });
    case "machine-amended":
    case "depot-amended":
      return changes(part(data, "before"), part(data, "after"), Object.keys(part(data, "after")));
    case "policy-changed":
      return changes(part(data, "before"), part(data, "after"), list(data, "changed").map(String));
    case "machine-withdrawn":
      return text(data, "reason");
    case "machine-returned":
      return "";
    case "machines-imported":
      return say("record.machines", { count: text(data, "imported") });
    case "paper-added":
      return say("record.paper", {
        ...{ kind: named("paper-kind", text(data, "kind")), number: text(data, "number") },
        ...{ from: text(data, "validFrom"), to: text(data, "validTo") },
      });
    case "paper-ended": {
      const paper = part(data, "paper");
      const reason = text(submitted, "reason");
      const params = {
        ...{ kind: named("paper-kind", text(paper, "kind")), number: text(paper, "number"), from: text(paper, "validFrom") },
        ...{ to: text(paper, "validTo"), day: text(submitted, "day"), reason: named("paper-ending", reason) },
      };
      const what = say(
        reason === "mistaken" ? "record.paper-ended.mistaken" : reason === "failed" ? "record.paper-ended.failed" : "record.paper-ended",
        params,
      );
      const note = text(submitted, "note");
      return note === "" ? what : say("record.paper-ended.noted", { what, note: say("record.quoted", { text: note }) });
    }
    case "person-added":
    case "person-left":
      return say("record.person", person());
    case "person-amended":
      return say("record.person.amended", { ...person(), changed: list(data, "changed").join(", ") });
    case "secret-reset":
      return say("record.secret-reset", { number: called(text(data, "personId")), until: text(data, "expiresAt") });
    case "secret-changed":
      return say(data["afterCode"] === true ? "record.secret-chosen" : "record.secret-changed", { number: called(text(data, "personId")) });
    case "depot-added":
    case "model-added":
      return text(data, "name");
    case "model-revised":
      return say("record.model", { name: text(part(data, "after"), "name"), revision: text(data, "revision") });
    case "firm-founded":
      return text(data, "firmName");
    case "photo-added":
      return say("record.photo", { id: text(submitted, "photoId") });
    case "record-corrected":
      return say("record.corrected", {
        pointer: text(submitted, "pointer") || say("record.corrected.whole"),
        right: text(submitted, "right"),
        reason: text(submitted, "reason"),
        id: text(data, "corrects"),
      });
    case "report-taken": {
      const [from, to] = [text(data, "from") || text(data, "on"), text(data, "to") || text(data, "on")];
      const days = from === to ? from : say("record.days", { from, to });
      const machineId = text(data, "machineId");
      const name = named("record.paper-name", text(data, "paper"));
      const paper = machineId === "" ? name : say("record.taken.of-machine", { paper: name, mark: called(machineId) });
      return from === "" ? say("record.taken.undated", { paper }) : say("record.taken", { paper, days });
    }
    case "hold-placed":
      return say("record.hold-placed", {
        what: text(data, "registrationMark") || value(data["depotId"] ?? say("record.hold-placed.firm")),
        reason: text(submitted, "reason"),
      });
    case "records-forgotten":
      return say("record.forgotten-records", { count: text(data, "records"), day: text(data, "untilDay") });
    default:
      // A kind that has no words of its own here is told by its sentence, and by its reason where it has one.
      return text(submitted, "reason") || text(data, "reason");
  }
}

const isOne = <T extends string>(options: readonly T[], of: string): of is T => options.some((option) => option === of);
