// The paper sheet of one machine, for when the phone is dead: the same items in the same order, with boxes to tick and to write in.
import type { SheetKind } from "../../../shared/catalogue/types.ts";
import type { Category } from "../../../shared/contracts/common.ts";
import type { DecidingLimit } from "../../../shared/rules/verdict.ts";
import type { Blanks, Block, CheckRows, PaperDocument } from "../../pdf/index.ts";
import { categoryTone, headOf, type Phrases, phrasesFor } from "../phrases.ts";
import type { BlankSheetFacts, SheetItem } from "../sheet-facts.ts";

/** The limit of a measured item, with the law or handbook behind it in a word. */
const limitText = (phrases: Phrases, limit: DecidingLimit): string =>
  limit.kind === "not-set" ? phrases.say("paper.sheet.limit-none") : phrases.say("paper.sheet.limit", { limit: phrases.limit(limit) });

const checkItem = (phrases: Phrases, kind: SheetKind, item: SheetItem): CheckRows["items"][number] => {
  const { say } = phrases;
  // A daily item may have a limit that only counts at a sign-off: the rider measures nothing.
  const measured = item.measurement?.takenAt === "inspection" ? item.measurement : undefined;
  const unit = measured === undefined ? "" : measured.units.map(phrases.unit).join(" / ");
  return {
    prompt: item.about === "rider" ? say("paper.sheet.of-rider", { prompt: item.prompt }) : item.prompt,
    mayNotApply: item.notApplicable,
    // On a daily sheet the question says enough for those who know their machine; two pages are all that it may take.
    ...(kind === "weekly" ? { how: item.how } : {}),
    observations: item.observations.map(({ text, category }) => ({
      text,
      mark: say(`paper.sheet.mark.${category}`),
      tone: categoryTone(category),
    })),
    ...(measured === undefined
      ? { readings: [] }
      : {
          readings: [
            { label: say("paper.sheet.as-found"), unit },
            { label: say("paper.sheet.as-left"), unit },
          ],
          limit: limitText(phrases, measured.limit),
        }),
  };
};

const headFields = (phrases: Phrases, facts: BlankSheetFacts): Blanks => {
  const { say } = phrases;
  const { proof, kind } = facts.sheet;
  const second = [
    { label: say("paper.sheet.date"), share: 3 },
    { label: say("paper.sheet.start"), share: 2 },
    { label: say("paper.sheet.end"), share: 2 },
    { label: say("paper.sheet.odometer"), share: 3 },
  ];
  // The odometer is asked on every sheet: where it is the proof, its box is there already.
  if (proof !== null && proof.quantity !== "odometer") {
    const unit = proof.units.map(phrases.unit).join(" / ");
    second.push({ label: say("paper.sheet.proof", { quantity: phrases.quantity(proof.quantity), unit }), share: 5 });
  }
  return {
    kind: "blanks",
    rows: [
      [
        { label: say(kind === "daily" ? "paper.sheet.rider" : "paper.sheet.inspector"), share: 6 },
        { label: say("paper.label.staff-number"), share: 3 },
        { label: say("paper.label.mark"), share: 3, value: facts.machine.registrationMark },
        { label: say("paper.label.model"), share: 4, value: facts.machine.modelName },
      ],
      second,
    ],
  };
};

/** The blank sheet of one machine. Facts in, document out; draws nothing. */
export const composeBlankSheet = (facts: BlankSheetFacts): PaperDocument => {
  const { frame, machine, sheet } = facts;
  const { kind } = sheet;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const title = say(`paper.sheet.title.${kind}`);
  const subject = say("paper.machine.subject", { mark: machine.registrationMark, model: machine.modelName });
  const meaning = (category: Category) =>
    say("paper.sheet.mark-meaning", { mark: say(`paper.sheet.mark.${category}`), category: phrases.category(category) });
  const how = say("paper.sheet.how", {
    grounds: say("paper.sheet.and", { first: meaning("dangerous"), second: meaning("major") }),
    minor: meaning("minor"),
    days: facts.minorWithinDays,
  });
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: title },
    headFields(phrases, facts),
    ...(kind === "weekly" || sheet.tools.length > 0
      ? [
          {
            kind: "paragraph" as const,
            size: "small" as const,
            bold: true,
            text:
              sheet.tools.length === 0
                ? say("paper.sheet.no-tools")
                : say("paper.sheet.tools", { tools: sheet.tools.map((tool) => tool.name).join(", ") }),
          },
        ]
      : []),
    { kind: "paragraph", size: "small", text: how },
    ...(sheet.proof === null
      ? []
      : [
          {
            kind: "paragraph" as const,
            size: "small" as const,
            text: say("paper.sheet.proof-method", { quantity: phrases.quantity(sheet.proof.quantity), method: sheet.proof.method }),
          },
        ]),
    ...sheet.stations
      .filter((station) => station.items.length > 0)
      .map(
        (station): CheckRows => ({
          kind: "check-rows",
          station: station.name,
          boxes: [say("paper.sheet.ok"), say("paper.sheet.defect"), say("paper.sheet.not-applicable")],
          items: station.items.map((item) => checkItem(phrases, kind, item)),
        }),
      ),
    {
      kind: "blanks",
      rows: [[{ label: say("paper.sheet.notes"), share: 1 }], [{ label: "", share: 1 }], [{ label: "", share: 1 }]],
    },
    {
      kind: "signatures",
      statement: say(`paper.sheet.statement.${kind}`),
      boxes: [
        { title: say("paper.label.signature"), fields: [{ label: say("paper.label.name") }, { label: say("paper.label.signature") }] },
      ],
    },
  ];
  const period = say("paper.sheet.version", { version: sheet.sheetVersion });
  return { head: headOf(phrases, frame, { title, subject, period }), blocks };
};
