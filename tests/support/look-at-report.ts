// Looks at a drawn report as a reader sees it, by what poppler's pdftotext says of where each word stands, and names what is wrong with it.
import { execFile } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import type { Block, ReportDocument } from "../../src/pdf/document.ts";
import { Pen } from "../../src/pdf/pen.ts";
import { bytesOf } from "../reports/read-pdf.ts";

const run = promisify(execFile);

export interface Word {
  readonly text: string;
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}
export interface Row extends Word {
  readonly words: readonly Word[];
}
interface PageSeen {
  readonly width: number;
  readonly words: readonly Word[];
}

const entities: Readonly<Record<string, string>> = { amp: "&", lt: "<", gt: ">", quot: '"', apos: "'", "#39": "'" };
const plain = (xml: string): string => xml.replace(/&([^;]+);/g, (whole, name: string) => entities[name] ?? whole);

let drawn = 0;
async function seenBy(bytes: Buffer): Promise<{ pages: PageSeen[]; texts: string[] }> {
  const folder = await mkdtemp(join(tmpdir(), "ferrule-look-"));
  try {
    const path = join(folder, "report.pdf");
    await writeFile(path, bytes);
    // For whoever adds a report: what it looks like.
    const into = process.env["PICTURES_INTO"];
    if (into) await run("pdftoppm", ["-png", "-r", "80", path, join(into, `report-${drawn++}`)]);
    const read = async (...options: string[]) =>
      (await run("pdftotext", [...options, "-enc", "UTF-8", path, "-"], { maxBuffer: 1 << 28 })).stdout;
    const [boxes, raw] = await Promise.all([read("-bbox-layout"), read("-raw")]);
    const pages = boxes.split("<page ").slice(1);
    return {
      pages: pages.map((page) => ({
        width: Number(/width="([\d.]+)"/.exec(page)?.[1]),
        words: [...page.matchAll(/<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)<\/word>/gs)].map(
          ([, left, top, right, bottom, text = ""]) => ({
            ...{ left: Number(left), top: Number(top), right: Number(right), bottom: Number(bottom), text: plain(text) },
          }),
        ),
      })),
      texts: raw.split("\f").slice(0, pages.length),
    };
  } finally {
    await rm(folder, { recursive: true });
  }
}

/** Words that stand on one line across the page, top to bottom. */
function rowsOf(words: readonly Word[]): Row[] {
  const rows: { words: Word[]; base: number }[] = [];
  for (const word of [...words].sort((a, b) => a.bottom - b.bottom)) {
    const last = rows.at(-1);
    if (last && word.bottom - last.base < 3) last.words.push(word);
    else rows.push({ words: [word], base: word.bottom });
  }
  return rows.map(({ words: own }) => {
    const inOrder = own.sort((a, b) => a.left - b.left);
    return {
      words: inOrder,
      text: inOrder.map(({ text }) => text).join(" "),
      left: Math.min(...own.map(({ left }) => left)),
      top: Math.min(...own.map(({ top }) => top)),
      right: Math.max(...own.map(({ right }) => right)),
      bottom: Math.max(...own.map(({ bottom }) => bottom)),
    };
  });
}

/** Without blanks: a line may break anywhere that a word may. */
const tight = (text: string): string => text.normalize("NFC").replace(/[\s\u00a0\u200b]+/g, "");

/** What a block holds that is not set as text where it stands: names of looks, what is only said aloud, points between the ends of a line. */
const unset = new Set(["kind", "tone", "alt", "size", "align", "address", "days", "empty", "points", "shown", "isRest", "level", "axis"]);

const textsOf = (value: unknown, key = ""): string[] => {
  if (unset.has(key)) return [];
  if (typeof value === "string") return key === "mark" && value.length < 2 ? [] : [value];
  if (value === null || typeof value !== "object" || value instanceof Date || value instanceof Uint8Array) return [];
  if (Array.isArray(value)) return value.flatMap((one) => textsOf(one, key));
  return Object.entries(value).flatMap(([name, one]) => textsOf(one, name));
};
const textsOfBlock = (block: Block): string[] => {
  if (block.kind === "table" && block.rows.length === 0) return [block.empty];
  if (block.kind === "days" || block.kind === "day-grid") return textsOf({ ...block, legend: block.legend.map(({ text }) => text) });
  return textsOf(block);
};

