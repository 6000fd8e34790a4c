// German of where categories and limits come from, as papers cite it: what it is called, and the place in it. Texts that were published in
// English keep the names under which they are found.
import type { SourceKey } from "../../catalogue/sources.ts";

const motManual = "DVSA, Prüfhandbuch für Motorräder (Klassen 1 und 2)";
const olderManual = "VOSA, älteres Prüfhandbuch für Motorräder";
const constructionAndUse = "Road Vehicles (Construction and Use) Regulations 1986, SI 1986/1078";
const directive = "Richtlinie 2014/45/EU über die regelmäßige technische Überwachung";

export const sourceWords = {
  "source.common-practice": "Übliche Praxis des Handwerks",
  "source.policy": "Regeln des Betriebs",
  "source.handbook": "Handbuch des Herstellers zum Modell",
  "source.directive-categories": `${directive}, Art. 7(2) und 7(3)`,
  "source.directive-identity": `${directive}, Anhang I Nr. 3, Punkte 0.1 und 0.2`,
  "source.directive-brakes": `${directive}, Anhang I 1.2.2: L1e 42 %, L3e 50 %; Hinterradbremse allein 25 %`,
  "source.failed-test": `${directive}, Art. 9: Mit erheblichen oder gefährlichen Mängeln ist eine Prüfung nicht bestanden`,
  "source.failed-test-not-set": "Technische Überwachung in den USA, jedem Bundesstaat überlassen",
  "source.us-tread": "Profiltiefe für Motorräder in den meisten Bundesstaaten der USA, 2/32 Zoll (1,5875 mm)",
  "source.mot-1.1.1": `${motManual}, 1.1.1 Lagerung von Hebel und Pedal`,
  "source.mot-1.1.2": `${motManual}, 1.1.2 Zustand und Weg der Betätigungen`,
  "source.mot-1.1.15": "DVSA, Special Notice 03-19, 1.1.15 Gestänge und Züge, Durchmesser um mehr als ein Drittel verringert",
  "source.mot-4.1.1": `${motManual}, 4.1.1 Scheinwerfer`,
  "source.mot-4.1.2": `${motManual}, 4.1.2 Einstellung der Scheinwerfer`,
  "source.mot-5.1.3": `${motManual}, 5.1.3 Radlager`,
  "source.mot-5.2.1": `${motManual}, 5.2.1 Radbefestigung und Achse`,
  "source.mot-5.2.2": `${motManual}, 5.2.2 Felgen: Seitenschlag 4 mm Stahl, 2 mm Aluminium`,
  "source.mot-6.1.1": `${motManual}, 6.1.1 Rahmen`,
  "source.mot-old-1.4": `${olderManual}, 1.4 Rückstrahler hinten`,
  "source.mot-old-2.1": `${olderManual}, 2.1 Lenker und Bedienung`,
  "source.mot-old-2.2": `${olderManual}, 2.2 Lenkkopf`,
  "source.mot-old-2.3": `${olderManual}, 2.3 Gabel`,
  "source.mot-old-3.1": `${olderManual}, 3.1 Bremsbetätigung und Hydraulik`,
  "source.mot-old-3.2": `${olderManual}, 3.2 Bremsbeläge: 1,5 mm, gesintert 1,0 mm`,
  "source.mot-old-3.3": `${olderManual}, 3.3 Abbremsung: eine Betätigung 30 %, die andere 25 %`,
  "source.mot-old-4.1": `${olderManual}, 4.1 Reifen: Profil, Schäden, Ventil, Laufrichtung`,
  "source.mot-old-6.2": `${olderManual}, 6.2 Kette, Kettenräder, Sitz, Fußrasten, Gasgriff, Kupplungshebel`,
  "source.mot-old-spokes": `${olderManual}, Räder: Speichen`,
  "source.mot-old-stop-lamps": `${olderManual}, Bremslichter und Hupe`,
  "source.cu-18": `${constructionAndUse}, reg. 18, Unterhalt der Bremsen`,
  "source.cu-27": `${constructionAndUse}, reg. 27(1)(a)-(h) und (4), Reifen`,
  "source.dvsa-part-3-tyres":
    "DVSA, Categorisation of vehicle defects, Part 3 (motorcycles), Reifen: Profil unter der Grenze, nahe der Grenze",
  "source.natural-loss": "Verbraucherseiten darüber, wie Reifen von selbst Luft verlieren, 1 bis 1,5 psi im Monat",
  "source.fmvss-138": "49 CFR 571.138, Reifendruckkontrolle, S4.2(a): 25 % unter dem kalten Druck",
  "source.chain-makers-note":
    "Merkblatt eines Kettenherstellers nach ANSI B29.1 und B29.3, bei 3 % erneuern; über 66 Zähnen bei 200/Zähne %",
  "source.chain-common-limit": "Handbücher von Herstellern, die eine Grenze für die Kette nennen, erneuert bei mehr als 2 % Längung",
  "source.iso-606": "ISO 606, Rollenketten, 12,700 mm und 15,875 mm",
  "source.swinging-arm": "Code of Maryland Regulations 11.14.03.02, A Schwinge; C Spur der Räder",
} as const satisfies Readonly<Record<`source.${SourceKey}`, string>>;
