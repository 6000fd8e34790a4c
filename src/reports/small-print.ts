import type { Paragraph } from "../pdf/index.ts";

/** A line in small quiet letters, as notes and proofs stand on every report. */
export const small = (text: string): Paragraph => ({ kind: "paragraph", size: "small", tone: "quiet", text });
