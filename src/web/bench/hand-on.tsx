// An inspection is signed by whoever submits it. Somebody who may not sign saves it for a colleague who may, and reports at once what grounds
// the machine.

import { useState } from "preact/hooks";
import { samePart } from "../../../shared/catalogue/parts.ts";
import type { CourseReceipt, ReportDefectBody } from "../../../shared/contracts/defects.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { grounds } from "../../../shared/rules/machine-state.ts";
import { isolated } from "../../../shared/words/isolate.ts";
import { nameOfItem } from "../../../shared/words/say-reason.ts";
import { call } from "../frame/call.ts";
import { newId } from "../frame/new-id.ts";
import { CategoryMark, Trouble } from "../frame/parts.tsx";
import { language, say } from "../frame/words.ts";
import type { BenchMachine } from "./bench-machine.ts";
import type { Draft, DraftAtHand } from "./draft.ts";
import type { Review } from "./inspect-list.ts";

export const maySign = ({ competences }: Person): boolean => competences.includes("inspection");

/** Who else measured, for the person who checks and signs it. */
export function MeasuredBy({ draft, person }: { draft: Draft; person: Person }) {
  const others = (draft.measuredBy ?? []).filter(({ staffId }) => staffId !== person.id).map(({ name }) => name);
  if (others.length === 0) return null;
  return (
    <p class="notice">{say(maySign(person) ? "bench.measured-by" : "bench.measured-by.too", { names: others.map(isolated).join(", ") })}</p>
  );
}

interface HandOnProps {
  readonly draft: Draft;
  readonly review: Review;
  readonly atHand: DraftAtHand;
  readonly machine: BenchMachine;
}

/** In place of submitting, for one who may not sign. */
export function HandOn({ draft, review, atHand, machine }: HandOnProps) {
  const [reported, setReported] = useState<readonly string[]>([]);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const known = machine.state.defects.filter((defect) => grounds(defect.category));
  const grounding = review.found.filter(
    (finding) =>
      grounds(finding.category) &&
      !reported.includes(finding.itemId) &&
      !known.some((defect) => defect.itemId === finding.itemId || samePart(defect, finding)),
  );
  const report = async () => {
    setBusy(true);
    setError(null);
    try {
      for (const { itemId, observationIds, note, index } of grounding) {
        const photoIds = draft.answers[index]?.photoIds ?? [];
        const body: ReportDefectBody = {
          ...{ id: newId(), machineId: draft.machineId, seenAt: new Date().toISOString(), itemId },
          ...(observationIds.length > 0 ? { observationIds: [...observationIds] } : {}),
          note: note ?? say("bench.hand-on.note"),
          ...(photoIds.length > 0 ? { photoIds } : {}),
        };
        await call<CourseReceipt>("/v1/defects", { method: "POST", body });
        setReported((before) => [...before, itemId]);
      }
    } catch (trouble) {
      setError(trouble);
    } finally {
      setBusy(false);
    }
  };
  return (
    <section>
      <p class="notice">{say("bench.hand-on")}</p>
      {grounding.length > 0 && (
        <div class="notice" role="alert">
          <p>{say("bench.hand-on.grounds")}</p>
          <ul>
            {grounding.map(({ itemId, category }) => (
              <li key={itemId}>
                <CategoryMark category={category} /> {nameOfItem(itemId, language())}
              </li>
            ))}
          </ul>
          <button type="button" disabled={busy} onClick={() => void report()}>
            {say("bench.hand-on.report")}
          </button>
        </div>
      )}
      {reported.length > 0 && (
        <p class="notice" role="status">
          {say("bench.hand-on.reported", { count: reported.length })}
        </p>
      )}
      <Trouble error={error} again={() => void report()} />
      {atHand.state === "saved" && !draft.ahead && <p role="status">{say("bench.hand-on.saved")}</p>}
    </section>
  );
}
