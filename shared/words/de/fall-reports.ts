// German words of the report of a fall or collision.
import type { fallReportWords as english } from "../en/fall-reports.ts";

export const fallReportWords = {
  "report.fall.title": "Sturz oder Zusammenstoß",
  "report.fall.subject": "{mark}, {when}",
  "report.fall.period": "Geschehen {when}",
  "report.fall.badge.waits": "{mark} darf nicht gefahren werden: Die Inspektion nach dem Sturz steht aus",
  "report.fall.badge.inspected": "Danach inspiziert {when}, unterschrieben von {who}",
  "report.fall.machine-now": "{mark} beim Druck: {standing}",
  "report.fall.identity": "Maschine und Zeitpunkt",
  "report.fall.happened": "Geschehen",
  "report.fall.reported": "Gemeldet",
  "report.fall.reported-by": "Gemeldet von",
  "report.fall.told": "Wie es gemeldet wurde",
  "report.fall.hit": "Was geschah",
  "report.fall.bent": "Verbogen oder gebrochen",
  "report.fall.bent.none": "nichts",
  "report.fall.note": "In eigenen Worten",
  "report.fall.inspection": "Die Inspektion danach",
  "report.fall.not-yet": "Nicht gemacht. Bis dahin bleibt die Maschine gesperrt.",
  "report.fall.made": "Gemacht {when}, unterschrieben von {who}.",
  "report.fall.found-nothing": "Sie fand nichts Neues.",
  "report.fall.between":
    "Eine Inspektion ({when}) wurde eingetragen, bevor hier jemand vom Sturz wusste. Als die Inspektion danach zählt sie nicht.",
  "report.fall.no-advice":
    "Dieser Bericht sagt, was gemeldet und was gefunden wurde. Er gibt keinen Rat zu Haftung oder Verletzungen, und er sagt nicht, wer schuld war.",
} as const satisfies Readonly<Record<keyof typeof english, string>>;
