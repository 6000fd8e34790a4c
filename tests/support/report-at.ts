// A report as a reader gets it: over HTTP, read back with a PDF reader that is not ours.
import { expect } from "vitest";
import { type ReportRead, readPdf } from "../reports/read-pdf.ts";
import type { Client } from "./app.ts";
import { wholeBody } from "./whole-body.ts";

export interface ReportFetched {
  readonly read: ReportRead;
  readonly bytes: Buffer;
  readonly headers: Readonly<Record<string, string>>;
}

/** The report at this address, which is answered with 200. */
export async function reportAt(client: Client, path: string, query: object = {}): Promise<ReportFetched> {
  const answer = await client.get(path).query(query).buffer(true).parse(wholeBody);
  expect(answer.status, `${path}: ${answer.body}`.slice(0, 500)).toBe(200);
  const bytes: Buffer = answer.body;
  return { read: await readPdf(bytes), bytes, headers: answer.headers };
}
