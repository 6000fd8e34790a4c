// The facts of one machine's report.
import { addDays, localDay } from "../../../shared/rules/calendar.ts";
import { standingAt } from "../../../shared/rules/standing.ts";
import type { Language } from "../../../shared/words/index.ts";
import { allThatWasSeen, nameOfItem } from "../../../shared/words/say-reason.ts";
import { type AppContext, depotRulesOf, type MachineFacts, type Moment } from "../../acts/index.ts";
import { staysOf } from "../../defects/index.ts";
import { figuresOf } from "../../figures/index.ts";
import { namesOf, secretsSetBefore } from "../../people/index.ts";
import type { Period } from "../../platform/index.ts";
import { wordsFor } from "../../readiness/index.ts";
import { readLastRecord } from "../against-store.ts";
import { coursesFrom, isIn } from "../collect-courses.ts";
import { frameOfDepot, identityOf, personIn, reasonsOnReport, secretSetOf } from "../collect-frame.ts";
import { paperFrom } from "../collect-papers.ts";
import type { DefectCourse } from "../defect-facts.ts";
import type { Person } from "../facts.ts";
import { daysOfMachine } from "../month/collect-days.ts";
import type { MachineRoadworthinessFacts, PutRightOnSpot, WeeklyInspection } from "../roadworthiness-facts.ts";
import {
  type HistoryStateRow,
  type InspectionRow,
  readCoursesOfMachine,
  readDepots,
  readInspections,
  readPapers,
  readStates,
} from "../store.ts";
import { collectFalls } from "./collect-falls.ts";
import { wearOf } from "./collect-wear.ts";
import { type PutRightRow, readPutRight } from "./put-right-store.ts";

// Half a year of weekly readings shows where wear is going, whatever days the report is about.
const wearDays = 182;

/** `facts`: those of the moment. */
export async function collectMachine(
  context: AppContext,
  facts: MachineFacts,
  period: Period,
  at: Moment,
  language: Language,
): Promise<MachineRoadworthinessFacts> {
  const { db } = context;
  const { id } = facts.machine;
  const now = at ?? context.clock.now();
  const halfYear = addDays(period.to, 1 - wearDays);
  const watched = { ...period, from: halfYear < period.from ? halfYear : period.from };
  const [figures, days, states, inspections, putRight, papers, rows, frame, everyStay, falls] = await Promise.all([
    // Of all depots, since the machine may have been at several: each counts days in its own time zone.
    readDepots(db, null).then((depots) => figuresOf(db, { depots, periods: [period], now, at, machineIds: [id] })),
    daysOfMachine(context, facts, period, at),
    readStates(db, id, at),
    readInspections(db, id, watched, at),
    readPutRight(db, id, period, at),
    readPapers(db, id, at),
    readCoursesOfMachine(db, id, watched, at),
    frameOfDepot(context, facts.depot, language, at),
    staysOf(context, id, at),
    collectFalls(context, facts, period, at, language),
  ]);
  const stays = everyStay.filter(({ since, back }) => {
    const [left, returned] = [since, back?.at ?? now].map((moment) => localDay(moment, facts.depot.timeZone));
    return left !== undefined && returned !== undefined && left <= period.to && returned >= period.from;
  });
  const courses = await coursesFrom(db, rows, { now, at, language, ofDepots: false });
  const secrets = await secretsSetBefore(db, inspections);
  const people = await namesOf(db, [
    ...inspections.flatMap(({ staffId, measuredBy }) => [staffId, ...measuredBy]),
    ...putRight.map(({ staffId }) => staffId),
    ...papers.flatMap(({ ending }) => ending?.staffId ?? []),
    ...stays.flatMap(({ back }) => back?.staffId ?? []),
  ]);
  const lastRecord = await readLastRecord(db, id, at, language);
  const { standing, reasons } = standingAt(facts.state, now, depotRulesOf(facts));
  return {
    frame,
    lastRecord,
    machine: identityOf(facts),
    ...period,
    standingNow: { standing, reasons: reasonsOnReport(frame)((await wordsFor(db, reasons))(reasons)) },
    figures,
    days,
    openDefects: courses.filter(({ status }) => status !== "signed-off" && status !== "not-found"),
    periodDefects: courses.flatMap((course, index) => {
      const row = rows[index];
      return row && course.sightings.map(({ at: seen }) => seen).some(isIn(row, period)) ? [course] : [];
    }),
    work: courses.flatMap((course, index) => {
      const row = rows[index];
      return row ? workOn(course).filter((work) => isIn(row, period)(work.at)) : [];
    }),
    falls,
    stays: stays.map((stay) => ({ ...stay, takenBy: stay.back && personIn(people, stay.back.staffId) })),
    putRight: putRight.map((row) => putRightFrom(row, personIn(people, row.staffId), language)),
    inspections: inspections
      .filter(({ day }) => day >= period.from)
      .map((row) => ({
        ...inspectionFrom(
          row,
          states,
          personIn(people, row.staffId),
          row.measuredBy.map((id) => personIn(people, id)),
        ),
        ...secretSetOf(secrets.get(row.id)),
      })),
    wear: wearOf({
      inspections,
      courses,
      states,
      language,
      handbook: facts.model.handbook,
    }),
    papers: papers.map((row) => paperFrom(row, people, language)),
  };
}

/** All that was done to a defect: repairs, and how it was closed. */
const workOn = (defect: DefectCourse): MachineRoadworthinessFacts["work"] => [
  ...defect.repairs.map(({ at, by, workDone, workshop }) => ({
    ...{ done: "repaired" as const, at, by, defect },
    said: workshop === undefined ? workDone : `${workshop}: ${workDone}`,
  })),
  ...(defect.signOff ? [{ ...actOf(defect.signOff), done: "signed-off" as const, said: defect.signOff.statement, defect }] : []),
  ...(defect.notFound ? [{ ...actOf(defect.notFound), done: "not-found" as const, said: defect.notFound.reason, defect }] : []),
];
const actOf = ({ at, by }: { readonly at: Date; readonly by: Person }) => ({ at, by });

const putRightFrom = ({ at, itemId, observationIds, note, verdict }: PutRightRow, by: Person, language: Language): PutRightOnSpot => ({
  ...{ at, by, itemName: nameOfItem(itemId, language), seen: allThatWasSeen(observationIds, language), note },
  reading: verdict && { at, by, verdict },
});

function inspectionFrom(
  row: InspectionRow,
  states: readonly HistoryStateRow[],
  by: Person,
  measuredBy: readonly Person[],
): WeeklyInspection {
  const { performedAt: at, odometerKm, defectCount, verdicts } = row;
  const before = states.findLast(({ position }) => position < row.position);
  const after = states.find(({ position }) => position >= row.position);
  return {
    at,
    by,
    measuredBy,
    odometerKm,
    defectCount,
    stillOpen: after?.openDefects ?? 0,
    isFirstUse: before?.firstUseDue != null,
    readings: verdicts.map((verdict) => ({ at, by, verdict })),
  };
}
