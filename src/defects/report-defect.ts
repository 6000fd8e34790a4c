import { isOfRider, itemById, observationById, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { Category } from "../../shared/contracts/common.ts";
import type { ReportDefectBody, ReportReceipt } from "../../shared/contracts/defects.ts";
import { groupBy } from "../../shared/group-by.ts";
import { findingOf, ownerOf } from "../../shared/rules/answers.ts";
import { clockFlags, notAfter } from "../../shared/rules/field-record.ts";
import { type Finding, recordFinding } from "../../shared/rules/findings.ts";
import { holds } from "../../shared/rules/roles.ts";
import { type AppContext, actOnMachine, depotRulesOf } from "../acts/index.ts";
import { findPaper } from "../fleet/index.ts";
import { awaitedFlags, hangArrived, lookUpPhotos } from "../photos/index.ts";
import { type Actor, type ProblemError, platformErrors, type TakenAnyway } from "../platform/index.ts";
import { type CourseOutcome, courseReceipt, outcomeOf } from "./change-course.ts";
import { defectErrors } from "./errors.ts";
import { writeRaised } from "./raise.ts";

type ReportOutcome = CourseOutcome & { readonly flags?: readonly string[] };

/**
 * Records a defect noticed outside a check, also on the road. It grounds at once where its category does; seen again, it is a sighting.
 * What an examiner advised on the paper of a test becomes an advisory, whatever it says. Throws `about-the-rider`, `not-a-test-paper`, `not-your-role`.
 */
export async function reportDefect(
  context: AppContext,
  actor: Actor,
  body: ReportDefectBody,
  mended?: TakenAnyway,
): Promise<{ receipt: ReportReceipt; repeated: boolean }> {
  const submission = { id: body.id, kinds: ["defect-raised", "defect-sighted"] as const, body, performedAt: new Date(body.seenAt), mended };
  const photoIds = body.photoIds ?? [];
  if (body.paperId !== undefined) await mustBeOfItsTest(context, actor, body.machineId, body.paperId);
  const photos = await lookUpPhotos(context, actor, photoIds);
  const { entry, repeated } = await actOnMachine<"defect-raised" | "defect-sighted">(
    context,
    { machineId: body.machineId, actor, submission },
    (facts, recordedAt, sender) => {
      const depotRules = depotRulesOf(facts);
      const said = new Date(body.seenAt);
      const seenAt = notAfter(said, recordedAt);
      const about = { machineId: facts.machine.id, depotId: facts.machine.depotId, staffId: actor.staffId, seenAt, recordedAt, photos };
      let { state } = facts;
      const findings = body.paperId === undefined ? weigh(body) : [advisedAt(body.itemId)];
      const reports = findings.map((finding, index) => {
        // The first finding takes the report's own id.
        const id = index === 0 ? body.id : context.newId();
        const reported = recordFinding(state, finding, id, { seenAt, recordedAt }, depotRules);
        state = reported.state;
        return { id, raised: { ...reported, note: body.note ?? null, photoIds } };
      });
      const [reported] = reports;
      if (!reported) throw new Error("a report finds something");
      const outcome: ReportOutcome = {
        ...outcomeOf(facts, state, { ...reported.raised.defect, firstLook: undefined }, recordedAt),
        flags: [...clockFlags(said, recordedAt, depotRules), ...sender.flags, ...awaitedFlags(photoIds, photos)],
      };
      const origin = { kind: "report", recordId: body.id, ...about } as const;
      const writings = reports.map(({ id, raised }, index) =>
        writeRaised([raised], index === 0 ? { ...origin, also: { ...sender.noted, submitted: body, outcome } } : origin, () => id),
      );
      const [first, ...others] = writings.flatMap(({ findings }) => findings);
      if (!first) throw new Error("a report writes an entry");
      return {
        entries: [first, ...others],
        state,
        rows: writings.flatMap(({ rows }) => rows),
      };
    },
  );
  await hangArrived(context, actor, { entry, ids: photoIds });
  const { defect, outcome } = entry.data;
  return {
    receipt: {
      ...(await courseReceipt(context.db, entry)),
      sighting: defect.sighting,
      recurringOf: defect.recurringOf,
      signedOffBetween: defect.signedOffBetween,
      flags: [...(outcome?.flags ?? [])],
    },
    repeated,
  };
}

/**
 * What the report comes to, the gravest first. Each item that its observations belong to is a finding of its own, whatever item the
 * report names, since each has its own competence. An unknown observation belongs to the item named; words alone count as major.
 */
function weigh({ itemId, observationIds = [] }: ReportDefectBody): Finding[] {
  const seenAt = groupBy(observationIds, (id) => (observationById(id) ? ownerOf(id) : (itemId ?? ownerOf(id))));
  // What is wrong with a rider is no defect of a machine: it belongs in that rider's own check, and stops nobody else.
  const about = seenAt.size === 0 && itemId !== undefined ? [itemId] : [...seenAt.keys()];
  if (about.length > 0 && about.every(concernsRider)) throw aboutTheRider();
  if (seenAt.size === 0) return [itemId === undefined ? wordsAlone : findingOf(itemId, [], SHEET_VERSION)];
  const gravity: readonly Category[] = ["dangerous", "major", "minor", "advisory"];
  return [...seenAt]
    .filter(([item]) => !concernsRider(item))
    .map(([item, ids]) => findingOf(item, ids, SHEET_VERSION))
    .sort((one, other) => gravity.indexOf(one.category) - gravity.indexOf(other.category));
}

const aboutTheRider = (): ProblemError =>
  defectErrors.problem("about-the-rider", "What a rider wears stops the rider, not the machine: say it in that rider's own check.");

function concernsRider(itemId: string): boolean {
  const item = itemById(itemId);
  return item !== undefined && isOfRider(item);
}

/** Nobody but who judges machines or answers for them takes over a finding as an advisory: words alone would ground the machine. */
async function mustBeOfItsTest({ db }: AppContext, actor: Actor, machineId: string, paperId: string): Promise<void> {
  if (!holds(actor, "mechanic", "manager"))
    throw platformErrors.problem("not-your-role", "An examiner's advisory is taken over by a mechanic or a manager.");
  const paper = await findPaper(db, paperId);
  if (paper?.machineId === machineId && paper.kind === "roadworthiness-test") return;
  throw defectErrors.problem("not-a-test-paper", "There is no roadworthiness test of this machine with this id. Nothing was stored.", {
    issues: [{ pointer: "/paperId", message: "is no roadworthiness test of this machine" }],
  });
}

/** What an examiner advised at an item, or of nothing that has an item. */
function advisedAt(itemId: string | undefined): Finding {
  if (itemId !== undefined && concernsRider(itemId)) throw aboutTheRider();
  return { ...(itemId === undefined ? wordsAlone : findingOf(itemId, [], SHEET_VERSION)), category: "advisory", secondPerson: false };
}

const wordsAlone: Finding = {
  itemId: null,
  observationIds: [],
  category: "major",
  competence: "general",
  secondPerson: false,
  quantity: null,
  onlyNewPart: false,
};
