// German: How each quantity is measured: what goes with its limit.
export const methodWords = {
  "method.odometer": "Die ganzen Kilometer ablesen",
  "method.charge": "Die Anzeige ablesen, nachdem sie ohne Stecker geruht hat",
  "method.tyre-pressure": "Kalt, vor der Fahrt, jede Woche mit demselben Messgerät",
  "method.tread": "An drei Stellen rings um den Reifen, in der Mitte des Profils: Der kleinste Wert zählt",
  "method.chain-slack": "{what} am {where}, {how}, an die straffste Stelle gedreht",
  "method.slack.total-travel": "Ganzer Weg auf und ab in der Mitte",
  "method.slack.one-way": "Weg in eine Richtung in der Mitte",
  "method.slack.gap-to-swinging-arm": "Abstand zur Schwinge, das Trum zu ihr gedrückt, in der Mitte",
  "method.slack.upper": "oberen Trum",
  "method.slack.lower": "unteren Trum",
  "method.slack.loaded": "beide Räder am Boden",
  "method.slack.free": "Hinterrad vom Boden",
  "method.chain-length":
    "Bolzen zu Bolzen über {pitches} Teilungen, das sind {pins} Bolzen, {load}, an mehreren Stellen: Die größte Länge zählt",
  "method.chain-length.load": "mit {load} N an der Kette",
  "method.chain-length.taut": "mit straff gezogener Kette",
  "method.chain-length.not-set":
    "Bolzen zu Bolzen über so viele Teilungen, wie das Handbuch sagt, an mehreren Stellen: Die größte Länge zählt",
  "method.brake-free-travel": "An der Spitze von Hebel oder Pedal, bis die Bremse greift",
  "method.lining": "An der dünnsten Stelle, ohne Träger",
  "method.wheel-run-out": "Seitlich an der Felge über eine Umdrehung des Rads: Der größte Wert zählt",
  "method.brake-rod-diameter": "Mit dem Messschieber an der dünnsten Stelle",
  "method.plug-gap": "Mit der Fühlerlehre zwischen den Elektroden, Kerze kalt",
  "method.clutch-free-travel": "An der Spitze des Hebels, bis die Kupplung greift",
  "method.throttle-free-play": "Am Rand des Griffs, bis das Gas greift",
  "method.engine-oil-level": "Aufrecht, auf ebenem Boden, in Prozent von der unteren zur oberen Marke",
  "method.gearcase-oil-level": "Aufrecht, auf ebenem Boden, in Prozent von der unteren zur oberen Marke",
  "method.brake-efficiency": "Aus Geschwindigkeit und Weg eines Halts mit beiden Bremsen, auf trockener ebener Strecke",
  "leak.too-few-readings": "Zu wenige Werte: bisher {n}. 3 mit demselben Messgerät genügen.",
  "leak.none": "Kein Verlust zu sehen ({low} bis {high} in der Woche). Reifen verlieren von selbst bis zu {natural}.",
  "leak.natural": "Verliert {rate} in der Woche ({low} bis {high}): nicht mehr, als Reifen von selbst verlieren ({natural}).",
  "leak.watch":
    "Verliert {rate} in der Woche ({low} bis {high}), mehr als Reifen von selbst ({natural}), doch die Werte entscheiden es noch nicht.",
  "leak.slow-puncture":
    "Verliert {rate} in der Woche ({low} bis {high}), mehr als Reifen von selbst ({natural}): nach einem schleichenden Loch suchen.",
  "leak.not-corrected": "Nicht jede Temperatur wurde genommen, also kann ein Wetterwechsel darin stecken.",
} as const;
