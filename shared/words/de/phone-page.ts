// German of what a phone knows by itself: what waits on it, whoever made it, and whether an answer still holds.
export const phonePageWords = {
  "walk.sent.held": "Noch nicht gesendet: {why} Es ist auf diesem Telefon aufgehoben und geht bis {time} noch einmal.",
  "walk.held.again": "{why} Es geht bis {time} noch einmal.",
  "walk.held.fault": "Der Dienst hat selbst einen Fehler ({status}).",
  "walk.held.gateway": "Etwas zwischen diesem Telefon und dem Dienst hat an seiner Stelle geantwortet ({status}).",
  "walk.held.busy": "Der Dienst konnte es in dem Augenblick nicht annehmen ({status}).",
  "walk.other.wrote": "{name} hat dies um {at} auf diesem Telefon notiert, und der Dienst weiß es noch nicht:",
  "walk.other.counts": "Hier zählt es trotzdem. Es wird gesendet, wenn {name} sich hier wieder anmeldet.",
  "walk.other.pass-on": "In meinem Namen melden",
  "walk.other.pass-on.why": "Die Meldung sagt, dass sie weitergibt, was {name} notiert hat, und wirkt für alle.",
  "walk.other.note": "Weitergegeben nach dem, was {name} um {at} auf diesem Telefon notiert hat.",
  "walk.other.passed-on": "Etwas von {owner} wartet auf diesem Telefon. {name} hat gemeldet, was darin steht.",
  "walk.answer.grounded-since": "Sie wurde um {time} gesperrt, nach dieser Kontrolle.",
  "walk.answer.ended": "Die Freigabe ist seit dieser Kontrolle zu Ende.",
  "walk.not-heard": "Dieses Telefon hat seit {at} nichts vom Dienst gehört. Was seither gemeldet wurde, ist hier nicht bekannt.",
  "leave.one": "1 Stück ist noch nicht beim Dienst.",
  "leave.many": "{count} Stück sind noch nicht beim Dienst.",
  "leave.what":
    "Es bleibt auf diesem Telefon und zählt für jeden, der es als Nächstes nimmt. Gesendet wird es, wenn Sie sich hier wieder anmelden.",
  "leave.defect": "Ein Mangel ist dabei: vor dem Gehen der Werkstatt sagen.",
  "leave.stay": "Angemeldet bleiben",
  "leave.all-the-same": "Trotzdem abmelden",
} as const;
