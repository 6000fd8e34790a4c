// German of the forms by which a machine leaves the fleet and comes back.
export const leaveFleetPageWords = {
  "leave-fleet.title": "Aus der Flotte",
  "leave-fleet.say": "Sie wurde verkauft oder verschrottet",
  "leave-fleet.how": "Was wurde aus ihr?",
  "leave-fleet.how.sold": "Verkauft",
  "leave-fleet.how.scrapped": "Verschrottet",
  "leave-fleet.note": "Notiz, wenn nötig",
  "leave-fleet.follows":
    "{mark} steht dann auf keiner Tafel, keiner Liste und keinem Plan mehr, und niemand ist freigegeben, sie zu fahren. Ihre Geschichte bleibt, offene Mängel und Papiere bleiben, wie sie stehen, und ihr Kennzeichen ist für eine andere Maschine frei.",
  "leave-fleet.do.sold": "Verkauf eintragen",
  "leave-fleet.do.scrapped": "Verschrottung eintragen",
  "leave-fleet.left": "{mark} gehört nicht mehr zu dieser Flotte.",
  "leave-fleet.bring-back": "Sie ist doch hier: wieder aufnehmen",
  "leave-fleet.mark": "Kennzeichen",
  "leave-fleet.back-follows":
    "Sie steht wieder auf der Tafel, mit den Mängeln und Papieren, die sie hatte, und vor der nächsten Fahrt ist eine Inspektion fällig. Trägt inzwischen eine andere Maschine ihr Kennzeichen, ist das einzutragen, das sie jetzt hat.",
  "leave-fleet.bring-back.do": "Wieder aufnehmen",
  "leave-fleet.back": "{mark} gehört wieder zur Flotte. Vor der nächsten Fahrt ist eine Inspektion fällig.",
  "board.left": "Verkauft oder verschrottet",
  "board.left.none": "Keine Maschine wurde verkauft oder verschrottet.",
} as const;
