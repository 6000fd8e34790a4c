// The print of a checkpoint: short enough for paper, and the same that a witness outside is asked to stamp.
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { sha256 } from "./hash.ts";

/** SHA-256 of the signed checkpoint, its `jws` to the letter. */
export const checkpointSha256 = ({ jws }: Pick<Checkpoint, "jws">): string => sha256(jws);

/** A hash as people compare it: in groups of four. */
export const inGroups = (hex: string): string => hex.replaceAll(/(.{4})(?!$)/g, "$1 ");