/** A page that is left less than this full, though the paper goes on, looks unfinished: the tallest thing that stays whole takes a third. */
const leastFull = 0.6;
/** On the last page of several, headings left out: rows at all, and rows besides a signature where it stands there. */
const fewestRows = 2;
const fewestBesideSigning = 3;
const marginPt = 44;
/** A page that lies is broader than this. */
const broadPt = 700;

export interface Look {
  readonly flaws: readonly string[];
  readonly pages: number;
  readonly rows: readonly (readonly Row[])[];
}

/** Everything that is wrong with how this paper is laid out, each in a sentence; empty for a sound one. */
export const lookAt = async (paper: ReportDocument): Promise<Look> => lookAtBytes(paper, await bytesOf(paper));

export async function lookAtBytes(paper: ReportDocument, bytes: Buffer): Promise<Look> {
  const { pages, texts } = await seenBy(bytes);
  const flaws: string[] = [];
  // Where the body begins and ends depends on the lines of the head and the way of the page alone.
  const body = bodyOf(paper.head, (pages[0]?.width ?? 0) > broadPt);
  const height = body.bottom - body.y;
  const headings = paper.blocks.flatMap((block) => (block.kind === "heading" ? [tight(block.text)] : []));
  const leads = leadsOf(paper);
  const signing = paper.blocks.find((block) => block.kind === "signatures");
  const signingTexts = signing ? tight(textsOf(signing).join("")) : "";
  const signingHeading = signing ? headings.at(-1) : undefined;
  const foot = tight(paper.head.caution);
  const rowsOfPages = pages.map(({ words, width }, index) => {
    const say = (flaw: string) => flaws.push(`page ${index + 1} of ${pages.length}: ${flaw}`);
    const isFoot = (word: Word) => word.top > body.bottom && foot.includes(tight(word.text));
    const inBody = words.filter((word) => word.bottom > body.y && !isFoot(word));
    const rows = rowsOf(inBody);
    for (const word of words) {
      if (word.left < marginPt - 1 || word.right > width - marginPt + 1) say(`past the margin: ${word.text}`);
    }
    for (const word of inBody) if (word.bottom > body.bottom + 3) say(`in the foot: ${word.text}`);
    const [first] = overlaps(words);
    if (first) say(`text over text: ${first[0].text} and ${first[1].text} at ${first[0].top}`);
    const last = rows.at(-1);
    if (!last) {
      say("nothing but head and foot");
      return rows;
    }
    if (isHeading(last, headings)) say(`a heading alone at the foot: ${last.text}`);
    else if (leads.some((lead) => lead.endsWith(tight(last.text)))) say(`nothing under a heading but its note, at the foot: ${last.text}`);
    const isLast = index === pages.length - 1;
    const isBroken = paper.blocks.some(({ kind }) => kind === "page-break");
    if (!isLast && !isBroken && last.bottom - body.y < leastFull * height)
      say(`only ${Math.round((100 * (last.bottom - body.y)) / height)} % full, and the paper goes on: ${last.text.slice(0, 60)}`);
    if (isLast && index > 0) {
      const others = rows.filter(({ text }) => !signingTexts.includes(tight(text)) && !(signingHeading === tight(text)));
      // Two boxes beside each other are one row.
      const besides = signing
        ? others.filter((row) => !isHeading(row, headings) && !row.words.every(({ text }) => signingTexts.includes(tight(text))))
        : others;
      const hasPictures = paper.blocks.some(({ kind }) => kind === "pictures");
      if (besides.length < (signing && !hasPictures ? fewestBesideSigning : fewestRows))
        say(`nothing on it but ${signing ? "a signature" : "a row"}: ${rows.map(({ text }) => text).join(" | ")}`);
    }
    return rows;
  });
  const written = tight(texts.join(""));
  if (written.includes("\ufffd") || written.includes(tight(paper.head.notDrawn.split("{")[0] ?? "")))
    flaws.push("a box in place of a sign");
  const repeats = repeatedOn(paper);
  const said = paper.blocks.flatMap(textsOfBlock);
  const dotted = new Set(pages.flatMap(({ words }) => words.flatMap(({ text }) => (text.endsWith("\u2026") ? [text] : []))));
  for (const word of dotted) if (!said.some((text) => text.includes(word))) flaws.push(`cut: ${word}`);
  const all = texts
    .map((text) => repeats.reduce((left, repeat) => left.replaceAll(repeat, ""), tight(text).replace(/Page\d+of\d+/, "")))
    .join("");
  for (const text of said) {
    if (all.includes(tight(text)) || repeats.some((repeat) => repeat.includes(tight(text)))) continue;
    // It goes on over a page, or its lines stand between those of other cells.
    const lost = text.split(/\s+/).find((word) => !all.includes(tight(word)));
    if (lost !== undefined) flaws.push(`cut or missing: ${lost.slice(0, 120)} (of ${text.slice(0, 60)})`);
  }
  return { flaws, pages: pages.length, rows: rowsOfPages };
}

