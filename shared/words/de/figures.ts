// German words of the figures of a period, the same on every paper.
import type { figureWords as english } from "../en/figures.ts";

export const figureWords = {
  "report.figures.found": "Gefundene Mängel",
  "report.figures.open": "Davon noch offen",
  "report.figures.no-fault": "Davon ohne Fehler",
  "report.figures.machine-days": "Maschinentage im Dienst",
  "report.figures.lost": "Davon verloren",
  "report.figures.rate": "Auf 1.000 Maschinentage",
  "report.figures.repaired": "Reparaturen",
  "report.figures.signed-off": "Freigegeben",
  "report.figures.closed-no-fault": "Geschlossen, kein Fehler",
  "report.figures.too-little": "zu wenig für eine Aussage",
  "report.figures.causes":
    "Verlorene Tage nach dem, was die Tafel zuerst nannte: gesperrt {grounded}, Papiere abgelaufen {papers}, Inspektion überfällig {inspection}.",
  "report.figures.note":
    "Ein Mangel zählt einmal, an dem Tag, an dem er zuerst gesehen wurde, und an dem Standort, an dem die Maschine war, was immer aus ihm wurde: Auch die ohne gefundenen Fehler bleiben gezählt. Die Arbeit einer Aktion ist kein Befund: Weder sie noch ihre Reparatur und Schließung zählen, wohl aber die Tage, die sie kostet. Reparaturen und Schließungen zählen an dem Tag, an dem sie geschahen, wann immer der Mangel gefunden wurde. Maschinentage sind Tage von 24 Stunden im Dienst, ohne die außer Dienst; verloren sind die, an denen eine Maschine nach der Tafel nicht gefahren werden durfte. Unter {least} Maschinentagen ist es zu wenig, um zu sagen, wie oft Mängel gefunden werden.",
} as const satisfies Readonly<Record<keyof typeof english, string>>;
