// One drawing in a process of its own: `month ADDRESS MONTH DEPOT...`, or `bare ROWS`. Prints what it took as JSON.
import { once } from "node:events";
import { Writable } from "node:stream";
import { pipeline } from "node:stream/promises";
import PDFDocument from "pdfkit";
import { sourceOf, textFont } from "../../src/pdf/fonts.ts";
import { openServer, readConfig, systemClock } from "../../src/platform/index.ts";
import { drawMonth, monthScope } from "../../src/reports/index.ts";
import { contextOf } from "../support/context.ts";

let bytes = 0;
let pages = 0;
let rest = "";
/** Counts the pages as they go by. */
const sink = new Writable({
  write(chunk: Buffer, _encoding, done) {
    bytes += chunk.length;
    const text = rest + chunk.toString("latin1");
    pages += text.split("/Type /Page\n").length - 1;
    rest = text.slice(-11);
    done();
  },
});

async function month([address = "", of = "", ...depotIds]: readonly string[]): Promise<number> {
  const config = readConfig({ NODE_ENV: "test", LOG_LEVEL: "silent" });
  const db = openServer(address, 4);
  const context = await contextOf(db, systemClock, config);
  const start = performance.now();
  await pipeline(drawMonth(context, await monthScope(context, { month: of, depotIds })), sink);
  const seconds = (performance.now() - start) / 1000;
  await db.close();
  return seconds;
}

/** A table row by row with embedded fonts, a head on each page, a line under each row: what pdfkit takes for that and nothing else. */
async function bare([rows = "0"]: readonly string[]): Promise<number> {
  const start = performance.now();
  const doc = new PDFDocument({ size: "A4", layout: "landscape", margin: 0, font: "", autoFirstPage: false });
  doc.registerFont("text", sourceOf(textFont(false)).file);
  doc.registerFont("bold", sourceOf(textFont(true)).file);
  doc.pipe(sink);
  const columns = [44, 112, 214, 364, 425, 470, 552, 660];
  const perPage = 27;
  for (let row = 0; row < Number(rows); row += 1) {
    if (row % perPage === 0) {
      await new Promise(setImmediate);
      if (sink.writableNeedDrain) await once(sink, "drain");
      doc.addPage();
      doc.font("bold").fontSize(9.5).text("A firm, a depot", 44, 26, { lineBreak: false });
      columns.forEach((x, index) => {
        doc.font("bold").fontSize(7.6).text(`Head ${index}`, x, 78, { lineBreak: false });
      });
      doc.font("text").fontSize(7.5).text("One line at the foot of the page", 44, 560, { lineBreak: false });
    }
    const y = 96 + (row % perPage) * 16.35;
    const day = 1 + (row % 30);
    const km = 1000 + day * 60;
    const cells = [
      ...[`B${String(Math.floor(row / 30)).padStart(6, "0")}`, `${day} Oct 2026, 06:${String(row % 60).padStart(2, "0")}`, "Bench (R001)"],
      ...[`${km} km`, "61 s", "nothing found", "cleared to ride", ""],
    ];
    cells.forEach((cell, index) => {
      doc
        .font(index === 0 ? "bold" : "text")
        .fontSize(8.2)
        .text(cell, columns[index] ?? 0, y, { lineBreak: false });
    });
    doc
      .lineWidth(0.4)
      .moveTo(44, y + 14)
      .lineTo(798, y + 14)
      .stroke();
  }
  doc.end();
  await once(sink, "finish");
  return (performance.now() - start) / 1000;
}

const [what, ...args] = process.argv.slice(2);
const seconds = await (what === "bare" ? bare(args) : month(args));
const mb = (of: number): number => Math.round(of * 10) / 10;
console.log(JSON.stringify({ pages, seconds, peakMb: mb(process.resourceUsage().maxRSS / 1024), fileMb: mb(bytes / 1e6) }));
process.exit(0);
