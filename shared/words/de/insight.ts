// German words of the figures. They ask; they never judge anybody.
import type { insightWords as english } from "../en/insight.ts";

export const insightWords = {
  "insight.caution": "Diese Zahlen sind Fragen, nie ein Urteil über einen Menschen. Aus ihnen allein folgt nichts.",
  "insight.question.nil":
    "Eine Frage: Wird jeder Punkt noch angesehen? An einer guten Maschine ist nichts zu finden, ein hoher Anteil allein sagt also wenig.",
  "insight.question.found-after-nil": "Eine Frage: War es an jenem Morgen zu sehen, oder entstand es im Lauf des Tages?",
  "insight.question.too-fast":
    "Eine Frage: Wird die Kontrolle an der Maschine gemacht, und läuft die Uhr des Telefons vom ersten bis zum letzten Punkt?",
  "insight.question.too-fast-item":
    "Eine Frage: Über welche Punkte geht es schnell hinweg, und ist das Blatt zu lang für die Zeit, die da ist?",
  "insight.question.half-median": "Eine Frage: Was macht diese Kontrolle schneller, als andere für dasselbe Blatt brauchen?",
  "insight.question.proof-missing": "Eine Frage: Ist das Messgerät zur Hand, und ist klar, welcher Messwert verlangt ist?",
  "insight.question.proof-implausible": "Eine Frage: Ist das Messgerät in Ordnung, und ist seine Einheit die auf dem Blatt?",
  "insight.question.not-applicable":
    "Eine Frage: Hat {model} das wirklich ({item})? Jemand, der vor der Maschine stand, sagte, dass es nicht zutrifft. Sind die Merkmale des Modells falsch, bitte richtigstellen.",
  "insight.question.zeros":
    "Eine Frage: Lässt sich das Messgerät so fein ablesen, wie das Blatt es verlangt, und wird abgelesen oder gerundet? Jeder zehnte Wert endet durch Zufall auf 0.",
  "insight.outside.share": "{day}: {count} von {of} Kontrollen fanden einen Mangel, {side} der Grenzen für so viele Kontrollen",
  "insight.outside.rate": "{week}: {count} Mängel an {days} Maschinentagen, {side} der Grenzen für so viele Maschinentage",
  "insight.side.above": "oberhalb",
  "insight.side.below": "unterhalb",
  "insight.no-item": "Bemerkt, kein Punkt genannt",
  "insight.component.front-tyre": "Vorderreifen",
  "insight.component.rear-tyre": "Hinterreifen",
  "insight.component.front-linings": "Bremsbeläge vorn",
  "insight.component.rear-linings": "Bremsbeläge hinten",
  "insight.component.chain": "Kette",
  "insight.component.front-brake-cable": "Bremszug vorn",
  "insight.component.rear-brake-cable": "Bremszug hinten",
} as const satisfies Readonly<Record<keyof typeof english, string>>;
