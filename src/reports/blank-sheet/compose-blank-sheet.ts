// The paper sheet of one machine, for when the phone is dead: the same items in the same order, with boxes to tick and to write in.
import type { SheetKind } from "../../../shared/catalogue/types.ts";
import type { Category } from "../../../shared/contracts/common.ts";
import type { DecidingLimit } from "../../../shared/rules/verdict.ts";
import type { Blanks, Block, CheckRows, ReportDocument } from "../../pdf/index.ts";
import { categoryTone, headOf, type Phrases, phrasesFor } from "../phrases.ts";
import type { BlankSheetFacts, SheetItem } from "../sheet-facts.ts";

/** The limit of a measured item, and in a word whether it is the law's or the handbook's. */
const limitText = (phrases: Phrases, limit: DecidingLimit): string =>
  limit.kind === "not-set" ? phrases.say("report.sheet.limit-none") : phrases.say("report.sheet.limit", { limit: phrases.limit(limit) });

const checkItem = (phrases: Phrases, kind: SheetKind, item: SheetItem): CheckRows["items"][number] => {
  const { say } = phrases;
  // A daily item may have a limit that only counts at a sign-off: the rider measures nothing.
  const measured = item.measurement?.takenAt === "inspection" ? item.measurement : undefined;
  const unit = measured === undefined ? "" : measured.units.map(phrases.unit).join(" / ");
  return {
    prompt: item.about === "rider" ? say("report.sheet.of-rider", { prompt: item.prompt }) : item.prompt,
    mayNotApply: item.notApplicable,
    // A daily sheet must fit on two pages, and for riders who know their machine the question says enough.
    ...(kind === "weekly"
      ? { how: item.oil === undefined ? item.how : `${item.how} ${say("report.sheet.due", { due: item.oil.text })}` }
      : {}),
    observations: item.observations.map(({ text, category }) => ({
      text,
      mark: say(`report.sheet.mark.${category}`),
      tone: categoryTone(category),
    })),
    ...(measured === undefined
      ? { readings: [] }
      : {
          readings: [
            { label: say("report.sheet.as-found"), unit },
            { label: say("report.sheet.as-left"), unit },
          ],
          limit: limitText(phrases, measured.limit),
        }),
  };
};

const headFields = (phrases: Phrases, facts: BlankSheetFacts): Blanks => {
  const { say } = phrases;
  const { proof, kind } = facts.sheet;
  const second = [
    { label: say("report.sheet.date"), share: 3 },
    { label: say("report.sheet.start"), share: 2 },
    { label: say("report.sheet.end"), share: 2 },
    { label: say("report.sheet.odometer"), share: 3 },
  ];
  // Every sheet asks for the odometer, so if that is the reading of the day, its box is there already.
  if (proof !== null && proof.quantity !== "odometer") {
    const unit = proof.units.map(phrases.unit).join(" / ");
    second.push({ label: say("report.sheet.proof", { quantity: phrases.quantity(proof.quantity), unit }), share: 5 });
  }
  return {
    kind: "blanks",
    rows: [
      [
        { label: say(kind === "daily" ? "report.sheet.rider" : "report.sheet.inspector"), share: 6 },
        { label: say("report.label.staff-number"), share: 3 },
        { label: say("report.label.mark"), share: 3, value: facts.machine.registrationMark },
        { label: say("report.label.model"), share: 4, value: facts.machine.modelName },
      ],
      second,
    ],
  };
};

/** The blank sheet of one machine. Facts in, document out; draws nothing. */
export const composeBlankSheet = (facts: BlankSheetFacts): ReportDocument => {
  const { frame, machine, sheet } = facts;
  const { kind } = sheet;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const title = say(`report.sheet.title.${kind}`);
  const subject = say("report.machine.subject", { mark: machine.registrationMark, model: machine.modelName });
  const meaning = (category: Category) =>
    say("report.sheet.mark-meaning", { mark: say(`report.sheet.mark.${category}`), category: phrases.category(category) });
  const how = say("report.sheet.how", {
    grounds: say("report.sheet.and", { first: meaning("dangerous"), second: meaning("major") }),
    minor: meaning("minor"),
    advisory: meaning("advisory"),
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
                ? say("report.sheet.no-tools")
                : say("report.sheet.tools", { tools: sheet.tools.map((tool) => tool.name).join(", ") }),
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
            text: say("report.sheet.proof-method", { quantity: phrases.quantity(sheet.proof.quantity), method: sheet.proof.method }),
          },
        ]),
    ...sheet.stations
      .filter((station) => station.items.length > 0)
      .map(
        (station): CheckRows => ({
          kind: "check-rows",
          station: station.name,
          boxes: [say("report.sheet.ok"), say("report.sheet.defect"), say("report.sheet.not-applicable")],
          items: station.items.map((item) => checkItem(phrases, kind, item)),
        }),
      ),
    {
      kind: "blanks",
      rows: [[{ label: say("report.sheet.notes"), share: 1 }], [{ label: "", share: 1 }], [{ label: "", share: 1 }]],
    },
    {
      kind: "signatures",
      statement: say(`report.sheet.statement.${kind}`),
      boxes: [
        { title: say("report.label.signature"), fields: [{ label: say("report.label.name") }, { label: say("report.label.signature") }] },
      ],
    },
  ];
  const period = say("report.sheet.version", { version: sheet.sheetVersion });
  return { head: headOf(phrases, frame, { title, subject, period }), blocks };
};
