// A machine, its people and the clock, driven by random steps through the pure rules alone. Beside the state that the rules keep it
// holds a memory of its own of what happened, in the plainest terms, for tests to compare with.

import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { WeeklyInspectionBody } from "../../shared/contracts/checks.ts";
import type { Category, Competence } from "../../shared/contracts/common.ts";
import { advisoriesAt } from "../../shared/rules/advisories.ts";
import { findingOf } from "../../shared/rules/answers.ts";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import type { Clearance } from "../../shared/rules/clearance.ts";
import { defer, isFirstLook, notFound, regrade, repair, signOff, type Within, waitForPart } from "../../shared/rules/course.ts";
import { judgeDailyCheck } from "../../shared/rules/daily-check.ts";
import { takeFall } from "../../shared/rules/fall.ts";
import { recordFinding } from "../../shared/rules/findings.ts";
import { type JudgedMachine, readingWithinLimits } from "../../shared/rules/judge-reading.ts";
import {
  grounds,
  type MachineState,
  newMachineState,
  type OpenDefect,
  returnedAt,
  withdrawnFrom,
} from "../../shared/rules/machine-state.ts";
import { withPaper } from "../../shared/rules/papers.ts";
import { defaultPolicy, type Policy } from "../../shared/rules/policy.ts";
import { judgeWeeklyInspection } from "../../shared/rules/weekly-inspection.ts";
import { dailyBodyOf, readingOf, type Step, sightingOf, weeklyBodyOf } from "./steps.ts";

export interface Person {
  readonly staffId: string;
  readonly competences: readonly Competence[];
}

/** What the memory holds of a defect that was never signed off nor not found. */
export interface Remembered {
  category: Category;
  readonly seenAt: Date;
  lastSeenAt: Date;
  /** the last repair made since it was last seen */
  repairedBy: string | null;
  /** everybody who repaired it since it was last seen */
  repairers: readonly string[];
  repairedAt: Date | null;
  /** who looked since it was last seen or repaired and said that it need not ground, while it stayed as it was */
  looks: readonly { readonly finding: "not-found" | "minor"; readonly by: string }[];
  /** days of the inspections made since it was seen, or since it became minor again */
  inspectedOn: string[];
  /** since when its days count: when it was seen, or raised from an advisory */
  daysFrom: Date;
  /** each wait for a part that was signed, and whether it goes on: not since a repair */
  waits: readonly { readonly expectedDay: string; readonly running: boolean }[];
}

/** The later of a day and of that on which a part is expected for which it waits. */
const untilPart = (day: string, { waits }: Remembered): string =>
  waits.reduce((last, { expectedDay, running }) => (running && expectedDay > last ? expectedDay : last), day);

export interface Closing {
  readonly how: "sign-off" | "not-found";
  readonly before: OpenDefect;
  readonly remembered: Remembered;
  readonly by: Person;
  readonly reading: ReturnType<typeof readingOf> | null;
  readonly policy: Policy;
}

export interface Signed {
  readonly body: WeeklyInspectionBody;
  readonly by: Person;
  readonly policy: Policy;
  readonly raised: readonly OpenDefect[];
}

export interface Given {
  readonly clearance: Clearance;
  readonly performedAt: Date;
  readonly policy: Policy;
}

export class World {
  state: MachineState;
  now: Date;
  policy: Policy = defaultPolicy;
  readonly open = new Map<string, Remembered>();
  withdrawn = false;
  readonly papers = new Map<string, string>();
  /** the day of the last inspection that counts, and whether a first-use one is due */
  inspectedOn: string | null = null;
  firstUseDue = true;
  returnedAt: Date | null = null;
  /** when it fell, for each fall after which nobody has inspected it */
  falls: Date[] = [];
  /** when something last stood up against riding */
  groundedAt: Date | null = null;
  mostMinorDays = defaultPolicy.minorDefectDays;
  closings: Closing[] = [];
  /** re-gradings that let a grounded machine ride */
  releases: Pick<Closing, "before" | "remembered" | "by" | "policy">[] = [];
  given: Given[] = [];
  /** inspections as they were signed */
  inspections: Signed[] = [];
  readonly machine: JudgedMachine;
  readonly timeZone: string;
  readonly people: readonly Person[];
  #ids = 0;

