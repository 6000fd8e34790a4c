// The last page of a report whose last table ends at the very foot of a page.
import { expect, test } from "vitest";
import type { Block, ReportDocument } from "../../src/pdf/document.ts";
import { drawLongPdf } from "../../src/pdf/draw.ts";
import { composeDefectReport } from "../../src/reports/index.ts";
import { lookAtBytes } from "../support/look-at-report.ts";
import { hasTool } from "../support/tools.ts";
import { defectReport } from "./sample-facts.ts";

const seen = await hasTool("pdftotext");

test.skipIf(!seen)("wherever its last table ends, the space under it begins no page", async () => {
  const { head } = composeDefectReport(defectReport());
  // Lines above it move the table down bit by bit: in some of these lengths it ends with less room left than the space under a table.
  for (let lines = 0; lines < 7; lines += 1)
    for (let rows = 23; rows <= 26; rows += 1) {
      const above: Block = {
        kind: "paragraph",
        size: "small",
        text: Array.from({ length: lines + 1 }, (_, index) => `Line ${index}`).join("\n"),
      };
      const table: Block = {
        ...{ kind: "table", alt: "Rows", empty: "None" },
        columns: [{ head: "What", share: 1 }],
        rows: Array.from({ length: rows }, (_, index) => [`Row ${index}`]),
      };
      const paper: ReportDocument = { head, blocks: [above, table] };
      async function* told() {
        yield* paper.blocks;
      }
      const chunks: Buffer[] = [];
      for await (const chunk of drawLongPdf(head, told())) chunks.push(chunk as Buffer);
      expect((await lookAtBytes(paper, Buffer.concat(chunks))).flaws, `${lines} lines above, ${rows} rows`).toEqual([]);
    }
});
