// German of what can go wrong at any door, for each code of the error catalogue; the English stands with the error, in the room's `errors.ts`.
// Two lists, since the pages show the titles and never the help: what they do not import is not sent to a phone.

/** The title of the answer. */
export const problemWords = {
  "problem.pack-not-ready": "Das Prüfpaket ist noch nicht fertig",
  "problem.not-your-record": "Das hat jemand anderes aufgezeichnet",
  "problem.pointer-unknown": "Der Eintrag hat keinen solchen Wert",
  "problem.too-many-packs": "Zu viele Prüfpakete warten darauf, gemacht zu werden",
  "problem.pack-gone": "Die Datei dieses Prüfpakets ist nicht mehr da",
  "problem.pack-is-another": "Das Prüfpaket ist nicht das verlangte",
  "problem.pack-is-shorter": "Das Prüfpaket hat keinen solchen Teil",
  "problem.check-not-whole": "Die Kontrolle ist nicht vollständig",
  "problem.draft-changed": "Den Entwurf hat inzwischen jemand anderes gespeichert",
  "problem.draft-finished": "Diese Inspektion ist schon eingereicht",
  "problem.inspection-not-whole": "Die Inspektion ist nicht vollständig",
  "problem.defect-closed": "Der Mangel ist abgeschlossen",
  "problem.repair-missing": "Seit der Mangel zuletzt gesehen wurde, ist keine Reparatur eingetragen",
  "problem.already-repaired": "Der Mangel ist repariert und wartet auf die Freigabe",
  "problem.campaign-decides": "Gewicht und letzten Tag dieses Mangels bestimmt die Aktion",
  "problem.wait-past-campaign": "Dieser Tag liegt nach dem letzten Tag der Aktion",
  "problem.campaign-ended": "Die Aktion ist schon beendet",
  "problem.campaign-covers-nothing": "Die Aktion betrifft keine Maschine",
  "problem.same-category": "Der Mangel ist schon so eingestuft",
  "problem.only-minor-deferred": "Nur ein geringer Mangel lässt sich aufschieben",
  "problem.competence-missing": "Ihre Befähigungen reichen dafür nicht",
  "problem.second-person-needed": "Das muss jemand anderes freigeben",
  "problem.new-part-needed": "Das behebt nur ein neues Teil",
  "problem.reading-missing": "Es fehlt ein Messwert nach der Reparatur",
  "problem.reading-outside": "Der Messwert liegt außerhalb seiner Grenzen",
  "problem.deferral-too-long": "Dieser Tag liegt hinter der Frist",
  "problem.not-a-test-paper": "Das ist keine Hauptuntersuchung dieser Maschine",
  "problem.about-the-rider": "Das betrifft den Fahrer, nicht die Maschine",
  "problem.deferral-too-early": "Dieser Tag ist vorbei",
  "problem.waited-already": "Der Mangel durfte schon auf ein Teil warten",
  "problem.wait-too-long": "Dieser Tag ist zu weit weg",
  "problem.part-day-over": "Der Tag, an dem das Teil erwartet wurde, ist vorbei",
  "problem.allocation-wrong": "So lassen sich die Maschinen nicht zuteilen",
  "problem.machine-ridden": "Diese Maschine fährt gerade jemand anderes",
  "problem.name-taken": "Diesen Namen gibt es schon",
  "problem.mark-taken": "Dieses Kennzeichen trägt eine andere Maschine",
  "problem.stale-revision": "Das Modell wurde seit dem Lesen geändert",
  "problem.paper-ended": "Dieses Papier ist schon beendet",
  "problem.ending-outside-paper": "Dieser Tag liegt außerhalb der Tage des Papiers",
  "problem.not-a-failed-test": "Nicht bestanden sein kann nur eine Prüfung, die stattgefunden hat",
  "problem.already-away": "Die Maschine ist schon in einer anderen Werkstatt",
  "problem.not-away": "Die Maschine ist von dort schon zurück",
  "problem.back-before-it-left": "Sie wird zurückerwartet, bevor sie ging",
  "problem.machine-disposed": "Die Maschine wurde verkauft oder verschrottet",
  "problem.already-withdrawn": "Die Maschine ist schon außer Dienst",
  "problem.import-refused": "Die Datei wurde nicht übernommen",
  "problem.no-currency": "Der Betrieb hat nicht gesagt, in welcher Währung er rechnet",
  "problem.already-lifted": "Die Aufbewahrungssperre ist schon aufgehoben",
  "problem.still-here": "Diese Person ist noch im Betrieb",
  "problem.under-hold": "Eine Aufbewahrungssperre hält das fest",
  "problem.checkpoints-reversed": "Der spätere Prüfpunkt steht zuerst",
  "problem.record-forgotten": "Was dieser Eintrag sagte, ist gelöscht",
  "problem.wrong-credentials": "Personalnummer oder Kennwort ist falsch",
  "problem.token-expired": "Die Anmeldung ist abgelaufen",
  "problem.session-ended": "Diese Sitzung ist beendet",
  "problem.code-ran-out": "Der Einmal-Code ist abgelaufen; ein neuer kommt von der Leitung",
  "problem.wrong-secret": "Das bisherige Kennwort stimmt nicht",
  "problem.own-secret": "Das eigene Kennwort ändert jeder selbst",
  "problem.fetched-ahead": "Danach hat noch niemand gefragt",
  "problem.secret-must-change": "Zuerst ein eigenes Kennwort wählen",
  "problem.cross-site": "Das kam nicht von einer Seite dieses Dienstes",
  "problem.already-left": "Diese Person hat den Betrieb verlassen",
  "problem.firm-exists": "Der Betrieb ist schon eingerichtet",
  "problem.last-manager": "Der Betrieb bliebe ohne Leitung",
  "problem.staff-number-taken": "Diese Personalnummer ist vergeben",
  "problem.locked-out": "Zu viele misslungene Anmeldungen. Warten Sie ein paar Minuten",
  "problem.photo-refused": "Das ist kein Foto, das aufbewahrt werden kann",
  "problem.photo-gone": "Das Foto selbst wird nicht mehr aufbewahrt",
  "problem.photo-altered": "Das Foto ist nicht das aufgezeichnete",
  "problem.photo-shelf-full": "Für Fotos ist kein Platz mehr",
  "problem.photo-shelf-away": "Fotos lassen sich gerade weder aufbewahren noch zeigen",
  "problem.not-json": "Was gesendet wurde, ist kein JSON",
  "problem.not-http": "Der Aufruf ist kein HTTP",
  "problem.not-signed-in": "Melden Sie sich zuerst an",
  "problem.not-your-role": "Das gehört nicht zu Ihrer Aufgabe",
  "problem.other-depot": "Das gehört zu einem Depot, das nicht Ihres ist",
  "problem.not-found": "Das gibt es nicht",
  "problem.method-not-allowed": "Diese Adresse nimmt diese Art von Aufruf nicht an",
  "problem.too-slow": "Der Aufruf kam zu langsam an",
  "problem.id-in-progress": "Das wird gerade noch aufgezeichnet. Gleich noch einmal versuchen",
  "problem.busy": "Andere schreiben gerade an derselben Maschine. Gleich noch einmal versuchen",
  "problem.changed-meanwhile": "Das hat jemand geändert, seit Sie es gelesen haben",
  "problem.too-large": "Was gesendet wurde, ist zu groß",
  "problem.wrong-media-type": "Diese Art von Datei wird hier nicht angenommen",
  "problem.not-valid": "Etwas davon ist nicht gültig",
  "problem.period-not-valid": "Für diese Tage gibt es nichts zu zeigen",
  "problem.id-reused": "Unter dieser Nummer steht schon etwas anderes",
  "problem.too-many-calls": "Zu viele Aufrufe. Warten Sie eine Minute",
  "problem.headers-too-large": "Die Kopfzeilen sind zu groß",
  "problem.internal": "Beim Dienst ist etwas schiefgegangen",
  "problem.not-ready": "Der Dienst ist gerade nicht bereit. Gleich noch einmal versuchen",
  "problem.outcome-unknown": "Ob das gespeichert wurde, ist nicht bekannt. Gleich noch einmal senden",
  "problem.database-full": "Die Festplatte der Datenbank ist voll. Wer den Dienst betreibt, muss Platz schaffen",
  "problem.database-read-only": "Die Datenbank nimmt keine Änderungen an. Wer den Dienst betreibt, muss das ändern",
  "problem.database-at-its-limit": "Die Datenbank nimmt gerade keine weiteren Aufrufe an. Gleich noch einmal versuchen",
  "problem.nothing-to-hang-up": "Für diese Maschine gibt es keinen Aushang",
  "problem.period-too-long": "In diesen Tagen wurde mehr aufgezeichnet, als ein Papier fasst",
} as const;