  constructor(machine: JudgedMachine, timeZone: string, start: Date, people: readonly Person[]) {
    this.machine = machine;
    this.timeZone = timeZone;
    this.people = people;
    this.now = start;
    this.state = newMachineState(1000, start.toISOString());
  }

  get depotRules() {
    return { timeZone: this.timeZone, policy: this.policy };
  }

  readonly newId = (): string => `id-${this.#ids++}`;
  readonly day = (at: Date): string => localDay(at, this.timeZone);

  /** Whether a remembered defect stands against riding: by its category, or as a minor one whose day is over. */
  stands(id: string, one: Remembered, at: Date): boolean {
    if (grounds(one.category)) return true;
    const dueDay = this.state.defects.find((defect) => defect.id === id)?.dueDay;
    return typeof dueDay === "string" && dueDay < this.day(at);
  }

  /** Takes one step; what the rules refuse changes nothing. */
  take(step: Step): void {
    const stood = new Set([...this.open].filter(([id, one]) => this.stands(id, one, this.now)).map(([id]) => id));
    this.#take(step);
    this.state = { ...this.state, recordedAt: this.now.toISOString() };
    const standsUp = [...this.open].some(([id, one]) => !stood.has(id) && this.stands(id, one, this.now));
    if (step.act !== "pass" && standsUp) this.groundedAt = this.now;
  }

