// Deutsch der Seite darüber, was im Regal eines Depots liegt.
export const stockPageWords = {
  "stock.title": "Teile im Regal",
  "stock.lead":
    "Nur für Teile, die Sie zählen. Ab einer Zählung kommt dazu, was eintrifft, und es geht ab, was eine Reparatur in diesem Depot mit Nummer nennt. Eine neue Zählung stellt alles richtig.",
  "stock.never": "Hier nie gezählt.",
  "stock.lies": "{onHand} im Regal.",
  "stock.again": "{onHand}, weniger als nichts: bitte neu zählen.",
  "stock.since": "Gezählt {counted}, {at}; seitdem kamen {received}, verbaut wurden {fitted}.",
  "stock.count": "Zählen",
  "stock.how": "Was tragen Sie ein?",
  "stock.how.counted": "so viele liegen jetzt da",
  "stock.how.received": "so viele kamen",
  "stock.quantity": "Wie viele",
  "stock.not-a-quantity": "Eine Zahl wie 4 oder 0,5 eingeben.",
  "stock.do": "Eintragen",
  "stock.done": "Eingetragen. Jetzt {onHand} im Regal.",
} as const;
