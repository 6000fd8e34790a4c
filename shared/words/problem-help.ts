// What a refusal means and what to do about it, for whoever opens the address that it names (`/problems/<code>`). Beside the words of the
// pages, which never show it.
import type { problemWords } from "./en/problems.ts";

export type ProblemCode = keyof typeof problemWords extends `problem.${infer Code}` ? Code : never;

export const problemHelp: Readonly<Record<ProblemCode, { readonly en: string; readonly de: string }>> = {
  "pack-not-ready": {
    en: "The pack is still being made. Ask for it again, or watch its events, until its state is ready.",
    de: "Das Paket entsteht noch. Fragen Sie erneut danach oder verfolgen Sie seine Ereignisse, bis es fertig ist.",
  },
  "not-your-record": {
    en: "A record is corrected by whoever made it, or by a manager. Ask one of them.",
    de: "Einen Eintrag berichtigt, wer ihn gemacht hat, oder die Leitung. Wenden Sie sich an eine dieser Personen.",
  },
  "pointer-unknown": {
    en: "The correction names a value that the record does not hold. Read the record and point at one that it has.",
    de: "Die Berichtigung nennt einen Wert, den der Eintrag nicht hat. Lesen Sie den Eintrag und nennen Sie einen vorhandenen.",
  },
  "too-many-packs": {
    en: "So many packs are ordered and not yet made that no more are taken. Nothing was ordered; order it again when one of them is ready.",
    de: "Es sind so viele Pakete bestellt und noch nicht fertig, dass keines mehr angenommen wird. Bestellt wurde nichts; bestellen Sie erneut, sobald eines fertig ist.",
  },
  "pack-gone": {
    en: "The file of the pack was made elsewhere or was cleared away. Ask for the pack again; the records are all there.",
    de: "Die Datei wurde anderswo gemacht oder aufgeräumt. Fordern Sie das Paket neu an; die Einträge sind alle da.",
  },
  "check-not-whole": {
    en: "Every item of this machine's sheet is answered once. The issues name what is missing, twice there, or not on the sheet.",
    de: "Jeder Punkt des Bogens dieser Maschine wird einmal beantwortet. Die Hinweise nennen, was fehlt, doppelt ist oder nicht dazugehört.",
  },
  "draft-changed": {
    en: "Somebody saved the draft since you read it. Read it again, put your answers into it, and save that.",
    de: "Jemand hat den Entwurf seit dem Lesen gespeichert. Lesen Sie ihn neu, tragen Sie Ihre Antworten ein und speichern Sie dann.",
  },
  "draft-finished": {
    en: "The inspection of this draft is on record and does not change any more. Begin a new one if the machine is looked at again.",
    de: "Die Inspektion zu diesem Entwurf ist aufgezeichnet und ändert sich nicht mehr. Für einen neuen Blick beginnen Sie eine neue.",
  },
  "inspection-not-whole": {
    en: "Every item is answered and every measured item has its reading. The issues name what is missing; nothing was lost.",
    de: "Jeder Punkt braucht eine Antwort, jeder Messpunkt seinen Messwert. Die Hinweise nennen, was fehlt; verloren ist nichts.",
  },
  "defect-closed": {
    en: "A closed defect takes no further step. If the fault is there again, report it: it is marked as recurring.",
    de: "Ein abgeschlossener Mangel nimmt keinen Schritt mehr an. Ist der Fehler wieder da, melden Sie ihn: er gilt als wiederkehrend.",
  },
  "repair-missing": {
    en: "A sign-off states that a repair holds. Record the repair first, or record that no fault was found.",
    de: "Eine Freigabe bestätigt eine Reparatur. Tragen Sie zuerst die Reparatur ein, oder dass kein Fehler gefunden wurde.",
  },
  "already-repaired": {
    en: "A repair is recorded, so the defect is signed off or seen again. It cannot go away as not found.",
    de: "Eine Reparatur ist eingetragen: der Mangel wird freigegeben oder wieder gesehen. Als nicht gefunden endet er nicht mehr.",
  },
  "same-category": {
    en: "The defect has this category. Nothing needs to be done.",
    de: "Der Mangel ist schon so eingestuft. Es ist nichts zu tun.",
  },
  "only-minor-deferred": {
    en: "What grounds a machine is put right and signed off before it rides; it cannot be put off.",
    de: "Was eine Maschine stilllegt, wird vor der nächsten Fahrt behoben und freigegeben; aufschieben lässt es sich nicht.",
  },
  "competence-missing": {
    en: "This takes a competence that is not on your file. Ask a mechanic who holds it, or the manager if the file is wrong.",
    de: "Dafür braucht es eine Befähigung, die bei Ihnen nicht eingetragen ist. Fragen Sie jemanden, der sie hat, oder die Leitung.",
  },
  "second-person-needed": {
    en: "At steering, wheels and brakes whoever did the work does not release it. Ask a second mechanic to look and sign.",
    de: "An Lenkung, Rädern und Bremsen gibt nicht frei, wer gearbeitet hat. Bitten Sie eine zweite Fachkraft, zu prüfen und freizugeben.",
  },
  "new-part-needed": {
    en: "This fault is repaired by a new part only. Fit it and name it in the repair.",
    de: "Diesen Fehler behebt nur ein neues Teil. Bauen Sie es ein und nennen Sie es in der Reparatur.",
  },
  "reading-missing": {
    en: "This item is measured. Take a reading after the repair and send it along.",
    de: "Dieser Punkt wird gemessen. Messen Sie nach der Reparatur und senden Sie den Wert mit.",
  },
  "reading-outside": {
    en: "The reading after the repair lies outside its limits, so the defect is still there. Put it right and measure again.",
    de: "Der Messwert nach der Reparatur liegt außerhalb der Grenzen, der Mangel besteht also. Beheben Sie ihn und messen Sie erneut.",
  },
  "deferral-too-long": {
    en: "A minor defect may wait for some days only, and never past the next inspection. Choose an earlier day.",
    de: "Ein geringer Mangel darf nur einige Tage warten, nie über die nächste Inspektion hinaus. Wählen Sie einen früheren Tag.",
  },
  "about-the-rider": {
    en: "What a rider wears stops that rider and not the machine. Say it in the rider's own check.",
    de: "Was ein Fahrer trägt, hält diesen Fahrer auf und nicht die Maschine. Sagen Sie es in der eigenen Kontrolle.",
  },
  "deferral-too-early": {
    en: "The day named is over. Choose today or a later one.",
    de: "Der genannte Tag ist vorbei. Wählen Sie heute oder später.",
  },
  "name-taken": {
    en: "Two things of one kind cannot share a name. Choose another one.",
    de: "Zwei Dinge einer Art teilen keinen Namen. Wählen Sie einen anderen.",
  },
  "mark-taken": {
    en: "Another machine carries this mark. Check what was typed; a machine that left the fleet frees its mark.",
    de: "Eine andere Maschine trägt dieses Kennzeichen. Prüfen Sie die Eingabe.",
  },
  "stale-revision": {
    en: "The model was revised since you read it. Read it again, repeat your change, and send it with the new revision.",
    de: "Das Modell wurde seit dem Lesen geändert. Lesen Sie es neu, wiederholen Sie die Änderung und senden Sie die neue Revision mit.",
  },
  "paper-ended": {
    en: "The paper is ended; that does not change. Add the one that holds now.",
    de: "Das Papier ist beendet, und dabei bleibt es. Tragen Sie das gültige ein.",
  },
  "ending-outside-paper": {
    en: "A paper ends on one of its own days. Check the day.",
    de: "Ein Papier endet an einem seiner eigenen Tage. Prüfen Sie den Tag.",
  },
  "not-a-failed-test": {
    en: "Only a test can have been failed. Choose another reason for this paper.",
    de: "Nicht bestanden sein kann nur eine Prüfung. Wählen Sie für dieses Papier einen anderen Grund.",
  },
  "already-withdrawn": {
    en: "The machine is withdrawn. Nothing needs to be done.",
    de: "Die Maschine ist außer Dienst. Es ist nichts zu tun.",
  },
  "import-refused": {
    en: "One row or more cannot be taken, so none was. The issues name the rows; mend the file and send it again.",
    de: "Mindestens eine Zeile ist nicht annehmbar, deshalb wurde keine übernommen. Die Hinweise nennen die Zeilen; senden Sie die Datei verbessert erneut.",
  },
  "already-lifted": { en: "The hold is lifted. Nothing needs to be done.", de: "Die Sperre ist aufgehoben. Es ist nichts zu tun." },
  "still-here": {
    en: "Somebody who works here cannot be made neutral. Note first that they have left.",
    de: "Wer noch im Betrieb ist, kann nicht unkenntlich gemacht werden. Tragen Sie zuerst das Ausscheiden ein.",
  },
  "under-hold": {
    en: "A legal hold keeps this until it is lifted. Ask whoever placed it.",
    de: "Eine Aufbewahrungssperre hält das fest, bis sie aufgehoben wird. Fragen Sie, wer sie gesetzt hat.",
  },
  "checkpoints-reversed": {
    en: "The checkpoint named as later is the earlier one. Exchange the two numbers.",
    de: "Der als später genannte Prüfpunkt ist der frühere. Tauschen Sie die beiden Nummern.",
  },
  "record-forgotten": {
    en: "The time for which this record is kept is over, and what it said was forgotten; that it was there can still be proved.",
    de: "Die Aufbewahrungszeit dieses Eintrags ist vorbei, sein Inhalt gelöscht; dass es ihn gab, ist weiter beweisbar.",
  },
  "wrong-credentials": {
    en: "Check the number and the secret. After several wrong ones the number is closed from where you are for a while.",
    de: "Prüfen Sie Nummer und Kennwort. Nach mehreren falschen ist die Nummer von hier aus eine Weile gesperrt.",
  },
  "token-expired": {
    en: "Renew the sign-in with the refresh token, then send the call again.",
    de: "Erneuern Sie die Anmeldung mit dem Refresh-Token und senden Sie den Aufruf erneut.",
  },
  "session-ended": {
    en: "Sign in again. What waits on a phone is kept and sent after that.",
    de: "Melden Sie sich neu an. Was auf dem Telefon wartet, bleibt und wird danach gesendet.",
  },
  "code-ran-out": { en: "Ask the manager for a new one-time code.", de: "Lassen Sie sich von der Leitung einen neuen Einmal-Code geben." },
  "wrong-secret": {
    en: "Type the secret that you use at present, then the new one.",
    de: "Geben Sie das jetzige Kennwort ein, dann das neue.",
  },
  "own-secret": {
    en: "Nobody resets their own secret. Change it yourself under your name.",
    de: "Niemand setzt das eigene Kennwort zurück. Ändern Sie es unter Ihrem Namen.",
  },
  "fetched-ahead": {
    en: "This leaves a record, or stays open, so a browser does not fetch it before somebody asks. Open it yourself.",
    de: "Das hinterlässt einen Eintrag oder bleibt offen; ein Browser holt es nicht im Voraus. Öffnen Sie es selbst.",
  },
  "secret-must-change": {
    en: "A one-time code opens one thing: the choice of a secret of your own. Choose it, and everything else is open.",
    de: "Ein Einmal-Code öffnet nur die Wahl eines eigenen Kennworts. Wählen Sie es, dann ist alles andere offen.",
  },
  "cross-site": {
    en: "A session kept in cookies is for the pages of this service. Other programs send their token in the header Authorization.",
    de: "Eine Sitzung in Cookies gilt nur für die Seiten dieses Dienstes. Andere Programme senden ihr Token im Kopf Authorization.",
  },
  "already-left": {
    en: "This person has left; their place does not change any more. Add them anew if they are back.",
    de: "Diese Person ist ausgeschieden. Ist sie zurück, tragen Sie sie neu ein.",
  },
  "firm-exists": {
    en: "One store holds one firm, and this one is founded. Use a store of its own for another.",
    de: "Ein Speicher trägt einen Betrieb. Nehmen Sie für einen weiteren einen eigenen.",
  },
  "last-manager": {
    en: "Make somebody else a manager of all depots first.",
    de: "Machen Sie zuerst jemand anderes zur Leitung aller Depots.",
  },
  "staff-number-taken": {
    en: "Somebody has, or had, this number. Choose another one.",
    de: "Diese Nummer hat oder hatte schon jemand. Wählen Sie eine andere.",
  },
  "locked-out": {
    en: "After several wrong secrets the number is closed from this place for a quarter of an hour. It is open on devices where its person has signed in before; a manager can give a one-time code, and whoever runs the service can lift it.",
    de: "Nach mehreren falschen Kennwörtern ist die Nummer von hier aus eine Viertelstunde gesperrt. Auf eigenen Geräten ist sie offen; die Leitung kann einen Einmal-Code geben, und wer den Dienst betreibt, kann die Sperre aufheben.",
  },
  "photo-refused": {
    en: "Send a picture as JPEG, PNG or WebP that is no larger than the description of the call allows.",
    de: "Senden Sie ein Bild als JPEG, PNG oder WebP in der erlaubten Größe.",
  },
  "photo-gone": {
    en: "The time for which the photo is kept is over; its record still says that it was there.",
    de: "Die Aufbewahrungszeit des Fotos ist vorbei; sein Eintrag bleibt.",
  },
  "photo-altered": {
    en: "The file is not the one whose hash was recorded, so it is not shown. Tell whoever runs the service.",
    de: "Die Datei passt nicht zum aufgezeichneten Hash und wird nicht gezeigt. Sagen Sie es dem, der den Dienst betreibt.",
  },
  "photo-shelf-full": {
    en: "The disk for photos is full. Records are taken all the same; tell whoever runs the service.",
    de: "Der Platz für Fotos ist voll. Einträge werden trotzdem angenommen; sagen Sie es dem, der den Dienst betreibt.",
  },
  "photo-shelf-away": {
    en: "The folder of the photos cannot be reached. Records are taken all the same; try again later.",
    de: "Der Ordner der Fotos ist nicht erreichbar. Einträge werden trotzdem angenommen; versuchen Sie es später.",
  },
  "not-json": { en: "Send the body as JSON in UTF-8.", de: "Senden Sie den Inhalt als JSON in UTF-8." },
  "not-http": { en: "What arrived could not be read as HTTP/1.1.", de: "Was ankam, war nicht als HTTP/1.1 lesbar." },
  "not-signed-in": {
    en: "Sign in, and send the access token in the header Authorization.",
    de: "Melden Sie sich an und senden Sie das Token im Kopf Authorization.",
  },
  "not-your-role": {
    en: "Your role may not do this. The detail says who may; ask one of them.",
    de: "Ihre Rolle darf das nicht. Der Text der Antwort nennt, wer es darf.",
  },
  "other-depot": {
    en: "You see and change what belongs to your own depots. Ask a manager if your depots are wrong.",
    de: "Sie sehen und ändern, was zu Ihren Depots gehört. Fragen Sie die Leitung, falls Ihre Depots nicht stimmen.",
  },
  "not-found": {
    en: "Nothing has this address or this id. Check both; the list of addresses is at /docs.",
    de: "Unter dieser Adresse oder Nummer gibt es nichts. Prüfen Sie beides; alle Adressen stehen unter /docs.",
  },
  "method-not-allowed": {
    en: "The header Allow names the methods of this address.",
    de: "Der Kopf Allow nennt, was diese Adresse annimmt.",
  },
  "too-slow": {
    en: "The call did not arrive whole in time. Send it again.",
    de: "Der Aufruf kam nicht rechtzeitig ganz an. Senden Sie ihn erneut.",
  },
  "id-in-progress": {
    en: "The first call with this id is still being written. Send the same again in a moment; it is stored once.",
    de: "Der erste Aufruf mit dieser Nummer wird noch geschrieben. Senden Sie denselben gleich noch einmal; gespeichert wird einmal.",
  },
  busy: {
    en: "Others are writing to the same machine. Send the same again in a moment.",
    de: "Andere schreiben an derselben Maschine. Senden Sie denselben Aufruf gleich noch einmal.",
  },
  "changed-meanwhile": {
    en: "The header If-Match names a version that is no longer the one stored. Read it again and repeat your change on that.",
    de: "Der Kopf If-Match nennt einen Stand, der nicht mehr gilt. Lesen Sie neu und wiederholen Sie Ihre Änderung.",
  },
  "too-large": {
    en: "The body is larger than this address takes. Send less at once.",
    de: "Der Inhalt ist größer, als diese Adresse annimmt. Senden Sie weniger auf einmal.",
  },
  "wrong-media-type": {
    en: "The header Content-Type names something that this address does not take.",
    de: "Der Kopf Content-Type nennt etwas, das diese Adresse nicht annimmt.",
  },
  "not-valid": {
    en: "The issues name each place that is wrong and why. Mend those and send it again.",
    de: "Die Hinweise nennen jede falsche Stelle und den Grund. Verbessern Sie diese und senden Sie erneut.",
  },
  "period-not-valid": {
    en: "The days asked for are to come, or the first is after the last.",
    de: "Die gefragten Tage liegen in der Zukunft, oder der erste liegt nach dem letzten.",
  },
  "id-reused": {
    en: "This id stands for another body. Make a new id for what is new; send the same body for a repetition.",
    de: "Diese Nummer steht für einen anderen Inhalt. Neues braucht eine neue Nummer; eine Wiederholung denselben Inhalt.",
  },
  "too-many-calls": {
    en: "Wait as long as Retry-After says, then go on more slowly.",
    de: "Warten Sie so lange, wie Retry-After sagt, und machen Sie dann langsamer weiter.",
  },
  "headers-too-large": { en: "Send fewer or shorter headers.", de: "Senden Sie weniger oder kürzere Köpfe." },
  internal: {
    en: "Something went wrong in the service and was noted under the request id. Try again; if it stays, pass that id on.",
    de: "Im Dienst ging etwas schief und ist unter der Aufrufnummer vermerkt. Versuchen Sie es erneut; bleibt es, geben Sie die Nummer weiter.",
  },
  "database-full": {
    en: "The disk of the database is full, so nothing can be stored. Whoever runs the service makes room; what waits on a phone is kept and sent after that.",
    de: "Der Datenträger der Datenbank ist voll, es lässt sich nichts speichern. Wer den Dienst betreibt, schafft Platz; was auf dem Telefon wartet, bleibt und wird danach gesendet.",
  },
  "database-read-only": {
    en: "The database takes no writes for the moment, as a copy of another does while that one is replaced. Send the same again after Retry-After.",
    de: "Die Datenbank nimmt gerade nichts an, etwa während sie abgelöst wird. Senden Sie denselben Aufruf nach Retry-After erneut.",
  },
  "database-at-its-limit": {
    en: "The database has no connection or no memory left for this call. Send the same again after Retry-After; if it stays, tell whoever runs the service.",
    de: "Der Datenbank fehlt für diesen Aufruf eine Verbindung oder Speicher. Senden Sie ihn nach Retry-After erneut; bleibt es, sagen Sie es dem, der den Dienst betreibt.",
  },
  "pack-is-another": {
    en: "The file behind this address is no longer the one whose ETag was named. Begin the download anew.",
    de: "Hinter dieser Adresse liegt nicht mehr die Datei, deren ETag genannt wurde. Beginnen Sie das Herunterladen neu.",
  },
  "pack-is-shorter": {
    en: "The part asked for lies past the end of the file. Its length stands in the header Content-Range.",
    de: "Der gefragte Teil liegt hinter dem Ende der Datei. Ihre Länge steht im Kopf Content-Range.",
  },
  "outcome-unknown": {
    en: "The connection was lost while this was being stored, so nobody can say yet whether it was. Send the same again, with the same id: it is stored once. Where it has no id, look before you repeat it.",
    de: "Die Verbindung riss beim Speichern ab; ob gespeichert wurde, ist noch offen. Senden Sie dasselbe mit derselben Nummer erneut: gespeichert wird einmal. Ohne Nummer sehen Sie vorher nach.",
  },
  "not-ready": {
    en: "The service or its database is not reachable for the moment. Send the same again after Retry-After.",
    de: "Dienst oder Datenbank sind gerade nicht erreichbar. Senden Sie denselben Aufruf nach Retry-After erneut.",
  },
  "period-too-long": {
    en: "Ask for fewer days, or take the records of the month as a file.",
    de: "Fragen Sie nach weniger Tagen, oder nehmen Sie die Einträge des Monats als Datei.",
  },
};