  #take(step: Step): void {
    const by = this.people[step.who % this.people.length];
    const about = this.state.defects[step.defect % Math.max(1, this.state.defects.length)];
    if (!by) throw new Error("nobody is there");
    const performedAt = new Date(this.now.getTime() - step.minutesAgo * 60_000);
    const field = { id: this.newId(), machineId: "machine", performedAt: performedAt.toISOString() };
    switch (step.act) {
      case "pass":
        this.now = new Date(this.now.getTime() + step.minutes * 60_000);
        return;
      case "policy": {
        const { secondPerson, clearanceHours, inspectionEveryDays, minorDefectDays } = step;
        this.policy = { ...this.policy, secondPerson, clearanceHours, inspectionEveryDays, minorDefectDays };
        this.mostMinorDays = Math.max(this.mostMinorDays, minorDefectDays);
        return;
      }
      case "withdraw":
        if (this.withdrawn) return;
        this.state = withdrawnFrom(this.state, this.now.toISOString(), "for a reason");
        this.withdrawn = true;
        this.groundedAt = this.now;
        return;
      case "return":
        if (!this.withdrawn) return;
        this.state = returnedAt(this.state, this.now.toISOString());
        this.withdrawn = false;
        this.firstUseDue = true;
        this.returnedAt = this.now;
        this.groundedAt = this.now;
        return;
      case "fall": {
        this.state = takeFall(this.state, field.id, { happenedAt: performedAt }, this.now, this.depotRules).state;
        this.falls.push(performedAt);
        this.groundedAt = this.now;
        return;
      }
      case "end-paper":
        // What an ending leaves is worked out from rows that this world does not have: tests/rules/papers.test.ts and the courses over HTTP do.
        return;
      case "paper": {
        const validTo = addDays(this.day(this.now), step.days);
        this.state = withPaper(this.state, { kind: "insurance", validTo });
        const known = this.papers.get("insurance");
        if (known === undefined || known < validTo) this.papers.set("insurance", validTo);
        return;
      }
      case "daily-check": {
        const body = dailyBodyOf(this.machine, step, { ...field, odometerKm: Math.max(0, this.state.odometerKm + step.kmSince) });
        const checked = { ...this.machine, machineId: "machine", state: this.state, depotRules: this.depotRules };
        const judged = judgeDailyCheck(checked, body, { staffId: by.staffId, licenceClass: null }, this.now, this.newId);
        if (judged.refused !== null) return;
        this.state = judged.state;
        for (const { defect } of judged.raised) this.#saw(defect, judged.performedAt);
        this.given.push({ clearance: judged.clearance, performedAt: judged.performedAt, policy: this.policy });
        return;
      }
      case "weekly-inspection": {
        const { features, handbook, engineCc, ruleSet } = this.machine;
        const whole = weeklyBodyOf(this.machine, step, { ...field, odometerKm: this.state.odometerKm });
        // Of each open advisory it says that it stays or, by one who may close it, now and then that it is gone.
        const advisories = advisoriesAt(this.state, performedAt).map(({ id, sightings, competence }) => ({
          defectId: id,
          now: sightings % 2 === 0 && by.competences.includes(competence) ? ("gone" as const) : ("stays" as const),
        }));
        const answers = whole.answers.map((answer, index) => (index === 0 ? { ...answer, advisories } : answer));
        const body = { ...whole, answers };
        const inspected = { machineId: "machine", state: this.state, features, handbook, engineCc, ruleSet, depotRules: this.depotRules };
        const worker = this.people[step.measuredBy % this.people.length] ?? by;
        const inspectedBy = { signer: by, answeredBy: () => worker.staffId };
        const judged = judgeWeeklyInspection(inspected, body, inspectedBy, this.now, this.newId);
        if (judged.refused !== null) throw new Error(`the inspection was refused: ${JSON.stringify(judged.refused)}`);
        this.state = judged.state;
        const day = this.day(performedAt);
        for (const one of this.open.values()) if (one.seenAt < performedAt) one.inspectedOn.push(untilPart(day, one));
        for (const { defect, closed, reading, repair: told } of judged.settled) {
          const remembered = this.open.get(defect.id);
          if (!remembered) throw new Error(`nobody remembers ${defect.id}`);
          if (told) this.#repaired(remembered, worker.staffId, performedAt);
          const how = closed.how === "signed-off" ? "sign-off" : "not-found";
          this.closings.push({ how, before: defect, remembered, by, reading, policy: this.policy });
          this.open.delete(defect.id);
        }
        for (const { defect, repair: told } of judged.raised) {
          this.#saw(defect, performedAt);
          const remembered = this.open.get(defect.id);
          if (told && remembered) this.#repaired(remembered, worker.staffId, performedAt);
        }
        this.inspections.push({ body, by, policy: this.policy, raised: judged.raised.map(({ defect }) => defect) });
        if (this.inspectedOn === null || this.inspectedOn < day) this.inspectedOn = day;
        if (this.returnedAt === null || performedAt >= this.returnedAt) this.firstUseDue = false;
        this.falls = this.falls.filter((fell) => performedAt < fell);
        return;
      }
      case "report": {
        const { itemId, observationIds = [] } = sightingOf(this.machine, "daily", step.seen);
        const finding = findingOf(itemId, observationIds, SHEET_VERSION);
        const reported = recordFinding(this.state, finding, field.id, { seenAt: performedAt, recordedAt: this.now }, this.depotRules);
        this.state = reported.state;
        this.#saw(reported.defect, performedAt);
        return;
      }
      default:
        if (about) this.#takeOn(step, about, by, performedAt);
    }
  }

  #takeOn(step: Step, about: OpenDefect, by: Person, performedAt: Date): void {
    const remembered = this.open.get(about.id);
    if (!remembered) throw new Error(`nobody remembers ${about.id}`);
    const reading = readingOf(step.reading, about.quantity, this.machine);
    const closing = { recordId: this.newId(), closer: by, reading: reading ?? null, recordedAt: this.now };
    switch (step.act) {
      case "repair": {
        const done = { id: closing.recordId, staffId: by.staffId, performedAt: performedAt.toISOString(), reading: reading ?? null };
        const taken = repair(this.state, about.id, done, step.parts);
        if (taken.refused !== null) return;
        this.state = taken.state;
        this.#repaired(remembered, by.staffId, performedAt);
        return;
      }
      case "sign-off":
      case "not-found": {
        const close = step.act === "sign-off" ? signOff : notFound;
        const closed = close(this.state, about.id, closing, this.within, this.depotRules);
        if (closed.refused !== null) return;
        this.state = closed.state;
        if (isFirstLook(closed)) {
          remembered.looks = [...remembered.looks, { finding: "not-found", by: by.staffId }];
          return;
        }
        this.closings.push({ how: step.act, before: about, remembered, by, reading: closed.reading, policy: this.policy });
        this.open.delete(about.id);
        return;
      }
      case "defer": {
        const taken = defer(this.state, about.id, addDays(this.day(this.now), step.days), this.now, this.depotRules);
        if (taken.refused === null) this.state = taken.state;
        return;
      }
      case "wait": {
        const expectedDay = addDays(this.day(this.now), step.days);
        const taken = waitForPart(this.state, about.id, { recordId: closing.recordId, expectedDay }, by, this.now, this.depotRules);
        if (taken.refused !== null) return;
        this.state = taken.state;
        remembered.waits = [...remembered.waits, { expectedDay, running: true }];
        remembered.inspectedOn = remembered.inspectedOn.map((day) => untilPart(day, remembered));
        return;
      }
      case "re-grade": {
        const taken = regrade(this.state, about.id, step.category, { ...by, recordId: closing.recordId }, this.now, this.depotRules);
        if (taken.refused !== null) return;
        this.state = taken.state;
        if (isFirstLook(taken)) {
          remembered.looks = [...remembered.looks, { finding: "minor", by: by.staffId }];
          return;
        }
        if (grounds(remembered.category) && !grounds(step.category)) {
          this.releases.push({ before: about, remembered: { ...remembered }, by, policy: this.policy });
        }
        if (remembered.category === "advisory") remembered.daysFrom = this.now;
        remembered.category = step.category;
        remembered.inspectedOn = [];
        return;
      }
      default:
        throw new Error(`${step.act} is not about a defect`);
    }
  }

  #repaired(remembered: Remembered, staffId: string, performedAt: Date): void {
    // Compared by whole seconds, as many clocks give no more.
    if (Math.floor(performedAt.getTime() / 1000) < Math.floor(remembered.lastSeenAt.getTime() / 1000)) return;
    remembered.repairers = [...remembered.repairers, staffId];
    remembered.looks = [];
    remembered.waits = remembered.waits.map((wait) => ({ ...wait, running: false }));
    const later = remembered.repairedAt === null || performedAt >= remembered.repairedAt;
    if (later) Object.assign(remembered, { repairedBy: staffId, repairedAt: performedAt });
  }

  readonly within: Within = (quantity, { value, unit }) =>
    (["solo", "laden"] as const).some((load) => readingWithinLimits({ ...this.machine, quantity, value, unit, load }).ok);

  #saw(defect: OpenDefect, seenAt: Date): void {
    const known = this.open.get(defect.id);
    if (!known) {
      this.open.set(defect.id, {
        category: defect.category,
        seenAt,
        lastSeenAt: seenAt,
        repairedBy: null,
        repairers: [],
        repairedAt: null,
        looks: [],
        inspectedOn: [],
        daysFrom: seenAt,
        waits: [],
      });
      return;
    }
    if (seenAt > known.lastSeenAt) known.lastSeenAt = seenAt;
    known.looks = [];
    if (known.repairedAt !== null && seenAt > known.repairedAt) Object.assign(known, { repairedBy: null, repairedAt: null, repairers: [] });
    if (!grounds(known.category) && grounds(defect.category)) this.groundedAt = this.now;
    // An advisory that is raised has its days from then on.
    if (known.category === "advisory" && defect.category !== "advisory") Object.assign(known, { daysFrom: seenAt, inspectedOn: [] });
    known.category = defect.category;
  }
}
