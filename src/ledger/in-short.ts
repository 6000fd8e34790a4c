// What an entry says in a few words, for a row of a spreadsheet, a report or a history. Pure; what is not known is left out, never guessed.
import { isForgotten, type KeptRecord, type RecordContent, RecordUnreadable, read } from "../../shared/records/index.ts";
import { isWordKey, type Language, type WordKey, type WordParams, word, wordByKey } from "../../shared/words/index.ts";
import { sayBent, sayHit } from "../../shared/words/say-fall.ts";
import { sayMoney } from "../../shared/words/say-money.ts";
import { allThatWasSeen, nameOfDefect, nameOfItem } from "../../shared/words/say-reason.ts";

/** Gives the name for an id in an entry: depots and models by name, machines by mark, people by staff number. */
export type Called = (id: string) => string;

/** The entry in short; empty if it cannot be read, for instance because a newer service wrote it. */
export function inShort(entry: KeptRecord, called: Called, language: Language): string {
  const told = readable(entry);
  if (told === null) return "";
  return isForgotten(told) ? word("record.forgotten", language) : new InShort(called, language).tell(told);
}

function readable(entry: KeptRecord): ReturnType<typeof read> | null {
  try {
    return read(entry);
  } catch (error) {
    if (error instanceof RecordUnreadable) return null;
    throw error;
  }
}

type DataOf<K extends RecordContent["kind"]> = RecordContent<K>["data"];
/** A depot may have hundreds of riders, and the record itself has all of them. */
const mostLinesTold = 20;
type Part = Readonly<Record<string, unknown>>;

/** The database keeps the members of an object in this order, the shortest name first. */
const namesIn = (part: Part): string[] => Object.keys(part).sort((a, b) => a.length - b.length || (a < b ? -1 : 1));

class InShort {
  readonly #called: Called;
  readonly #language: Language;

  constructor(called: Called, language: Language) {
    this.#called = called;
    this.#language = language;
  }