/** What stands between a heading and what it is about: alone with the heading it says as little as that. */
const leadsOf = ({ blocks }: ReportDocument): string[] =>
  blocks.flatMap((block, index) => {
    const next = blocks[index + 1];
    const isLead = block.kind === "paragraph" && blocks[index - 1]?.kind === "heading" && next !== undefined;
    return isLead && !["heading", "paragraph", "page-break"].includes(next.kind) ? [tight(block.text)] : [];
  });

const bodies = new Map<string, Pick<Pen, "y" | "bottom">>();
function bodyOf(head: ReportDocument["head"], landscape: boolean): Pick<Pen, "y" | "bottom"> {
  const key = [landscape, head.firmName, head.depotName, head.printedAt, head.title, head.period].join("\n");
  const { y, bottom } = bodies.get(key) ?? new Pen(head, { landscape });
  bodies.set(key, { y, bottom });
  return { y, bottom };
}

/** What stands on each page, and would part a text that goes on over one. */
function repeatedOn({ head, blocks }: ReportDocument): string[] {
  const heads = blocks.flatMap((block) =>
    block.kind === "table" || block.kind === "long-table" ? [block.columns.map((column) => column.head).join("")] : [],
  );
  const { firmName, depotName, printedAt, title, period, caution } = head;
  return [firmName, depotName, printedAt, `${title} \u00b7 ${period}`, caution, ...new Set(heads)].map(tight);
}

const isHeading = ({ text, bottom, top }: Row, headings: readonly string[]): boolean =>
  bottom - top > 12.5 && headings.some((heading) => heading.endsWith(tight(text)));

/** Of a run that goes with its text (as Thai does) poppler tells one box for all of it, which is not where it stands. */
const isBoxed = ({ text }: Word): boolean => !/[\s\p{Script=Thai}]/u.test(text);

/** Letters reach a good deal less far than the boxes of their font. */
function overlaps(words: readonly Word[]): [Word, Word][] {
  const found: [Word, Word][] = [];
  const inOrder = words.filter(isBoxed).sort((a, b) => a.top - b.top);
  inOrder.forEach((one, index) => {
    for (let at = index + 1; at < inOrder.length; at += 1) {
      const other = inOrder[at];
      if (!other || other.top >= one.bottom) break;
      const across = Math.min(one.right, other.right) - Math.max(one.left, other.left);
      const down = Math.min(one.bottom, other.bottom) - other.top;
      if (across > 1 && down > 0.3 * Math.min(one.bottom - one.top, other.bottom - other.top)) found.push([one, other]);
    }
  });
  return found;
}
