import type { AnonymiseBody } from "../../shared/contracts/keeping.ts";
import type { StaffMember } from "../../shared/contracts/people.ts";
import type { AppContext } from "../acts/index.ts";
import { holdFirm } from "../keys/index.ts";
import { appendToFirm, recording, takeCheckpoint } from "../ledger/index.ts";
import { hashSecret, holdStaffMember, makeNeutral } from "../people/index.ts";
import type { Actor } from "../platform/index.ts";
import { keepingErrors } from "./errors.ts";
import { findRecordsAbout, forgetWords, holdOnPerson, isForgotten } from "./store.ts";

/**
 * Makes a person who has left anonymous, and forgets what the firm's records say about them; what they recorded about machines stays, under
 * their id. A second call changes nothing. Throws `not-found`, `other-depot`, `still-here`, `under-hold`.
 */
export async function anonymiseStaff(context: AppContext, actor: Actor, id: string, { reason }: AnonymiseBody): Promise<StaffMember> {
  // A secret that nobody knows: a sign-in under the old number fails as for any unknown number.
  const secretHash = await hashSecret(context.newSalt());
  await takeCheckpoint(context);
  return recording(context, async (tx) => {
    const ask = context.db.rowsIn(tx);
    const member = await holdStaffMember(context.db, tx, actor, id);
    if (member.leftAt === null) {
      throw keepingErrors.problem("still-here", "Note first that the person has left; only then can they be made anonymous.");
    }
    await holdFirm(ask);
    if (await isForgotten(ask, id)) return member;
    const hold = await holdOnPerson(ask, id);
    if (hold !== null) {
      throw keepingErrors.problem("under-hold", `Hold ${hold} covers what this person recorded, so their name is kept until it is lifted.`);
    }
    const now = context.clock.now();
    const entryId = context.newId();
    const about = await findRecordsAbout(ask, id);
    const neutral = await makeNeutral(tx, id, secretHash);
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: null, recordedAt: now }, [
      { id: entryId, kind: "person-forgotten", performedAt: now, data: { personId: id, reason, records: about.length } },
    ]);
    await forgetWords(ask, about, entryId);
    return neutral;
  });
}
