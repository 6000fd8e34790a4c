// An inspection that is not finished: saved, listed, continued by any mechanic of the depot. It is no record, and nothing is decided by it.
import type { z } from "zod";
import type { draftListQuerySchema, InspectionDraft, InspectionDraftBody, ReviewedDraftAnswer } from "../../shared/contracts/checks.ts";
import { DRAFT_DAYS, reviewDraft } from "../../shared/rules/inspection-draft.ts";
import { sayGuidance } from "../../shared/words/say-guidance.ts";
import { type AppContext, depotRulesOf, type MachineFacts, readMachineFacts } from "../acts/index.ts";
import { type NamedPerson, namesOf } from "../people/index.ts";
import { type Actor, cursorFrom, momentAndIdSchema, objectOf, pageFrom, platformErrors, type View } from "../platform/index.ts";
import { checkErrors } from "./errors.ts";
import { givenBy } from "./measured-by.ts";
import { placed } from "./not-whole.ts";
import { type DraftRow, findDraft, findDrafts, writeDraft } from "./store.ts";

const draftMs = DRAFT_DAYS * 86_400_000;
const since = (now: Date): Date => new Date(now.getTime() - draftMs);

/**
 * Saves a draft about this machine over the revision that was read; the same sent again is saved once. Throws `draft-changed`, `draft-finished`, `id-reused`.
 */
export async function saveInspectionDraft(
  context: AppContext,
  actor: Actor,
  facts: MachineFacts,
  id: string,
  { revision, ...body }: InspectionDraftBody,
): Promise<ReviewedDraftAnswer> {
  const now = context.clock.now();
  // Read before the write, which is refused where another revision has been saved by then.
  const before = await findDraft(context.db, id, since(now));
  const answeredBy = givenBy(before && { answers: before.body.answers, answeredBy: before.answeredBy }, body.answers, actor.staffId);
  const draft = { id, machineId: body.machineId, revision, body, answeredBy, staffId: actor.staffId };
  const written = await writeDraft(context.db, draft, now, since(now));
  if (written === "changed") {
    throw checkErrors.problem("draft-changed", "Read the draft again, put your answers into it and save that. Nothing was stored.");
  }
  if (written === "finished")
    throw checkErrors.problem("draft-finished", "Its inspection is on record, which never changes. Nothing was stored.");
  if (written === "other-machine") {
    throw platformErrors.problem("id-reused", "This id stands for a draft of another machine. Make a new id. Nothing was stored.");
  }
  const row = await findDraft(context.db, id, since(now));
  if (!row) throw checkErrors.problem("draft-finished", "It was submitted at this moment.");
  return reviewed(context, row, facts, actor, now);
}

interface DraftOfMachine {
  readonly row: DraftRow;
  readonly facts: MachineFacts;
}

/** The draft at an address, with the depot of its machine. */
export const draft = objectOf({
  name: "draft",
  missing: "There is no draft with this id: it was submitted, left lying too long, or never saved.",
  find: async (context: AppContext, id): Promise<DraftOfMachine | null> => {
    const row = await findDraft(context.db, id, since(context.clock.now()));
    const facts = row && (await readMachineFacts(context, row.machineId));
    return row && facts && { row, facts };
  },
  depotOf: ({ row }) => row.depotId,
});

/** A draft as it was saved, reviewed by today's figures. */
export const showInspectionDraft = (context: AppContext, actor: Actor, { row, facts }: DraftOfMachine): Promise<ReviewedDraftAnswer> =>
  reviewed(context, row, facts, actor, context.clock.now());

/** Drafts of a view, the one saved last first. */
export async function listInspectionDrafts(context: AppContext, { depotIds }: View, query: z.infer<typeof draftListQuerySchema>) {
  const filter = { depotIds, machineId: query.machineId };
  const after = cursorFrom(query.cursor, momentAndIdSchema);
  const rows = await findDrafts(context.db, since(context.clock.now()), filter, after, query.limit);
  const names = await namesOf(context.db, rows.flatMap(measurersOf));
  return pageFrom(
    rows,
    query.limit,
    (row) => [row.savedAt, row.id],
    (row) => draftOf(row, names),
  );
}

const measurersOf = ({ answeredBy }: DraftRow): string[] => [...new Set(Object.values(answeredBy))];

function draftOf({ body, answeredBy, ...row }: DraftRow, names: ReadonlyMap<string, NamedPerson>): InspectionDraft {
  const given = new Set(body.answers.filter(({ result }) => result !== undefined).map(({ itemId }) => itemId));
  const itemIdsOf = (staffId: string) => Object.keys(answeredBy).filter((itemId) => answeredBy[itemId] === staffId && given.has(itemId));
  return {
    ...row,
    measuredBy: [...new Set(Object.values(answeredBy))]
      .map((staffId) => ({ staffId, name: names.get(staffId)?.name ?? "", itemIds: itemIdsOf(staffId) }))
      .filter(({ itemIds }) => itemIds.length > 0),
    sheetVersion: body.sheetVersion,
    odometerKm: body.odometerKm ?? null,
    answers: body.answers,
    notes: body.notes ?? null,
    expiresAt: new Date(Date.parse(row.savedAt) + draftMs).toISOString(),
  };
}

async function reviewed(context: AppContext, row: DraftRow, facts: MachineFacts, actor: Actor, at: Date): Promise<ReviewedDraftAnswer> {
  const { features, handbook, engineCc } = facts.model;
  const machine = {
    machineId: facts.machine.id,
    state: facts.state,
    features,
    handbook,
    engineCc,
    ruleSet: facts.depot.ruleSet,
    depotRules: depotRulesOf(facts),
  };
  const { issues, verdicts, guidance } = reviewDraft(machine, row.body, at, actor.competences);
  return {
    draft: draftOf(row, await namesOf(context.db, measurersOf(row))),
    issues: issues.map(placed),
    verdicts: [...verdicts],
    guidance: guidance.map((one) => sayGuidance(one)),
  };
}
