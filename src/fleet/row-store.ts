// The rows of a machine's papers, which are written with the act that records or ends one.
import type { EndingReason } from "../../shared/rules/papers.ts";
import { insertedInto } from "../acts/index.ts";

export const paperRows = insertedInto<{
  readonly id: string;
  readonly machineId: string;
  readonly kind: string;
  readonly number: string;
  readonly validFrom: string;
  readonly validTo: string;
  readonly recordedAt: Date;
}>("paper");

export const paperEndingRows = insertedInto<{
  readonly id: string;
  readonly paperId: string;
  readonly machineId: string;
  readonly day: string;
  readonly reason: EndingReason;
  readonly grounds: boolean;
  readonly staffId: string;
  readonly recordedAt: Date;
}>("paper_ending");
