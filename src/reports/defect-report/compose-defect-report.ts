// The defect report: one defect with its whole course.

import type { Badge, Block, Facts, PaperDocument, Tone } from "../../pdf/index.ts";
import { defectRecordBlocks } from "../against-records.ts";
import { courseOf, isOverdue, readingsTable, statusTone } from "../defect-parts.ts";
import type { DefectCourse, DefectReportFacts, Frame, ReadingTaken } from "../facts.ts";
import {
  categoryTone,
  firstReasons,
  headOf,
  isClosed,
  notedAsAt,
  type Phrases,
  phrasesFor,
  sourceText,
  standingTones,
  titledAsAt,
} from "../phrases.ts";

const badgeTitle = (phrases: Phrases, defect: DefectCourse): string => {
  const { say } = phrases;
  const mark = defect.machine.registrationMark;
  const lastDeferral = defect.deferrals.at(-1);
  if (isOverdue(defect)) return say("paper.defect.badge.overdue", { mark });
  switch (defect.status) {
    case "open":
      return defect.grounds ? say("paper.defect.badge.open", { mark }) : say("paper.defect.badge.open-minor");
    case "deferred":
      return lastDeferral === undefined
        ? say("paper.status.deferred")
        : say("paper.defect.badge.deferred", {
            day: phrases.day(lastDeferral.untilDay),
          });
    case "repaired":
      return defect.grounds ? say("paper.defect.badge.repaired", { mark }) : say("paper.defect.badge.repaired-minor");
    case "signed-off":
      return say("paper.defect.badge.signed-off");
    case "not-found":
      return say("paper.defect.badge.not-found");
  }
};

const noteOf = (phrases: Phrases, frame: Frame, said: string): { readonly note?: string } => {
  const note = notedAsAt(phrases, frame, said).trim();
  return note === "" ? {} : { note };
};

