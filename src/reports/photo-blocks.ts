// Photos on a report: as many as it shows, each with who took it and the beginning of its hash.
import type { Block } from "../pdf/index.ts";
import type { DefectReportFacts } from "./defect-facts.ts";
import type { Phrases } from "./phrases.ts";
import { small } from "./small-print.ts";

export type PhotosOnReport = DefectReportFacts["photos"];

/** Whether there are photos, or records name some that have not arrived. */
export const hasPhotos = ({ count, awaitedCount }: PhotosOnReport): boolean => count > 0 || awaitedCount > 0;

/** How many characters of a hash are printed: enough to tell photos apart by eye. The record has all of it. */
const hashStart = 16;

/** The photos of a defect or a fall, which is called `item`, under a heading of their own; nothing where there are none. */
export const photoBlocks = (phrases: Phrases, photos: PhotosOnReport, item: string): Block[] => {
  if (!hasPhotos(photos)) return [];
  const { say } = phrases;
  const { shown, count, awaitedCount } = photos;
  const pictures = shown.map(({ by, at, sha256, jpeg }, place) => {
    const numbered = { index: place + 1, count };
    return {
      alt: say("report.defect.photo-alt", { ...numbered, item }),
      caption: say("report.defect.photo", { ...numbered, who: phrases.who(by), when: phrases.when(at), start: sha256.slice(0, hashStart) }),
      shown: jpeg ?? say("report.defect.photo-missing"),
    };
  });
  return [
    { kind: "heading", level: 2, text: say("report.defect.photos") },
    ...(count > 0 ? [{ kind: "pictures" as const, pictures }] : []),
    ...(count > shown.length ? [small(say("report.defect.photos-more", { shown: shown.length, count }))] : []),
    ...(awaitedCount > 0 ? [small(say("report.defect.photos-awaited", { count: awaitedCount }))] : []),
  ];
};
