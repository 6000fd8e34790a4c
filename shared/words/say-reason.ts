// The sentence for a reason. Facts come in, words come out; nothing is decided here.
import type { Category } from "../contracts/common.ts";
import type { Reason } from "../rules/standing.ts";
import { isolated } from "./isolate.ts";
import { itemName, observationText } from "./item-words.ts";
import { isWordKey, type Language, word, wordByKey } from "./speak.ts";

export interface SaidReason {
  code: string;
  text: string;
  defectId?: string;
  fallId?: string;
  itemId?: string | null;
  words?: string;
  category?: Category;
  day?: string;
  paperKind?: string;
  observationIds?: string[];
  held?: string;
  needed?: string;
  expectedDay?: string;
  part?: string;
  workshop?: string;
  workId?: string;
  campaign?: string;
  campaignId?: string;
}

/** What a defect waits for, as a sentence goes on with it; empty where it waits for nothing. `day` as it is to be read. */
export const sayWait = (day: string | undefined, part: string | null | undefined, language: Language = "en"): string => {
  if (day === undefined) return "";
  return part ? word("reason.waits-for", language, { part: isolated(part), day }) : word("reason.waits", language, { day });
};

/** The short name of an item; a record may name one that no list knows, which then stands as it is. */
export function nameOfItem(itemId: string | null, language: Language = "en"): string {
  if (itemId === null) return word("reason.no-item", language);
  return isWordKey(`item.${itemId}.name`) ? itemName(itemId, language) : itemId;
}

const mostInName = 80;
const signsOf = new Intl.Segmenter(undefined, { granularity: "grapheme" });
/** As much of a note as names what it is about, at most so many signs; where it goes on, three dots say so. */
export function firstWords(note: string, most = mostInName): string {
  const signs = [...signsOf.segment(note.replace(/\s+/g, " ").trim())].map(({ segment }) => segment);
  if (signs.length <= most) return signs.join("");
  const kept = signs.slice(0, most - 1).join("");
  const end = kept.lastIndexOf(" ");
  return `${end > most / 2 ? kept.slice(0, end) : kept}\u2026`;
}

/** What a finding is called: by its item, and where none was named by the first words of its note. */
export const nameOfFinding = (itemId: string | null, note: string | null, language: Language = "en"): string =>
  itemId === null && note !== null && note.trim() !== ""
    ? word("reason.in-words", language, { words: isolated(firstWords(note)) })
    : nameOfItem(itemId, language);

/** What a defect is called: a campaign's job by the campaign, any other by what was found. */
export const nameOfDefect = (
  {
    itemId,
    note,
    campaign,
  }: { readonly itemId: string | null; readonly note: string | null; readonly campaign?: string | null | undefined },
  language: Language = "en",
): string => (campaign == null ? nameOfFinding(itemId, note, language) : word("campaign.named", language, { name: isolated(campaign) }));

/** What was seen, in words; an unknown observation as it stands. */
const whatWasSeen = (observationId: string, language: Language = "en"): string =>
  isWordKey(`observation.${observationId}`) ? observationText(observationId, language) : observationId;

/** All that was seen, each text once: the daily and the weekly item of one part may say the same of it in the same words. */
export const allThatWasSeen = (observationIds: readonly string[], language: Language = "en"): string[] => [
  ...new Set(observationIds.map((id) => whatWasSeen(id, language))),
];

/** A reason with its sentence, as answers carry it. */
export function sayReason(reason: Reason, language: Language = "en"): SaidReason {
  const { code, note, observationIds, ...facts } = reason;
  const seen = allThatWasSeen(observationIds ?? [], language);
  const params = {
    day: reason.day ?? "",
    note: note ?? "",
    item: nameOfDefect({ itemId: reason.itemId ?? null, note: reason.words ?? null, campaign: reason.campaign }, language),
    category: reason.category ? wordByKey(`category.${reason.category}`, language) : "",
    seen: seen.length === 0 ? word("reason.rider-not-equipped.note", language) : seen.join(", "),
    held: reason.held ?? "",
    needed: reason.needed ?? "",
    workshop: isolated(reason.workshop ?? ""),
    expected: reason.expectedDay ?? "",
    paper: reason.paperKind ? wordByKey(`paper-kind.${reason.paperKind}`, language) : "",
  };
  // What waits for a part is a defect.
  const wait = reason.defectId === undefined ? "" : sayWait(reason.expectedDay, reason.part, language);
  return {
    code,
    text: `${wordByKey(reason.campaign === undefined ? `reason.${code}` : `reason.campaign.${code}`, language, params)}${wait === "" ? "" : `; ${wait}`}`,
    ...facts,
    ...(observationIds ? { observationIds: [...observationIds] } : {}),
  };
}
