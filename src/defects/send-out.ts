import type { SendOutBody, SendOutReceipt } from "../../shared/contracts/outside-work.ts";
import { sentOut } from "../../shared/rules/away.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { clockFlags, notAfter } from "../../shared/rules/field-record.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import { word } from "../../shared/words/index.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import { type AppContext, actOnMachine, depotRulesOf, type KnownEntry } from "../acts/index.ts";
import { mustBeOfTheFleet } from "../fleet/index.ts";
import type { Actor } from "../platform/index.ts";
import { defectErrors } from "./errors.ts";

/**
 * Records that a machine went to another workshop: nobody is cleared to ride it until it is taken back. Throws `already-away`, `back-before-it-left`,
 * `machine-disposed`, and what actOnMachine throws.
 */
export async function sendOut(
  context: AppContext,
  actor: Actor,
  machineId: string,
  body: SendOutBody,
): Promise<{ receipt: SendOutReceipt; repeated: boolean }> {
  const submitted = { ...body, machineId };
  const submission = { id: body.id, kinds: ["machine-sent-out" as const], body: submitted, performedAt: new Date(body.since) };
  const { entry, repeated } = await actOnMachine(context, { machineId, actor, submission }, (facts, recordedAt, sender) => {
    mustBeOfTheFleet(facts);
    const { away } = facts.state;
    if (away) throw defectErrors.problem("already-away", `It is at ${away.workshop}. Take it back first. Nothing was stored.`);
    const depotRules = depotRulesOf(facts);
    const said = new Date(body.since);
    const since = notAfter(said, recordedAt);
    const { workshop, expectedDay } = body;
    if (expectedDay < localDay(since, depotRules.timeZone)) {
      throw defectErrors.problem("back-before-it-left", "It cannot be expected back before it left. Nothing was stored.");
    }
    const state = sentOut(facts.state, { recordId: body.id, workshop, since: since.toISOString(), expectedDay }, recordedAt);
    const outcome = { ...standingAt(state, recordedAt, depotRules), flags: [...clockFlags(said, recordedAt, depotRules), ...sender.flags] };
    return { entries: [{ id: body.id, kind: "machine-sent-out", performedAt: since, data: { submitted, outcome } }], state };
  });
  return { receipt: receiptOf(entry), repeated };
}

/** The answer, made from the entry alone. */
function receiptOf({ id, data, staffId, performedAt, recordedAt }: KnownEntry<"machine-sent-out">): SendOutReceipt {
  const { submitted, outcome } = data;
  const { machineId, workshop, reason, expectedDay } = submitted;
  return {
    outsideWork: {
      ...{ id, machineId, staffId: staffId ?? "", since: performedAt.toISOString(), recordedAt: recordedAt.toISOString() },
      ...{ workshop, reason, expectedDay },
    },
    machine: { id: machineId, standing: outcome.standing, reasons: outcome.reasons.map((reason) => sayReason(reason)) },
    flags: [...outcome.flags],
    caution: word("caution.line"),
  };
}
