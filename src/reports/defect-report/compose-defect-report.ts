// The defect report: one defect with its whole course.

import type { Badge, Block, Facts, ReportDocument, Tone } from "../../pdf/index.ts";
import { defectRecordBlocks } from "../against-records.ts";
import { courseOf } from "../course-parts.ts";
import type { DefectCourse, DefectReportFacts } from "../defect-facts.ts";
import { isOverdue, readingsTable, statusTone, waitOf } from "../defect-parts.ts";
import type { Frame, ReadingTaken } from "../facts.ts";
import { hasPhotos, photoBlocks } from "../photo-blocks.ts";
import {
  categoryTone,
  firstReasons,
  headOf,
  isClosed,
  notedAsAt,
  type Phrases,
  phrasesFor,
  standingTones,
  titledAsAt,
} from "../phrases.ts";

const badgeTitle = (phrases: Phrases, defect: DefectCourse): string => {
  const { say } = phrases;
  const mark = defect.machine.registrationMark;
  const lastDeferral = defect.deferrals.at(-1);
  if (isOverdue(defect)) return say("report.defect.badge.overdue", { mark });
  switch (defect.status) {
    case "open":
      return defect.grounds ? say("report.defect.badge.open", { mark }) : say("report.defect.badge.open-minor");
    case "deferred":
      return lastDeferral === undefined
        ? say("report.status.deferred")
        : say("report.defect.badge.deferred", {
            day: phrases.day(lastDeferral.untilDay),
          });
    case "repaired":
      return defect.grounds ? say("report.defect.badge.repaired", { mark }) : say("report.defect.badge.repaired-minor");
    case "signed-off":
      return say("report.defect.badge.signed-off");
    case "not-found":
      return say("report.defect.badge.not-found");
  }
};

const noteOf = (phrases: Phrases, frame: Frame, said: string): { readonly note?: string } => {
  const note = notedAsAt(phrases, frame, said).trim();
  return note === "" ? {} : { note };
};

/** That a defect is closed does not mean that the machine may be ridden: if something else forbids it, that gets a box of its own. */
const badges = (phrases: Phrases, { frame, defect, standingNow }: DefectReportFacts): Badge[] => {
  const mark = defect.machine.registrationMark;
  const now = phrases.say("report.defect.machine-now", { mark, standing: phrases.standing(standingNow.standing) });
  const closed = isClosed(defect);
  // If only today's check is missing, a line will do.
  const isOnlyUnchecked = standingNow.standing === "unchecked" && standingNow.reasons.length === 1;
  const hasOwnBox = closed && standingNow.reasons.length > 0 && !isOnlyUnchecked;
  const isSaidAlready = hasOwnBox || (!closed && defect.grounds && standingNow.standing === "grounded");
  const reasons = firstReasons(phrases, standingNow.reasons);
  const own: Badge = {
    kind: "badge",
    tone: defect.status === "repaired" && defect.grounds ? "bad" : statusTone(defect),
    title: badgeTitle(phrases, defect),
    ...noteOf(phrases, frame, isSaidAlready ? "" : now),
    reasons: closed ? [] : reasons,
  };
  if (!hasOwnBox) return [own];
  return [own, { kind: "badge", tone: standingTones[standingNow.standing], title: now, reasons }];
};

/** Says with names whether a second person signed off, by comparing the last repair with the sign-off. */
const secondPersonText = (phrases: Phrases, defect: DefectCourse): string => {
  const { say } = phrases;
  const last = defect.repairs.at(-1);
  const repairer = last?.by;
  const signer = defect.signOff?.by;
  if (last?.workshop !== undefined && signer !== undefined) {
    return say("report.second-person.outside", { workshop: last.workshop, signer: phrases.who(signer) });
  }
  if (repairer !== undefined && signer !== undefined) {
    if (repairer.staffNumber === signer.staffNumber) return say("report.second-person.same");
    if (defect.needsSecondPerson)
      return say("report.second-person.kept", {
        repairer: phrases.who(repairer),
        signer: phrases.who(signer),
      });
  }
  return say(defect.needsSecondPerson ? "report.second-person.needed" : "report.second-person.not-needed");
};

const categorySourceText = (phrases: Phrases, defect: DefectCourse): string => {
  // The reason may be a page long.
  if (defect.regradings.length > 0) return phrases.say("report.category-source.regraded");
  if (defect.sightings[0]?.found === "campaign") return phrases.say("report.category-source.campaign");
  return defect.categorySource === null ? phrases.say("report.category-source.free-note") : phrases.source(defect.categorySource);
};

