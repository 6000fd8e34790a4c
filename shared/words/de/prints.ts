// German words of what lets a paper be held against the records.
import type { printWords as english } from "../en/prints.ts";

export const printWords = {
  "print.checkpoint":
    "Prüfpunkt {number}, {when}, umfasst {records} Einträge; später angekommene stehen im nächsten. Sein Abdruck (SHA-256): {hash}",
  "print.checkpoint-check":
    'Zum Prüfen: npm run verify -- PACK.zip --print "..." mit einem seither erstellten Prüfpaket sagt, ob diese Einträge so aufbewahrt wurden, wie sie waren; der signierte Prüfpunkt (jws), dessen SHA-256 dies ist, steht in GET /v1/checkpoints.',
  "print.no-checkpoint": "Bis dahin war noch kein Prüfpunkt der Einträge genommen.",
  "print.defect-first": "Eintrag {id}, Nr. {position} der Maschine, SHA-256 {hash}",
  "print.defect-last": "Der letzte Schritt: Eintrag {id}, Nr. {position} der Maschine, SHA-256 {hash}",
  "print.machine-last":
    "Letzter Eintrag dieser Maschine: {id}, Nr. {position}, {kind}, angekommen {when}, SHA-256 {hash}. Er enthält den Hash des Eintrags davor, und so fort bis zum ersten.",
  "print.record-check":
    'Zum Prüfen: Die Zeile mit dieser id in records.ndjson eines Prüfpakets des Monats, in dem der Eintrag ankam, hat diesen "sha256"; ebenso GET /v1/records/ID/proof.',
} as const satisfies Readonly<Record<keyof typeof english, string>>;
