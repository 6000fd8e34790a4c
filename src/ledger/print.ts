// The print of a checkpoint: a hash short enough for paper, the same one that the outside witness time-stamps.
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { sha256 } from "./hash.ts";

/** SHA-256 of the signed checkpoint: of the exact text of its `jws`. */
export const checkpointSha256 = ({ jws }: Pick<Checkpoint, "jws">): string => sha256(jws);

/** A hash as people compare it: in groups of four. */
export const inGroups = (hex: string): string => hex.replaceAll(/(.{4})(?!$)/g, "$1 ");
