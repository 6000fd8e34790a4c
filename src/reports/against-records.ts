// What lets a reader compare a report with the records: the hash of the record that it is about, and the print of the newest checkpoint.
import { inGroups } from "../ledger/index.ts";
import type { Block } from "../pdf/index.ts";
import type { Frame, RecordOnReport } from "./facts.ts";
import type { Phrases } from "./phrases.ts";
import { small } from "./small-print.ts";

/** The newest checkpoint: who keeps this report keeps a witness of all records that it covers. */
export function checkpointBlocks({ say, when, number }: Phrases, { checkpoint }: Pick<Frame, "checkpoint">): Block[] {
  if (!checkpoint) return [small(say("print.no-checkpoint"))];
  const { number: which, takenAt, records, sha256 } = checkpoint;
  const params = { number: String(which), when: when(takenAt), records: number(records), hash: inGroups(sha256) };
  return [small(say("print.checkpoint", params)), small(say("print.checkpoint-check"))];
}

const recordParams = ({ when }: Phrases, { id, kind, position, recordedAt, sha256 }: RecordOnReport) => ({
  ...{ id, kind, position: String(position), when: when(recordedAt), hash: inGroups(sha256) },
});

/** The records of a defect: the one that raised it, and that of its last step if there is one. */
export function defectRecordBlocks(phrases: Phrases, [first, ...others]: readonly [RecordOnReport, ...RecordOnReport[]]): Block[] {
  const { say } = phrases;
  const last = others.at(-1);
  return [
    small(say("print.defect-first", recordParams(phrases, first))),
    ...(last ? [small(say("print.defect-last", recordParams(phrases, last)))] : []),
    small(say("print.record-check")),
  ];
}

/** The last record of a machine: its hash covers all before it. */
export const machineRecordBlocks = (phrases: Phrases, last: RecordOnReport): Block[] => [
  small(phrases.say("print.machine-last", recordParams(phrases, last))),
  small(phrases.say("print.record-check")),
];

/** The one record that a report is about. */
export const recordBlocks = (phrases: Phrases, record: RecordOnReport): Block[] => [
  small(phrases.say("print.record", recordParams(phrases, record))),
  small(phrases.say("print.record-check")),
];
