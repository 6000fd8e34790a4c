// German words of what is printed to be filled in or put up: blank sheets and labels.
import type { sheetAndLabelWords as english } from "../en/sheets-and-labels.ts";

export const sheetAndLabelWords = {
  "report.labels.title": "Etiketten zum Scannen",
  "report.labels.subject": "Etiketten: {count}",
  "report.labels.how":
    "An den Linien ausschneiden und gegen Regen schützen. Jedes Etikett an seine eigene Maschine kleben, wo ein Telefon es neben der Maschine erreicht, fern von Hitze, Öl und Kette. Der Code öffnet den Rundgang um diese Maschine; er enthält nur ihr Kennzeichen: Passen Kennzeichen und Maschine nicht zusammen, das Etikett abnehmen.",
  "report.labels.none": "Hier ist keine Maschine im Dienst.",
  "report.labels.scan": "Scan. Rundgang. Fahrt.",
  "report.labels.alt": "Code, der den Rundgang um {mark} öffnet",

  "report.notice.title": "Aushang für die Maschine",
  "report.notice.do-not-ride": "NICHT FAHREN",
  "report.notice.since": "Steht still seit {when}",
  "report.notice.more": "und {count} weitere",
  "report.notice.scan": "Scannen zeigt, wie es jetzt um sie steht.",
  "report.notice.until":
    "Dort aufhängen, wohin beim Losfahren die Hand greift. Der Aushang bleibt, bis der Dienst zeigt, dass diese Maschine wieder gefahren werden darf, wer auch immer anderes sagt.",

  "report.sheet.title.daily": "Tägliche Kontrolle, Papierblatt",
  "report.sheet.title.weekly": "Wocheninspektion, Papierblatt",
  "report.sheet.version": "Blatt {version}",
  "report.sheet.how":
    "Für den Fall, dass das Telefon leer ist. Bei jedem Punkt ein Kästchen ankreuzen; unterstreichen, was zu sehen war. {grounds}: Die Maschine bleibt stehen, nicht fahren, der Werkstatt melden. {minor}: darf gefahren werden, binnen {days} Tagen zu beheben. {advisory}: im Auge behalten. Was nicht auf der Liste steht, am Ende aufschreiben. Dieses Blatt so bald wie möglich in den Dienst eintragen.",
  "report.sheet.mark.dangerous": "G",
  "report.sheet.mark.major": "E",
  "report.sheet.mark.advisory": "h",
  "report.sheet.mark.minor": "g",
  "report.sheet.mark-meaning": "[{mark}] {category}",
  "report.sheet.and": "{first} und {second}",
  "report.sheet.of-rider": "{prompt} (hält nur die fahrende Person auf, nicht die Maschine)",
  "report.sheet.ok": "i.\u00a0O.",
  "report.sheet.defect": "Mangel",
  "report.sheet.not-applicable": "entfällt",
  "report.sheet.tools": "Werkzeug: {tools}",
  "report.sheet.no-tools": "Werkzeug: keines",
  "report.sheet.limit": "Grenze: {limit}",
  "report.sheet.due": "Nach Handbuch fällig: {due}.",
  "report.sheet.limit-none": "Grenze: keine gesetzt; den Messwert aufschreiben.",
  "report.sheet.as-found": "vorgefunden",
  "report.sheet.as-left": "hinterlassen",
  "report.sheet.proof": "{quantity} ({unit})",
  "report.sheet.proof-method": "{quantity}: {method}. Die Einheit unterstreichen, die das Messgerät zeigt.",
  "report.sheet.notes": "Was sonst zu sehen war, und an welchem Punkt",
  "report.sheet.rider": "Gefahren von",
  "report.sheet.inspector": "Inspiziert von",
  "report.sheet.date": "Datum",
  "report.sheet.start": "Beginn",
  "report.sheet.end": "Ende",
  "report.sheet.odometer": "Kilometerstand (km)",
  "report.sheet.statement.daily": "Ich habe diese Kontrolle selbst gemacht und aufgeschrieben, was ich gesehen habe.",
  "report.sheet.statement.weekly": "Ich habe diese Inspektion selbst gemacht; die Messwerte sind so, wie die Messgeräte sie zeigten.",
} as const satisfies Readonly<Record<keyof typeof english, string>>;
