// Reads a drawn report back with a PDF reader that is not ours.
import { type Canvas, createCanvas } from "@napi-rs/canvas";
import type { ReportDocument } from "../../src/pdf/document.ts";
import { drawPdf } from "../../src/pdf/index.ts";

/** The part of the reader that these tests use; its own types need a browser's. */
interface Reader {
  getDocument(source: object): { promise: Promise<ReadDocument>; destroy(): Promise<void> };
}
export interface StructNode {
  readonly role?: string;
  readonly alt?: string;
  readonly type?: string;
  readonly id?: string;
  readonly children?: readonly StructNode[];
}
interface ReadPage {
  getTextContent(
    options?: object,
  ): Promise<{ items: { str?: string; id?: string; type?: string; hasEOL?: boolean; transform?: number[] }[]; lang: string | null }>;
  getStructTree(): Promise<StructNode | null>;
  getViewport(options: { scale: number }): { width: number; height: number };
  render(options: object): { promise: Promise<void> };
}
interface ReadDocument {
  readonly numPages: number;
  getPage(number: number): Promise<ReadPage>;
  getMetadata(): Promise<{ info: Record<string, unknown>; metadata: { get(key: string): unknown } | null }>;
  getOutline(): Promise<{ title: string }[] | null>;
  getViewerPreferences(): Promise<Record<string, unknown> | null>;
  getMarkInfo(): Promise<Record<string, unknown> | null>;
}

const readerName = "pdfjs-dist/legacy/build/pdf.mjs";
const reader = (await import(readerName)) as Reader;

export const bytesOf = async (paper: ReportDocument): Promise<Buffer> => {
  const chunks: Buffer[] = [];
  for await (const chunk of drawPdf(paper)) chunks.push(chunk as Buffer);
  return Buffer.concat(chunks);
};

export interface ReportRead {
  /** Text of each page, in the order drawn, without the breaks that line ends make. */
  readonly pages: readonly string[];
  readonly text: string;
  readonly info: Record<string, unknown>;
  readonly xmpTitle: unknown;
  readonly outline: readonly string[];
  readonly viewer: Record<string, unknown> | null;
  readonly marked: Record<string, unknown> | null;
  readonly trees: readonly StructNode[];
  /** Text that the structure tree reaches, over all pages: what a screen reader says. */
  readonly spoken: string;
}

const squash = (text: string): string => text.replace(/[\s\u00a0]+/g, " ").trim();

const idsOf = (node: StructNode): string[] => [
  ...(node.type === "content" && node.id !== undefined ? [node.id] : []),
  ...(node.children ?? []).flatMap(idsOf),
];

export const readPdf = async (bytes: Buffer): Promise<ReportRead> => {
  const task = reader.getDocument({ data: new Uint8Array(bytes), verbosity: 0, useSystemFonts: false });
  const document = await task.promise;
  const pages: string[] = [];
  const trees: StructNode[] = [];
  let spoken = "";
  for (let number = 1; number <= document.numPages; number += 1) {
    const page = await document.getPage(number);
    const { items } = await page.getTextContent({ includeMarkedContent: true });
    pages.push(squash(items.map((item) => (item.str ?? "") + (item.hasEOL ? " " : "")).join("")));
    // A long report has no structure tree.
    const tree = (await page.getStructTree()) ?? {};
    trees.push(tree);
    const byId = new Map<string, string>();
    let open: (string | undefined)[] = [];
    for (const item of items) {
      if (item.type?.startsWith("beginMarkedContent")) open = [...open, item.id];
      else if (item.type === "endMarkedContent") open = open.slice(0, -1);
      const id = open.findLast((one) => typeof one === "string");
      if (id !== undefined) byId.set(id, (byId.get(id) ?? "") + (item.str ?? "") + (item.hasEOL ? " " : ""));
    }
    spoken += ` ${idsOf(tree)
      .map((id) => byId.get(id) ?? "")
      .join(" ")}`;
  }
  const { info, metadata } = await document.getMetadata();
  const outline = (await document.getOutline()) ?? [];
  const read = {
    pages,
    text: pages.join(" "),
    info,
    xmpTitle: metadata?.get("dc:title"),
    outline: outline.map((item) => item.title),
    viewer: await document.getViewerPreferences(),
    marked: await document.getMarkInfo(),
    trees,
    spoken: squash(spoken),
  };
  await task.destroy();
  return read;
};

export const readReport = async (paper: ReportDocument): Promise<ReportRead> => readPdf(await bytesOf(paper));

/** A page as people see it, `scale` pixels a point, and where on it a text begins each time that it is set, in points from the top left. */
export async function pageAsPicture(
  bytes: Buffer,
  pageNumber: number,
  scale: number,
  text: string,
): Promise<{ canvas: Canvas; places: readonly [number, number][] }> {
  const task = reader.getDocument({ data: new Uint8Array(bytes), verbosity: 0, useSystemFonts: false });
  const page = await (await task.promise).getPage(pageNumber);
  const viewport = page.getViewport({ scale });
  const canvas = createCanvas(Math.ceil(viewport.width), Math.ceil(viewport.height));
  await page.render({ canvasContext: canvas.getContext("2d"), viewport, background: "#ffffff" }).promise;
  const { items } = await page.getTextContent();
  const places = items
    .filter(({ str }) => str === text)
    .map(({ transform = [] }): [number, number] => [transform[4] ?? 0, viewport.height / scale - (transform[5] ?? 0)]);
  await task.destroy();
  return { canvas, places };
}

/** A page's size, and each text on it with the size of its letters, in points. */
export async function setOn(
  bytes: Buffer,
  pageNumber: number,
): Promise<{ widthPt: number; heightPt: number; runs: readonly { text: string; sizePt: number }[] }> {
  const task = reader.getDocument({ data: new Uint8Array(bytes), verbosity: 0, useSystemFonts: false });
  const page = await (await task.promise).getPage(pageNumber);
  const { width: widthPt, height: heightPt } = page.getViewport({ scale: 1 });
  const { items } = await page.getTextContent();
  const runs = items.map(({ str = "", transform = [] }) => ({ text: str, sizePt: Math.abs(transform[3] ?? 0) }));
  await task.destroy();
  return { widthPt, heightPt, runs };
}

/** All nodes of a role, in order. */
export const nodesOf = (trees: readonly StructNode[], role: string): StructNode[] => {
  const walk = (node: StructNode): StructNode[] => [...(node.role === role ? [node] : []), ...(node.children ?? []).flatMap(walk)];
  return trees.flatMap(walk);
};
