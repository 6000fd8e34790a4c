import { isOfRider, itemById, observationById, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { Category } from "../../shared/contracts/common.ts";
import type { ReportDefectBody, ReportReceipt } from "../../shared/contracts/defects.ts";
import { groupBy } from "../../shared/group-by.ts";
import { findingOf, ownerOf } from "../../shared/rules/answers.ts";
import { clockFlags, notAfter } from "../../shared/rules/field-record.ts";
import { type Finding, recordFinding } from "../../shared/rules/findings.ts";
import { type AppContext, actOnMachine, depotRulesOf } from "../acts/index.ts";
import { awaitedFlags, hangArrived, lookUpPhotos } from "../photos/index.ts";
import type { Actor, TakenAnyway } from "../platform/index.ts";
import { type CourseOutcome, courseReceipt, outcomeOf } from "./change-course.ts";
import { defectErrors } from "./errors.ts";
import { writeRaised } from "./raise.ts";

type ReportOutcome = CourseOutcome & { readonly flags?: readonly string[] };

/**
 * Records a defect noticed outside a check, also on the road. It grounds at once where its category does; seen again, it is a sighting.
 * Throws `about-the-rider`.
 */
export async function reportDefect(
  context: AppContext,
  actor: Actor,
  body: ReportDefectBody,
  mended?: TakenAnyway,
): Promise<{ receipt: ReportReceipt; repeated: boolean }> {
  const submission = { id: body.id, kinds: ["defect-raised", "defect-sighted"] as const, body, performedAt: new Date(body.seenAt), mended };
  const photoIds = body.photoIds ?? [];
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
      const reports = weigh(body).map((finding, index) => {
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
  if (about.length > 0 && about.every(concernsRider)) {
    throw defectErrors.problem("about-the-rider", "What a rider wears stops the rider, not the machine: say it in that rider's own check.");
  }
  if (seenAt.size === 0) return [itemId === undefined ? wordsAlone : findingOf(itemId, [], SHEET_VERSION)];
  const gravity: readonly Category[] = ["dangerous", "major", "minor", "advisory"];
  return [...seenAt]
    .filter(([item]) => !concernsRider(item))
    .map(([item, ids]) => findingOf(item, ids, SHEET_VERSION))
    .sort((one, other) => gravity.indexOf(one.category) - gravity.indexOf(other.category));
}

function concernsRider(itemId: string): boolean {
  const item = itemById(itemId);
  return item !== undefined && isOfRider(item);
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
