import { appendToFirm, recording } from "../ledger/index.ts";
import type { ServiceContext } from "../platform/index.ts";
import { liftLocks } from "./guess-store.ts";
import { newCode, resetHeld } from "./reset-secret.ts";
import { depotOfRecord } from "./rules.ts";
import { findIdOf, holdMember } from "./store.ts";

/** What was done for somebody who could not sign in. */
export interface LetIn {
  readonly name: string;
  /** from how many devices and networks wrong secrets were counted */
  readonly sources: number;
  readonly oneTimeCode: string | null;
}

/**
 * For whoever runs the service, when nobody else can help: lifts every lock of a staff number, and with `withCode` replaces a lost secret by a
 * one-time code, which is recorded and ends every session of the person. Null if nobody works here under that number.
 */
export async function letIn(context: ServiceContext, staffNumber: string, withCode: boolean): Promise<LetIn | null> {
  const code = withCode ? { ...(await newCode(context, undefined)), madeBy: "operator" as const } : null;
  return recording(context, async (tx) => {
    const id = await findIdOf(tx, staffNumber);
    const member = id === null ? null : await holdMember(context.db, tx, id);
    if (!member || member.leftAt !== null) return null;
    const sources = await liftLocks(tx, member.id);
    if (code !== null) {
      const now = context.clock.now();
      const reset = await resetHeld(context, tx, { by: null, member, code, now });
      await appendToFirm(context, tx, { staffId: null, depotId: depotOfRecord(member), recordedAt: now }, [reset.entry]);
      await reset.afterRecord();
    }
    return { name: member.name, sources, oneTimeCode: code?.told.oneTimeCode ?? null };
  });
}
