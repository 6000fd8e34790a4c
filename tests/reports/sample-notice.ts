// Notices to hang on a machine: of one reason, of more than go on it, and of the longest words.
import type { NoticeFacts } from "../../src/reports/index.ts";
import * as sample from "./sample-facts.ts";
import * as hostile from "./sample-hostile.ts";

export const notice = (parts: Partial<NoticeFacts> = {}): NoticeFacts => ({
  ...{ frame: sample.frame, machine: sample.machine("KX21 ABC"), origin: "https://bikes.example" },
  reasons: ["Front brake cable: strands are broken (dangerous)"],
  since: new Date("2026-07-13T04:31:00Z"),
  ...parts,
});

export const fullNotice = (parts: Partial<NoticeFacts> = {}): NoticeFacts =>
  notice({ reasons: Array.from({ length: 6 }, (_, index) => `Reason ${index + 1}: something that is not as it has to be`), ...parts });

export const longNotice = (): NoticeFacts =>
  notice({
    ...{ frame: hostile.longFrame, machine: hostile.longMachine },
    reasons: Array.from({ length: 6 }, (_, index) => hostile.wordsOf(`reason${index}`, 120)),
  });