/** A closed defect says nothing about the machine: where something else stands against it, that has a box of its own. */
const badges = (phrases: Phrases, { frame, defect, standingNow }: DefectReportFacts): Badge[] => {
  const mark = defect.machine.registrationMark;
  const now = phrases.say("paper.defect.machine-now", { mark, standing: phrases.standing(standingNow.standing) });
  const closed = isClosed(defect);
  // That today's check is still to be made needs a line, not a box.
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

/** Whether a second person signed is said by name, from the last repair and the sign-off. */
const secondPersonText = (phrases: Phrases, defect: DefectCourse): string => {
  const { say } = phrases;
  const repairer = defect.repairs.at(-1)?.by;
  const signer = defect.signOff?.by;
  if (repairer !== undefined && signer !== undefined) {
    if (repairer.staffNumber === signer.staffNumber) return say("paper.second-person.same");
    if (defect.needsSecondPerson)
      return say("paper.second-person.kept", {
        repairer: phrases.who(repairer),
        signer: phrases.who(signer),
      });
  }
  return say(defect.needsSecondPerson ? "paper.second-person.needed" : "paper.second-person.not-needed");
};

const categorySourceText = (phrases: Phrases, defect: DefectCourse): string => {
  // The reason may be a page long.
  if (defect.regradings.length > 0) return phrases.say("paper.category-source.regraded");
  return defect.categorySource === null ? phrases.say("paper.category-source.free-note") : sourceText(defect.categorySource);
};

const identity = (phrases: Phrases, { defect, frame, photos }: DefectReportFacts): Facts => {
  const { say } = phrases;
  const first = defect.sightings[0];
  const rows: { label: string; value: string; tone?: Tone }[] = [
    { label: say("paper.label.mark"), value: defect.machine.registrationMark },
    { label: say("paper.label.item"), value: defect.itemName },
    { label: say("paper.label.model"), value: defect.machine.modelName },
    {
      label: say("paper.label.category"),
      value: phrases.category(defect.category),
      tone: categoryTone(defect.category),
    },
    {
      label: say("paper.label.vin"),
      value: defect.machine.vin ?? say("paper.not-recorded"),
    },
    { label: say("paper.label.category-source"), value: categorySourceText(phrases, defect) },
    { label: say("paper.label.depot"), value: frame.depotName },
    {
      label: say("paper.label.status"),
      value: say(`paper.status.${defect.status}`),
      tone: statusTone(defect),
    },
    {
      label: say("paper.label.odometer"),
      value: phrases.km(defect.odometerKm),
    },
    { label: say("paper.label.found"), value: phrases.when(first.at) },
    {
      label: say("paper.label.competence"),
      value: phrases.competence(defect.competence),
    },
    { label: say("paper.label.found-by"), value: phrases.who(first.by) },
    {
      label: say("paper.label.second-person"),
      value: secondPersonText(phrases, defect),
    },
    {
      label: say("paper.label.recurring"),
      value: defect.isRecurring ? say("paper.recurring.yes") : say("paper.no"),
      ...(defect.isRecurring ? { tone: "warn" as const } : {}),
    },
    ...(defect.dueDay === null ? [] : [{ label: say("paper.label.due"), value: phrases.day(defect.dueDay) }]),
    // What there is none of takes a line here and no section: most reports are one page so.
    ...(readingsOf(defect).length > 0 ? [] : [{ label: say("paper.defect.readings-taken"), value: say("paper.none") }]),
    ...(hasPhotos(photos) ? [] : [{ label: say("paper.defect.photos"), value: say("paper.none") }]),
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
        { kind: "heading", level: 2, text: phrases.say("paper.defect.readings") },
        readingsTable(phrases, readings, phrases.say("paper.defect.readings-alt")),
      ];
};

/** There are some, or some are named and still to come. */
const hasPhotos = ({ count, awaitedCount }: DefectReportFacts["photos"]): boolean => count > 0 || awaitedCount > 0;

/** As much of a hash as tells one photo from another by eye; all of it stands in the record. */
const hashStart = 16;

const photoBlocks = (phrases: Phrases, { defect, photos }: DefectReportFacts): Block[] => {
  const { say } = phrases;
  const { shown, count, awaitedCount } = photos;
  const note = (text: string): Block => ({ kind: "paragraph", size: "small", tone: "quiet", text });
  const pictures = shown.map(({ by, at, sha256, jpeg }, place) => {
    const numbered = { index: place + 1, count };
    return {
      alt: say("paper.defect.photo-alt", { ...numbered, item: defect.itemName }),
      caption: say("paper.defect.photo", { ...numbered, who: phrases.who(by), when: phrases.when(at), start: sha256.slice(0, hashStart) }),
      shown: jpeg ?? say("paper.defect.photo-missing"),
    };
  });
  return [
    { kind: "heading", level: 2, text: say("paper.defect.photos") },
    ...(count > 0 ? [{ kind: "pictures" as const, pictures }] : []),
    ...(count > shown.length ? [note(say("paper.defect.photos-more", { shown: shown.length, count }))] : []),
    ...(awaitedCount > 0 ? [note(say("paper.defect.photos-awaited", { count: awaitedCount }))] : []),
  ];
};

/** The paper for one defect. Facts in, document out; draws nothing. */
export const composeDefectReport = (facts: DefectReportFacts): PaperDocument => {
  const { frame, defect } = facts;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const mark = defect.machine.registrationMark;
  const subject = say("paper.defect.subject", {
    mark,
    item: defect.itemName,
    category: phrases.category(defect.category),
  });
  const title = say("paper.defect.title");
  const closed = isClosed(defect);
  const sign = [{ label: say("paper.label.name") }, { label: say("paper.label.signature") }, { label: say("paper.label.date-time") }];
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: titledAsAt(phrases, frame, title) },
    { kind: "paragraph", size: "lead", text: subject },
    ...badges(phrases, facts),
    { kind: "heading", level: 2, text: say("paper.defect.identity") },
    identity(phrases, facts),
    ...defectRecordBlocks(phrases, facts.records),
    { kind: "heading", level: 2, text: say("paper.defect.course") },
    courseOf(phrases, defect),
    ...readingBlocks(phrases, defect),
    ...(hasPhotos(facts.photos) ? photoBlocks(phrases, facts) : []),
    { kind: "heading", level: 2, text: say("paper.defect.sign") },
    {
      kind: "signatures",
      statement: say(closed ? "paper.defect.sign-closed" : "paper.defect.sign-open"),
      boxes: [
        { title: say("paper.defect.handed-over"), fields: sign },
        { title: say("paper.defect.received"), fields: sign },
      ],
    },
  ];
  const period = say("paper.defect.period", { when: phrases.when(defect.sightings[0].at) });
  return { head: headOf(phrases, frame, { title, subject, period }), blocks };
};