const identity = (phrases: Phrases, { defect, frame, photos }: DefectReportFacts): Facts => {
  const { say } = phrases;
  const first = defect.sightings[0];
  const rows: { label: string; value: string; tone?: Tone }[] = [
    { label: say("report.label.mark"), value: defect.machine.registrationMark },
    { label: say("report.label.item"), value: defect.itemName },
    { label: say("report.label.model"), value: defect.machine.modelName },
    {
      label: say("report.label.category"),
      value: phrases.category(defect.category),
      tone: categoryTone(defect.category),
    },
    {
      label: say("report.label.vin"),
      value: defect.machine.vin ?? say("report.not-recorded"),
    },
    { label: say("report.label.category-source"), value: categorySourceText(phrases, defect) },
    { label: say("report.label.depot"), value: frame.depotName },
    {
      label: say("report.label.status"),
      value: say(`report.status.${defect.status}`),
      tone: statusTone(defect),
    },
    {
      label: say("report.label.odometer"),
      value: phrases.km(defect.odometerKm),
    },
    { label: say("report.label.found"), value: phrases.when(first.at) },
    {
      label: say("report.label.competence"),
      value: phrases.competence(defect.competence),
    },
    { label: say("report.label.found-by"), value: phrases.who(first.by) },
    {
      label: say("report.label.second-person"),
      value: secondPersonText(phrases, defect),
    },
    {
      label: say("report.label.recurring"),
      value: defect.isRecurring ? say("report.recurring.yes") : say("report.no"),
      ...(defect.isRecurring ? { tone: "warn" as const } : {}),
    },
    ...(defect.dueDay === null ? [] : [{ label: say("report.label.due"), value: phrases.day(defect.dueDay) }]),
    ...(defect.waiting === null ? [] : [{ label: say("report.label.part"), value: waitOf(phrases, defect.waiting) }]),
    // What the defect has none of gets a line here instead of a section: so most reports fit on one page.
    ...(readingsOf(defect).length > 0 ? [] : [{ label: say("report.defect.readings-taken"), value: say("report.none") }]),
    ...(hasPhotos(photos) ? [] : [{ label: say("report.defect.photos"), value: say("report.none") }]),
  ];
  return { kind: "facts", columns: 2, rows };
};

const readingsOf = (defect: DefectCourse): ReadingTaken[] =>
  [
    ...defect.sightings.map((sighting) => sighting.reading ?? null),
    ...defect.repairs.map((repair) => repair.reading),
    ...defect.firstLooks.map((look) => look.reading),
    defect.notFound?.reading ?? null,
    defect.signOff?.reading ?? null,
  ]
    .filter((reading) => reading !== null)
    .sort((a, b) => a.at.getTime() - b.at.getTime());

const readingBlocks = (phrases: Phrases, defect: DefectCourse): Block[] => {
  const readings = readingsOf(defect);
  return readings.length === 0
    ? []
    : [
        { kind: "heading", level: 2, text: phrases.say("report.defect.readings") },
        readingsTable(phrases, readings, phrases.say("report.defect.readings-alt")),
      ];
};

/** The report for one defect. Facts in, document out; draws nothing. */
export const composeDefectReport = (facts: DefectReportFacts): ReportDocument => {
  const { frame, defect } = facts;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const mark = defect.machine.registrationMark;
  const subject = say("report.defect.subject", {
    mark,
    item: defect.itemName,
    category: phrases.category(defect.category),
  });
  const title = say("report.defect.title");
  const closed = isClosed(defect);
  const sign = [{ label: say("report.label.name") }, { label: say("report.label.signature") }, { label: say("report.label.date-time") }];
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: titledAsAt(phrases, frame, title) },
    { kind: "paragraph", size: "lead", text: subject },
    ...badges(phrases, facts),
    { kind: "heading", level: 2, text: say("report.defect.identity") },
    identity(phrases, facts),
    ...defectRecordBlocks(phrases, facts.records),
    { kind: "heading", level: 2, text: say("report.defect.course") },
    courseOf(phrases, defect),
    ...readingBlocks(phrases, defect),
    ...photoBlocks(phrases, facts.photos, defect.itemName),
    { kind: "heading", level: 2, text: say("report.defect.sign") },
    {
      kind: "signatures",
      statement: say(closed ? "report.defect.sign-closed" : "report.defect.sign-open"),
      boxes: [
        { title: say("report.defect.handed-over"), fields: sign },
        { title: say("report.defect.received"), fields: sign },
      ],
    },
  ];
  const period = say("report.defect.period", { when: phrases.when(defect.sightings[0].at) });
  return { head: headOf(phrases, frame, { title, subject, period }), blocks };
};