/** What it means and what to do about it, for whoever opens the address that an error names (`/problems/<code>`). */
export const problemHelp = {
  "problem.pack-not-ready.help":
    "Das Paket entsteht noch. Fragen Sie erneut danach oder verfolgen Sie seine Ereignisse, bis es fertig ist.",
  "problem.not-your-record.help":
    "Einen Eintrag berichtigt, wer ihn gemacht hat, oder die Leitung. Wenden Sie sich an eine dieser Personen.",
  "problem.pointer-unknown.help":
    "Die Berichtigung nennt einen Wert, den der Eintrag nicht hat. Lesen Sie den Eintrag und nennen Sie einen vorhandenen.",
  "problem.too-many-packs.help":
    "Es sind so viele Pakete bestellt und noch nicht fertig, dass keines mehr angenommen wird. Bestellt wurde nichts; bestellen Sie erneut, sobald eines fertig ist.",
  "problem.pack-gone.help": "Die Datei wurde anderswo gemacht oder aufgeräumt. Fordern Sie das Paket neu an; die Einträge sind alle da.",
  "problem.pack-is-another.help":
    "Hinter dieser Adresse liegt nicht mehr die Datei, deren ETag genannt wurde. Beginnen Sie das Herunterladen neu.",
  "problem.pack-is-shorter.help": "Der gefragte Teil liegt hinter dem Ende der Datei. Ihre Länge steht im Kopf Content-Range.",
  "problem.check-not-whole.help":
    "Jeder Punkt des Bogens dieser Maschine wird einmal beantwortet. Die Hinweise nennen, was fehlt, doppelt ist oder nicht dazugehört.",
  "problem.draft-changed.help":
    "Jemand hat den Entwurf seit dem Lesen gespeichert. Lesen Sie ihn neu, tragen Sie Ihre Antworten ein und speichern Sie dann.",
  "problem.draft-finished.help":
    "Die Inspektion zu diesem Entwurf ist aufgezeichnet und ändert sich nicht mehr. Für einen neuen Blick beginnen Sie eine neue.",
  "problem.inspection-not-whole.help":
    "Jeder Punkt braucht eine Antwort, jeder Messpunkt seinen Messwert. Die Hinweise nennen, was fehlt; verloren ist nichts.",
  "problem.defect-closed.help":
    "Ein abgeschlossener Mangel nimmt keinen Schritt mehr an. Ist der Fehler wieder da, melden Sie ihn: er gilt als wiederkehrend.",
  "problem.repair-missing.help":
    "Eine Freigabe bestätigt eine Reparatur. Tragen Sie zuerst die Reparatur ein, oder dass kein Fehler gefunden wurde.",
  "problem.already-repaired.help":
    "Eine Reparatur ist eingetragen: der Mangel wird freigegeben oder wieder gesehen. Er wird nicht aufgeschoben, wartet auf kein Teil und endet nicht als nicht gefunden.",
  "problem.campaign-decides.help":
    "Die Arbeit einer Aktion wird weder aufgeschoben noch neu bewertet. Sie tun und die Reparatur eintragen, oder nachsehen und eintragen, dass nichts gefunden wurde.",
  "problem.wait-past-campaign.help":
    "Die Arbeit einer Aktion wartet auf ein Teil bis zum letzten Tag der Aktion und nicht länger. Kommt das Teil später, steht die Maschine nach diesem Tag.",
  "problem.campaign-ended.help":
    "Jemand hat sie vorher beendet. Was an Maschinen offen ist, schließt dort eine Mechanikerin oder ein Mechaniker.",
  "problem.campaign-covers-nothing.help":
    "Keine Maschine Ihrer Standorte ist von diesen Modellen. Andere Modelle wählen oder Maschinen einzeln nennen.",
  "problem.same-category.help": "Der Mangel ist schon so eingestuft. Es ist nichts zu tun.",
  "problem.only-minor-deferred.help":
    "Was eine Maschine stilllegt, wird vor der nächsten Fahrt behoben und freigegeben; aufschieben lässt es sich nicht.",
  "problem.competence-missing.help":
    "Dafür braucht es eine Befähigung, die bei Ihnen nicht eingetragen ist. Fragen Sie jemanden, der sie hat, oder die Leitung.",
  "problem.second-person-needed.help":
    "An Lenkung, Rädern und Bremsen gibt nicht frei, wer gearbeitet hat. Bitten Sie eine zweite Fachkraft, zu prüfen und freizugeben.",
  "problem.new-part-needed.help": "Diesen Fehler behebt nur ein neues Teil. Bauen Sie es ein und nennen Sie es in der Reparatur.",
  "problem.reading-missing.help": "Dieser Punkt wird gemessen. Messen Sie nach der Reparatur und senden Sie den Wert mit.",
  "problem.reading-outside.help":
    "Der Messwert nach der Reparatur liegt außerhalb der Grenzen, der Mangel besteht also. Beheben Sie ihn und messen Sie erneut.",
  "problem.deferral-too-long.help":
    "Ein geringer Mangel darf nur einige Tage warten, nie über die nächste Inspektion hinaus. Wählen Sie einen früheren Tag.",
  "problem.not-a-test-paper.help":
    "Ein Hinweis des Prüfers gehört zum Papier einer Hauptuntersuchung. Tragen Sie erst das Papier ein, dann, was der Prüfer darauf vermerkt hat.",
  "problem.about-the-rider.help":
    "Was ein Fahrer trägt, hält diesen Fahrer auf und nicht die Maschine. Sagen Sie es in der eigenen Kontrolle.",
  "problem.deferral-too-early.help": "Der genannte Tag ist vorbei. Wählen Sie heute oder später.",
  "problem.waited-already.help":
    "Ein Mangel wartet einmal auf ein Teil und wird daneben nicht aufgeschoben. Ist das Teil da, tragen Sie die Reparatur ein; Neues gehört in eine Notiz.",
  "problem.wait-too-long.help":
    "Das Teil, auf das ein Mangel wartet, kommt innerhalb der Tage, die der Betrieb festgelegt hat. Dauert es länger, bleibt die Maschine stehen.",
  "problem.part-day-over.help": "Der genannte Tag ist vorbei. Geben Sie an, wann das Teil jetzt erwartet wird: heute oder später.",
  "problem.allocation-wrong.help":
    "Mindestens eine Zeile kann nicht stimmen; die Hinweise nennen sie. Geben Sie diesen Fahrern eine andere Maschine oder keine, und senden Sie neu.",
  "problem.machine-ridden.help":
    "Für eine zugeteilte Maschine ist jemand anderes freigegeben; die Hinweise nennen die Zeilen. Geben Sie diesen Fahrern eine andere.",
  "problem.name-taken.help": "Zwei Dinge einer Art teilen keinen Namen. Wählen Sie einen anderen.",
  "problem.mark-taken.help": "Eine andere Maschine trägt dieses Kennzeichen. Prüfen Sie die Eingabe.",
  "problem.stale-revision.help":
    "Das Modell wurde seit dem Lesen geändert. Lesen Sie es neu, wiederholen Sie die Änderung und senden Sie die neue Revision mit.",
  "problem.paper-ended.help": "Das Papier ist beendet, und dabei bleibt es. Tragen Sie das gültige ein.",
  "problem.ending-outside-paper.help": "Ein Papier endet an einem seiner eigenen Tage. Prüfen Sie den Tag.",
  "problem.not-a-failed-test.help": "Nicht bestanden sein kann nur eine Prüfung. Wählen Sie für dieses Papier einen anderen Grund.",
  "problem.already-away.help":
    "Sie ist auswärts, und zu einer Zeit nur in einer Werkstatt. Erst ist sie zurückzunehmen, dann kann sie wieder weggegeben werden.",
  "problem.not-away.help":
    "Jemand hat sie schon zurückgenommen. Was dort gemacht wurde und fehlt, kommt in eine Notiz zum Mangel oder in eine Berichtigung.",
  "problem.back-before-it-left.help": "Beide Tage sind zu prüfen: der, an dem sie ging, und der, an dem sie zurückerwartet wird.",
  "problem.machine-disposed.help":
    "Die Maschine gehört nicht mehr zur Flotte; ihre Einträge bleiben, wie sie waren. War das ein Versehen, nimmt die Leitung sie zuerst wieder auf.",
  "problem.already-withdrawn.help": "Die Maschine ist außer Dienst. Es ist nichts zu tun.",
  "problem.import-refused.help":
    "Mindestens eine Zeile ist nicht annehmbar, deshalb wurde keine übernommen. Die Hinweise nennen die Zeilen; senden Sie die Datei verbessert erneut.",
  "problem.no-currency.help":
    "Ein Betrag ohne Währung ist keiner. Die Leitung legt die Währung in den Regeln des Betriebs fest; senden Sie es dann erneut.",
  "problem.already-lifted.help": "Die Sperre ist aufgehoben. Es ist nichts zu tun.",
  "problem.still-here.help": "Wer noch im Betrieb ist, kann nicht unkenntlich gemacht werden. Tragen Sie zuerst das Ausscheiden ein.",
  "problem.under-hold.help": "Eine Aufbewahrungssperre hält das fest, bis sie aufgehoben wird. Fragen Sie, wer sie gesetzt hat.",
  "problem.checkpoints-reversed.help": "Der als später genannte Prüfpunkt ist der frühere. Tauschen Sie die beiden Nummern.",
  "problem.record-forgotten.help":
    "Die Aufbewahrungszeit dieses Eintrags ist vorbei, sein Inhalt gelöscht; dass es ihn gab, ist weiter beweisbar.",
  "problem.wrong-credentials.help":
    "Prüfen Sie Nummer und Kennwort. Nach mehreren falschen ist die Nummer von hier aus eine Weile gesperrt.",
  "problem.token-expired.help": "Erneuern Sie die Anmeldung mit dem Refresh-Token und senden Sie den Aufruf erneut.",
  "problem.session-ended.help": "Melden Sie sich neu an. Was auf dem Telefon wartet, bleibt und wird danach gesendet.",
  "problem.code-ran-out.help": "Lassen Sie sich von der Leitung einen neuen Einmal-Code geben.",
  "problem.wrong-secret.help": "Geben Sie das jetzige Kennwort ein, dann das neue.",
  "problem.own-secret.help": "Niemand setzt das eigene Kennwort zurück. Ändern Sie es unter Ihrem Namen.",
  "problem.fetched-ahead.help":
    "Das hinterlässt einen Eintrag oder bleibt offen; ein Browser holt es nicht im Voraus. Öffnen Sie es selbst.",
  "problem.secret-must-change.help":
    "Ein Einmal-Code öffnet nur die Wahl eines eigenen Kennworts. Wählen Sie es, dann ist alles andere offen.",
  "problem.cross-site.help":
    "Eine Sitzung in Cookies gilt nur für die Seiten dieses Dienstes. Andere Programme senden ihr Token im Kopf Authorization.",
  "problem.already-left.help": "Diese Person ist ausgeschieden. Ist sie zurück, tragen Sie sie neu ein.",
  "problem.firm-exists.help": "Ein Speicher trägt einen Betrieb. Nehmen Sie für einen weiteren einen eigenen.",
  "problem.last-manager.help": "Machen Sie zuerst jemand anderes zur Leitung aller Depots.",
  "problem.staff-number-taken.help": "Diese Nummer hat oder hatte schon jemand. Wählen Sie eine andere.",
  "problem.locked-out.help":
    "Nach mehreren falschen Kennwörtern ist die Nummer von hier aus eine Viertelstunde gesperrt. Auf eigenen Geräten ist sie offen; die Leitung kann einen Einmal-Code geben, und wer den Dienst betreibt, kann die Sperre aufheben.",
  "problem.photo-refused.help": "Senden Sie ein Bild als JPEG, PNG oder WebP in der erlaubten Größe.",
  "problem.photo-gone.help": "Die Aufbewahrungszeit des Fotos ist vorbei; sein Eintrag bleibt.",
  "problem.photo-altered.help":
    "Die Datei passt nicht zum aufgezeichneten Hash und wird nicht gezeigt. Sagen Sie es dem, der den Dienst betreibt.",
  "problem.photo-shelf-full.help":
    "Der Platz für Fotos ist voll. Einträge werden trotzdem angenommen; sagen Sie es dem, der den Dienst betreibt.",
  "problem.photo-shelf-away.help":
    "Der Ordner der Fotos ist nicht erreichbar. Einträge werden trotzdem angenommen; versuchen Sie es später.",
  "problem.not-json.help": "Senden Sie den Inhalt als JSON in UTF-8.",
  "problem.not-http.help": "Was ankam, war nicht als HTTP/1.1 lesbar.",
  "problem.not-signed-in.help": "Melden Sie sich an und senden Sie das Token im Kopf Authorization.",
  "problem.not-your-role.help": "Ihre Rolle darf das nicht. Der Text der Antwort nennt, wer es darf.",
  "problem.other-depot.help": "Sie sehen und ändern, was zu Ihren Depots gehört. Fragen Sie die Leitung, falls Ihre Depots nicht stimmen.",
  "problem.not-found.help": "Unter dieser Adresse oder Nummer gibt es nichts. Prüfen Sie beides; alle Adressen stehen unter /docs.",
  "problem.method-not-allowed.help": "Der Kopf Allow nennt, was diese Adresse annimmt.",
  "problem.too-slow.help": "Der Aufruf kam nicht rechtzeitig ganz an. Senden Sie ihn erneut.",
  "problem.id-in-progress.help":
    "Der erste Aufruf mit dieser Nummer wird noch geschrieben. Senden Sie denselben gleich noch einmal; gespeichert wird einmal.",
  "problem.busy.help": "Andere schreiben an derselben Maschine. Senden Sie denselben Aufruf gleich noch einmal.",
  "problem.changed-meanwhile.help":
    "Der Kopf If-Match nennt einen Stand, der nicht mehr gilt. Lesen Sie neu und wiederholen Sie Ihre Änderung.",
  "problem.too-large.help": "Der Inhalt ist größer, als diese Adresse annimmt. Senden Sie weniger auf einmal.",
  "problem.wrong-media-type.help": "Der Kopf Content-Type nennt etwas, das diese Adresse nicht annimmt.",
  "problem.not-valid.help": "Die Hinweise nennen jede falsche Stelle und den Grund. Verbessern Sie diese und senden Sie erneut.",
  "problem.period-not-valid.help": "Die gefragten Tage liegen in der Zukunft, oder der erste liegt nach dem letzten.",
  "problem.id-reused.help":
    "Diese Nummer steht für einen anderen Inhalt. Neues braucht eine neue Nummer; eine Wiederholung denselben Inhalt.",
  "problem.too-many-calls.help": "Warten Sie so lange, wie Retry-After sagt, und machen Sie dann langsamer weiter.",
  "problem.headers-too-large.help": "Senden Sie weniger oder kürzere Köpfe.",
  "problem.internal.help":
    "Im Dienst ging etwas schief und ist unter der Aufrufnummer vermerkt. Versuchen Sie es erneut; bleibt es, geben Sie die Nummer weiter.",
  "problem.not-ready.help": "Dienst oder Datenbank sind gerade nicht erreichbar. Senden Sie denselben Aufruf nach Retry-After erneut.",
  "problem.outcome-unknown.help":
    "Die Verbindung riss beim Speichern ab; ob gespeichert wurde, ist noch offen. Senden Sie dasselbe mit derselben Nummer erneut: gespeichert wird einmal. Ohne Nummer sehen Sie vorher nach.",
  "problem.database-full.help":
    "Der Datenträger der Datenbank ist voll, es lässt sich nichts speichern. Wer den Dienst betreibt, schafft Platz; was auf dem Telefon wartet, bleibt und wird danach gesendet.",
  "problem.database-read-only.help":
    "Die Datenbank nimmt gerade nichts an, etwa während sie abgelöst wird. Senden Sie denselben Aufruf nach Retry-After erneut.",
  "problem.database-at-its-limit.help":
    "Der Datenbank fehlt für diesen Aufruf eine Verbindung oder Speicher. Senden Sie ihn nach Retry-After erneut; bleibt es, sagen Sie es dem, der den Dienst betreibt.",
  "problem.nothing-to-hang-up.help":
    "Um sie aus dem Verkehr zu nehmen, melden Sie, was an ihr nicht stimmt, oder nehmen Sie sie außer Dienst; dann drucken Sie den Aushang.",
  "problem.period-too-long.help": "Fragen Sie nach weniger Tagen, oder nehmen Sie die Einträge des Monats als Datei.",
} as const;