  /** A kind without a case here is described by its sentence, and by its reason if it has one. */
  tell({ kind, data }: RecordContent): string {
    switch (kind) {
      case "daily-check":
        return this.#check(data);
      case "weekly-inspection": {
        const count = data.outcome.defects.length;
        const said = count === 0 ? "record.inspection.nil" : "record.inspection.found";
        return this.#say(said, { km: String(data.submitted.odometerKm), count });
      }
      case "defect-raised":
      case "defect-sighted":
        return this.#finding(data);
      case "machine-fell":
        return this.#fell(data);
      case "defect-regraded": {
        const { category, reason } = data.submitted;
        return this.#say("record.regraded", { category: this.#named("category", category), reason });
      }
      case "defect-deferred":
        return this.#say("record.deferred", { day: data.submitted.untilDay, reason: data.submitted.reason });
      case "defect-waiting": {
        const { part, expectedDay: day, reason } = data.submitted;
        return this.#say("record.waiting", { part, day, reason });
      }
      case "defect-noted":
        return data.submitted.note;
      case "defect-repaired": {
        const { workDone, parts = [] } = data.submitted;
        const used = parts.map(({ quantity, name }) => this.#say("record.part", { quantity: String(quantity), name }));
        return this.#say("record.repaired", { work: workDone, parts: used.length === 0 ? this.#say("record.nothing") : used.join(", ") });
      }
      case "defect-signed-off":
        return data.submitted.statement ?? "";
      case "defect-not-found":
        return data.submitted.reason;
      case "machine-added":
        return this.#say("record.machine", { mark: data.registrationMark, km: String(data.odometerKm) });
      case "machine-amended":
      case "depot-amended":
        return this.#changes(data.before, data.after, namesIn(data.after));
      case "policy-changed":
        return this.#changes(data.before, data.after, data.changed);
      case "machine-withdrawn":
      case "hold-lifted":
      case "person-forgotten":
        return data.reason;
      case "machine-sent-out": {
        const { workshop, reason, expectedDay: day } = data.submitted;
        return this.#say("record.sent-out", { workshop, reason, day });
      }
      case "machine-taken-back":
        return this.#takenBack(data);
      case "machine-disposed":
        return [this.#say(`record.disposed.${data.how}`), data.note ?? ""].filter((one) => one !== "").join(": ");
      case "machine-returned":
      case "machine-reinstated":
        return "";
      case "machines-imported":
        return this.#say("record.machines", { count: String(data.imported) });
      case "paper-added": {
        const { number, validFrom: from, validTo: to } = data;
        return this.#say("record.paper", { kind: this.#named("paper-kind", data.kind), number, from, to });
      }
      case "paper-ended":
        return this.#paperEnded(data);
      case "person-added":
      case "person-left":
        return this.#say("record.person", this.#person(data));
      case "person-amended":
        return this.#say("record.person.amended", { ...this.#person(data), changed: data.changed.join(", ") });
      case "secret-reset":
        return this.#say("record.secret-reset", { number: this.#called(data.personId), until: data.expiresAt });
      case "secret-changed":
        return this.#say(data.afterCode ? "record.secret-chosen" : "record.secret-changed", { number: this.#called(data.personId) });
      case "depot-added":
      case "model-added":
        return data.name;
      case "model-revised":
        return this.#say("record.model", { name: data.after.name, revision: String(data.revision) });
      case "firm-founded":
        return data.firmName;
      case "allocation-kept":
        return this.#allocation(data);
      case "part-kept":
        return this.#partKept(data);
      case "stock-recorded": {
        const { number, name, submitted } = data;
        return this.#say(`record.stock.${submitted.how}`, { number, name, quantity: String(submitted.quantity) });
      }
      case "parts-imported":
        return this.#partsImported(data);
      case "campaign-added":
        return this.#campaign(data);
      case "campaign-ended": {
        const { name, left, submitted } = data;
        return this.#say("record.campaign.ended", { name, count: String(left), reason: submitted.reason });
      }
      case "photo-added":
        return this.#say("record.photo", { id: data.submitted.photoId });
      case "record-corrected": {
        const { pointer, right, reason } = data.submitted;
        return this.#say("record.corrected", {
          ...{ pointer: pointer || this.#say("record.corrected.whole"), right: typeof right === "boolean" ? "" : String(right) },
          ...{ reason, id: data.corrects },
        });
      }
      case "report-taken":
        return this.#taken(data);
      case "hold-placed":
        return this.#say("record.hold-placed", {
          what: data.registrationMark || this.#value(data.depotId ?? this.#say("record.hold-placed.firm")),
          reason: data.submitted.reason,
        });
      case "records-forgotten":
        return this.#say("record.forgotten-records", { count: String(data.records), day: data.untilDay });
    }
  }

  #allocation({ day, allocations }: DataOf<"allocation-kept">): string {
    const named = allocations
      .slice(0, mostLinesTold)
      .map(({ staffId, machineId }) =>
        this.#say("record.allocation.line", { number: this.#called(staffId), mark: this.#called(machineId) }),
      );
    const lines = named.length === 0 ? this.#say("record.nothing") : named.join(", ");
    const more = allocations.length - named.length;
    const told = more === 0 ? lines : this.#say("record.allocation.more", { lines, count: String(more) });
    return this.#say("record.allocation", { day, lines: told });
  }

  #partKept({ number, name, before, price, priceBefore }: DataOf<"part-kept">): string {
    const renamed = before !== null && before.name !== name;
    const part = renamed
      ? this.#say("record.part-kept.renamed", { number, name, before: before.name })
      : this.#say("record.part-kept", { number, name });
    if (price === null) return part;
    const { fromDay: day, priceMinor, currency } = price;
    if (priceMinor === null) return this.#say("record.part-kept.price-gone", { part, day });
    const now = { part, day, price: sayMoney(priceMinor, currency, this.#language) };
    if (priceBefore === null) return this.#say("record.part-kept.price", now);
    const was = sayMoney(priceBefore.priceMinor, priceBefore.currency, this.#language);
    return this.#say("record.part-kept.price-changed", { ...now, before: was });
  }

  #partsImported({ parts: all }: DataOf<"parts-imported">): string {
    const told = all.slice(0, mostLinesTold).map((part) => this.#partKept(part));
    const params = { count: String(all.length), parts: told.join("; ") };
    const more = all.length - told.length;
    return more === 0
      ? this.#say("record.parts-imported", params)
      : this.#say("record.parts-imported.more", { ...params, more: String(more) });
  }

  #campaign({ submitted: { name, job, grounds, dueDay: day }, machines }: DataOf<"campaign-added">): string {
    return this.#say(grounds ? "record.campaign.grounds" : "record.campaign", { name, job, day, count: String(machines) });
  }

  #say(key: WordKey, params: WordParams = {}): string {
    return word(key, this.#language, params);
  }

  #named(area: string, id: string): string {
    const key = `${area}.${id}`;
    return isWordKey(key) ? wordByKey(key, this.#language) : id;
  }

  #value(of: unknown): string {
    if (of === null || of === undefined || of === "") return this.#say("record.nothing");
    return typeof of === "string" ? this.#called(of) : JSON.stringify(of);
  }

  #changes(before: Part, after: Part, fields: readonly string[]): string {
    const change = (field: string) =>
      this.#say("record.change", {
        field: this.#named("field", field),
        before: this.#value(before[field]),
        after: this.#value(after[field]),
      });
    return fields.map(change).join("; ");
  }

  #quoted(note: string | null): string[] {
    return note === null || note === "" ? [] : [this.#say("record.quoted", { text: note })];
  }

  #seen(observationIds: readonly string[], note: string | null): string[] {
    return [...allThatWasSeen(observationIds, this.#language), ...this.#quoted(note)];
  }

  #check({ submitted, outcome }: DataOf<"daily-check">): string {
    const { decision, reasons } = outcome.clearance;
    const count = outcome.defects.length;
    // If an older defect was open, nothing new was found; if only dates forbid riding, nothing was found.
    const isClear = !reasons.some(({ defectId }) => defectId !== undefined);
    const done = (outcome.putRight ?? []).filter(({ isRight }) => isRight);
    const nothing = done.length > 0 ? "record.check.no-defect" : "record.check.nil";
    const said = count > 0 ? "record.check.found" : isClear ? nothing : "record.check.nothing-new";
    const check = this.#say(said, { km: String(submitted.odometerKm), count, decision: this.#named("record.decision", decision) });
    // Of the rider, not of the machine: a class of licence, or what was seen.
    const licence = reasons.filter(({ code }) => code === "licence-class");
    const all = [
      ...licence.map(({ held = "" }) => this.#say("record.check.licence", { held })),
      ...(outcome.rider?.findings ?? []).flatMap(({ observationIds, note }) => this.#seen(observationIds, note)),
    ];
    const told = all.length === 0 ? check : this.#say("record.check.rider", { check, seen: all.join("; ") });
    const put = done.map(({ itemId, observationIds, note }) =>
      this.#say("record.put-right", { item: nameOfItem(itemId, this.#language), seen: this.#seen(observationIds, note).join("; ") }),
    );
    return put.length === 0 ? told : this.#say("record.check.put-right", { check: told, done: put.join("; ") });
  }

  #finding({ defect, note, submitted, campaign }: DataOf<"defect-raised" | "defect-sighted">): string {
    const { itemId, observationIds, category } = defect;
    const seen = this.#seen(observationIds, note);
    const item = campaign ? nameOfDefect({ itemId, note, campaign: campaign.name }, this.#language) : nameOfItem(itemId, this.#language);
    const params = { item, category: this.#named("category", category) };
    if (submitted?.paperId !== undefined) return this.#say("record.advised", { ...params, seen: seen.join("; ") });
    return seen.length === 0 ? this.#say("record.defect", params) : this.#say("record.defect.seen", { ...params, seen: seen.join("; ") });
  }

  #fell({ submitted: { hit, bent = [], note } }: DataOf<"machine-fell">): string {
    const parts = bent.map((part) => sayBent(part, this.#language));
    const what = this.#say("record.fell", {
      hit: sayHit(hit, this.#language),
      bent: parts.length === 0 ? this.#say("record.nothing") : parts.join(", "),
    });
    const [quoted] = this.#quoted(note ?? null);
    return quoted === undefined ? what : this.#say("record.fell.noted", { what, note: quoted });
  }

  #takenBack({ submitted, currency, outcome }: DataOf<"machine-taken-back">): string {
    const { workDone, repaired = [] } = submitted;
    const back = this.#say("record.taken-back", { workshop: outcome.workshop });
    const more = repaired.length === 0 ? "" : this.#say("record.taken-back.repaired", { count: String(repaired.length) });
    const { costMinor } = submitted;
    const cost = costMinor === undefined || currency === undefined ? null : sayMoney(costMinor, currency, this.#language);
    const invoice = cost === null ? "" : this.#say("record.taken-back.invoice", { cost });
    return [back, more, workDone ?? "", invoice].filter((part) => part !== "").join("; ");
  }

  #paperEnded({ paper, submitted }: DataOf<"paper-ended">): string {
    const { number, validFrom: from, validTo: to } = paper;
    const { day, reason, note = null } = submitted;
    const said =
      reason === "mistaken" ? "record.paper-ended.mistaken" : reason === "failed" ? "record.paper-ended.failed" : "record.paper-ended";
    const kind = this.#named("paper-kind", paper.kind);
    const what = this.#say(said, { kind, number, from, to, day, reason: this.#named("paper-ending", reason) });
    const [quoted] = this.#quoted(note);
    return quoted === undefined ? what : this.#say("record.paper-ended.noted", { what, note: quoted });
  }

  #person({ staffNumber, role, roles = [role] }: DataOf<"person-added" | "person-left" | "person-amended">): WordParams {
    return { number: staffNumber, role: roles.map((one) => this.#named("role", one)).join(", ") };
  }

  #taken({ paper, machineId, on = "", from = on, to = on }: DataOf<"report-taken">): string {
    const days = from === to ? from : this.#say("record.days", { from, to });
    const name = this.#named("record.paper-name", paper);
    const what = machineId === undefined ? name : this.#say("record.taken.of-machine", { paper: name, mark: this.#called(machineId) });
    return from === "" ? this.#say("record.taken.undated", { paper: what }) : this.#say("record.taken", { paper: what, days });
  }
}
