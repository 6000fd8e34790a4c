// Where categories and limits come from. `basis` says how far we may rely on it: `read` in the source, `secondary` (a page that
// restates it), `from-memory`, or `common-practice` of the trade without a text behind it.

export interface Source {
  readonly title: string;
  /** Edition or date of the text that was used. */
  readonly edition: string;
  /** Section, paragraph or page. */
  readonly locator: string;
  readonly basis: "read" | "secondary" | "from-memory" | "common-practice";
  /** What to know before relying on it. */
  readonly note?: string;
}

const motManual = "DVSA, inspection manual for motorcycles (classes 1 and 2)";
const olderManual = "VOSA, older inspection manual for motorcycles";
const failOnly = "Says that the machine fails, without a category: taken as major at least.";
const constructionAndUse = "Road Vehicles (Construction and Use) Regulations 1986, SI 1986/1078";

export const sources = {
  "common-practice": {
    title: "Common practice of the trade",
    edition: "no edition",
    locator: "no published text",
    basis: "common-practice",
  },
  policy: {
    title: "Policy of the firm",
    edition: "default of this service",
    locator: "the firm's settings",
    basis: "common-practice",
    note: "No published text: a firm may choose another value.",
  },
  handbook: {
    title: "The maker's handbook of the model",
    edition: "as entered for the model",
    locator: "the model's figures",
    basis: "read",
    note: "Entered by the firm; a missing figure is not set.",
  },
  "directive-categories": {
    title: "Directive 2014/45/EU on periodic roadworthiness tests",
    edition: "OJ L 127, 29.4.2014, p. 51",
    locator: "Art. 7(2) and 7(3)",
    basis: "from-memory",
  },
  "directive-identity": {
    title: "Directive 2014/45/EU on periodic roadworthiness tests",
    edition: "corrigendum OJ L 219, 22.8.2019",
    locator: "Annex I 3, items 0.1 and 0.2",
    basis: "read",
  },
  "directive-brakes": {
    title: "Directive 2014/45/EU on periodic roadworthiness tests",
    edition: "OJ L 127, 29.4.2014, p. 51",
    locator: "Annex I 1.2.2: L1e 42 %, L3e 50 %; rear brake alone 25 %",
    basis: "from-memory",
    note: "Not confirmed in the text: check before leaning on it.",
  },
  "failed-test": {
    title: "Directive 2014/45/EU on periodic roadworthiness tests",
    edition: "OJ L 127, 29.4.2014, p. 51",
    locator: "Art. 9: a test with major or dangerous deficiencies is failed",
    basis: "from-memory",
    note: "How long a machine may still be ridden is left to each country. Grounded here, as by any other major defect.",
  },
  "failed-test-not-set": {
    title: "Roadworthiness tests in the USA",
    edition: "no edition",
    locator: "left to each state",
    basis: "from-memory",
    note: "Not set: the failed paper ends, and the machine waits for a valid one.",
  },
  "us-tread": {
    title: "Tread depth for motorcycles in most states of the USA",
    edition: "undated",
    locator: "2/32 in (1.5875 mm)",
    basis: "secondary",
    note: "States differ; 49 CFR 570.9 as its model is from memory. A model only.",
  },
  "mot-1.1.1": { title: motManual, edition: "text of February 2023", locator: "1.1.1 lever and pedal pivots", basis: "read" },
  "mot-1.1.2": { title: motManual, edition: "text of February 2023", locator: "1.1.2 condition and travel of controls", basis: "read" },
  "mot-1.1.15": {
    title: "DVSA, special notice 03-19",
    edition: "20 June 2019",
    locator: "1.1.15 rods and cables, diameter reduced by more than a third",
    basis: "read",
  },
  "mot-4.1.1": { title: motManual, edition: "2018 onward", locator: "4.1.1 headlamps", basis: "read" },
  "mot-4.1.2": {
    title: motManual,
    edition: "2018 onward",
    locator: "4.1.2 headlamp aim",
    basis: "read",
    note: "The tolerances themselves were not read.",
  },
  "mot-5.1.3": { title: motManual, edition: "2018 onward", locator: "5.1.3 wheel bearings", basis: "read" },
  "mot-5.2.1": { title: motManual, edition: "2018 onward", locator: "5.2.1 wheel fixings and spindle", basis: "read" },
  "mot-5.2.2": {
    title: motManual,
    edition: "2018 onward",
    locator: "5.2.2 rims: lateral run-out 4 mm steel, 2 mm aluminium alloy",
    basis: "read",
  },
  "mot-6.1.1": { title: motManual, edition: "2018 onward", locator: "6.1.1 frame", basis: "read" },
  "mot-old-1.4": { title: olderManual, edition: "before 2018", locator: "1.4 rear reflector", basis: "read", note: failOnly },
  "mot-old-2.1": { title: olderManual, edition: "before 2018", locator: "2.1 handlebars and controls", basis: "read", note: failOnly },
  "mot-old-2.2": { title: olderManual, edition: "before 2018", locator: "2.2 steering head", basis: "read", note: failOnly },
  "mot-old-2.3": { title: olderManual, edition: "before 2018", locator: "2.3 forks", basis: "read", note: failOnly },
  "mot-old-3.1": {
    title: olderManual,
    edition: "before 2018",
    locator: "3.1 brake controls and hydraulics",
    basis: "read",
    note: failOnly,
  },
  "mot-old-3.2": {
    title: olderManual,
    edition: "before 2018",
    locator: "3.2 linings and pads: 1.5 mm, sintered 1.0 mm",
    basis: "secondary",
    note: failOnly,
  },
  "mot-old-3.3": {
    title: olderManual,
    edition: "before 2018",
    locator: "3.3 brake efficiency: one control 30 %, the other 25 %",
    basis: "read",
    note: failOnly,
  },
  "mot-old-4.1": {
    title: olderManual,
    edition: "before 2018",
    locator: "4.1 tyres: tread, damage, valve, direction",
    basis: "secondary",
    note: `${failOnly} The part on tread was read, the rest on a page that restates it.`,
  },
  "mot-old-6.2": {
    title: olderManual,
    edition: "before 2018",
    locator: "6.2 chain, sprockets, seat, footrests, throttle, clutch lever",
    basis: "read",
    note: failOnly,
  },
  "mot-old-spokes": { title: olderManual, edition: "before 2018", locator: "wheels: spokes", basis: "secondary", note: failOnly },
  "mot-old-stop-lamps": { title: olderManual, edition: "before 2018", locator: "stop lamps and horn", basis: "secondary", note: failOnly },
  "cu-18": { title: constructionAndUse, edition: "as amended", locator: "reg. 18 upkeep of brakes", basis: "from-memory" },
  "cu-27": {
    title: constructionAndUse,
    edition: "as amended, police summary",
    locator: "reg. 27(1)(a)-(h) and (4) tyres",
    basis: "read",
    note: "Forbids use, without a category: cords, lumps and flat tyres taken as dangerous, the rest as major.",
  },
  "dvsa-part-3-tyres": {
    title: "DVSA, Categorisation of vehicle defects, Part 3 (motorcycles)",
    edition: "change of 1 September 2022",
    locator: "tyres: tread below the limit, close to the limit",
    basis: "secondary",
    note: "Prohibition taken as major, inspection notice as minor.",
  },
  "natural-loss": {
    title: "Consumer pages on how tyres lose air by themselves",
    edition: "several, undated",
    locator: "1 to 1.5 psi a month",
    basis: "secondary",
    note: "The higher of the two is taken: only a loss well above it is flagged.",
  },
  "fmvss-138": {
    title: "49 CFR 571.138, tyre pressure monitoring",
    edition: "as in force",
    locator: "S4.2(a): 25 % under the cold pressure",
    basis: "read",
    note: "Written for cars; borrowed as a warning threshold.",
  },
  "chain-makers-note": {
    title: "A chain maker's note citing ANSI B29.1 and B29.3",
    edition: "undated",
    locator: "renew at 3 %; 200/teeth % above 66 teeth",
    basis: "read",
  },
  "chain-common-limit": {
    title: "Makers' handbooks that give a chain limit",
    edition: "several, 2008 to 2015",
    locator: "renewed when more than 2 % longer than new",
    basis: "read",
    note: "Used where the model's own handbook is silent.",
  },
  "iso-606": { title: "ISO 606, roller chains", edition: "pitches as sold", locator: "12.700 mm and 15.875 mm", basis: "secondary" },
  "swinging-arm": {
    title: "Code of Maryland Regulations 11.14.03.02",
    edition: "as in force",
    locator: "A swinging arm; C wheel alignment",
    basis: "read",
    note: "Says reject, without a category: taken as major.",
  },
} as const satisfies Record<string, Source>;

export type SourceKey = keyof typeof sources;

/** The source behind a key kept in a record or an observation; undefined for an unknown key. */
export const sourceByKey = (key: string): Source | undefined => (Object.hasOwn(sources, key) ? sources[key as SourceKey] : undefined);
