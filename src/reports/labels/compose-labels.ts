// Labels with a code to scan, one for each machine: a rider with cold hands types nothing.
import { localDay } from "../../../shared/rules/calendar.ts";
import type { ReportDocument } from "../../pdf/index.ts";
import { headOf, phrasesFor } from "../phrases.ts";
import type { LabelsFacts } from "../sheet-facts.ts";

/** The address in a label's code: it opens the walk round this machine, and ends with the mark, by which the page finds the machine without a signal. */
export const labelAddress = (origin: string, registrationMark: string): string =>
  `${origin}/#/walk/${encodeURIComponent(registrationMark)}`;

export function composeLabels({ frame, labels, origin }: LabelsFacts): ReportDocument {
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  return {
    head: headOf(phrases, frame, {
      title: say("report.labels.title"),
      subject: say("report.labels.subject", { count: phrases.number(labels.length) }),
      period: phrases.day(localDay(frame.printedAt, frame.timeZone)),
    }),
    blocks: [
      { kind: "paragraph", text: say(labels.length === 0 ? "report.labels.none" : "report.labels.how"), size: "small" },
      {
        kind: "labels",
        labels: labels.map(({ registrationMark, modelName, depotName }) => ({
          mark: registrationMark,
          lines: [modelName, depotName],
          say: say("report.labels.scan"),
          address: labelAddress(origin, registrationMark),
          alt: say("report.labels.alt", { mark: registrationMark }),
        })),
      },
    ],
  };
}
