// One record: who, when it was done and when it arrived, what it says, what was corrected, and its proof, checked here.

import { useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Person, PublicKeySet } from "../../../shared/contracts/people.ts";
import type { RecordProof, ShownRecord } from "../../../shared/contracts/records.ts";
import { holds } from "../../../shared/rules/roles.ts";
import { useAct } from "../frame/act.ts";
import { call } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { SecretNote } from "../frame/secret-note.tsx";
import { paperAt, say, sayKey, sayMoment, sayNumber } from "../frame/words.ts";
import { checkProof, type ProofStep, proofSteps, type StepResult } from "./check-proof.ts";

export function RecordPage({ id, person }: { id: string; person: Person }) {
  const shown = useLoaded((signal) => call<ShownRecord>(`/v1/records/${id}`, { signal }), [id]);
  const { value } = shown;
  return (
    <div class="desk">
      <p>
        <a href={to("audit")}>{say("desk.title")}</a>
      </p>
      <h1>{value ? sayKey(`entry.${value.record.kind}`, value.record.sentence) : say("desk.record")}</h1>
      <Trouble error={shown.error} again={shown.reload} />
      {value === null && shown.loading && <Waiting />}
      {value && (
        <>
          <dl class="facts">
            <dt>{say("desk.kind")}</dt>
            <dd>{value.record.kind}</dd>
            <dt>{say("desk.done")}</dt>
            <dd>{sayMoment(value.record.performedAt)}</dd>
            <dt>{say("desk.arrived")}</dt>
            <dd>{sayMoment(value.record.recordedAt)}</dd>
            {value.called.staff && (
              <>
                <dt>{say("desk.by")}</dt>
                <dd>
                  <bdi>{value.called.staff.name}</bdi> <span class="mono">{value.called.staff.staffNumber}</span>
                </dd>
              </>
            )}
            {value.called.depot !== null && (
              <>
                <dt>{say("page.depot")}</dt>
                <dd>{value.called.depot}</dd>
              </>
            )}
            {typeof value.record.data?.["defectId"] === "string" && (
              <>
                <dt>{say("bench.defect")}</dt>
                <dd>
                  <a href={to("bench", "defect", value.record.data["defectId"])}>{say("bench.course")}</a>
                </dd>
              </>
            )}
            {value.record.machineId !== null && (
              <>
                <dt>{say("board.machine")}</dt>
                <dd>
                  <a class="mono" href={to("bench", "machine", value.record.machineId)}>
                    {value.called.machine}
                  </a>
                </dd>
              </>
            )}
          </dl>
          <SecretNote of={value} />
          <Paper id={id} kind={value.record.kind} />
          <section>
            <h2>{say("desk.says")}</h2>
            {value.record.data === null ? (
              <p>{say("bench.forgotten")}</p>
            ) : (
              <Said data={value.record.data} corrections={value.corrections} />
            )}
          </section>
          <Proof shown={value} />
          {/* An auditor reads only. */}
          {holds(person, "mechanic", "manager") && <Correct id={id} onDone={shown.reload} />}
        </>
      )}
    </div>
  );
}

/** The paper of what was recorded, where the record is a check or an inspection. */
function Paper({ id, kind }: { id: string; kind: string }) {
  const address = kind === "daily-check" ? "daily-checks" : kind === "weekly-inspection" ? "weekly-inspections" : null;
  if (address === null) return null;
  return (
    <p>
      <a class="button" href={paperAt(`/v1/${address}/${id}/report.pdf`)} target="_blank" rel="noopener">
        {say("desk.paper")}
      </a>
    </p>
  );
}

/** Every value with its JSON Pointer; a corrected value has its correction beside it. */
function Said({ data, corrections }: { data: Readonly<Record<string, unknown>>; corrections: ShownRecord["corrections"] }) {
  const rows = flat(data, "");
  const whole = corrections.filter(({ pointer }) => pointer === null);
  return (
    <>
      {whole.map((one) => (
        <p key={one.id} class="notice">
          {say("desk.corrected.whole", { at: sayMoment(one.recordedAt) })} {String(one.right)} ({one.reason}){" "}
          <a href={to("audit", "record", one.id)}>{say("desk.record")}</a>
        </p>
      ))}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard */}
      <section class="wide" tabIndex={0} aria-label={say("desk.says")}>
        <table class="values">
          <thead>
            <tr>
              <th scope="col">{say("desk.where")}</th>
              <th scope="col">{say("desk.value")}</th>
              {corrections.length > 0 && <th scope="col">{say("desk.right")}</th>}
            </tr>
          </thead>
          <tbody>
            {rows.map(([pointer, value]) => (
              <tr key={pointer}>
                <th scope="row" class="mono">
                  {pointer}
                </th>
                <td>{value}</td>
                {corrections.length > 0 && (
                  <td>
                    {corrections
                      .filter((one) => one.pointer !== null && (pointer === one.pointer || pointer.startsWith(`${one.pointer}/`)))
                      .map((one) => (
                        <p key={one.id}>
                          <strong>{String(one.right)}</strong> ({one.reason}){" "}
                          <a href={to("audit", "record", one.id)}>{sayMoment(one.recordedAt)}</a>
                        </p>
                      ))}
                  </td>
                )}
              </tr>
            ))}
          </tbody>
        </table>
      </section>
    </>
  );
}

/** The JSON Pointers (RFC 6901) of all values and the values, in order. */
function flat(value: unknown, pointer: string): [string, string][] {
  if (value === null || typeof value !== "object")
    return [[pointer === "" ? "/" : pointer, value === null ? "–" : String(value as string | number | boolean)]];
  return Object.entries(value).flatMap(([name, inner]) => flat(inner, `${pointer}/${name.replaceAll("~", "~0").replaceAll("/", "~1")}`));
}

interface Checked {
  readonly proof: RecordProof;
  readonly steps: Readonly<Record<ProofStep, StepResult>>;
}

async function fetchAndCheck({ record }: ShownRecord, signal: AbortSignal): Promise<Checked> {
  const [proof, { keys }] = await Promise.all([
    call<RecordProof>(`/v1/records/${record.id}/proof`, { signal }),
    call<PublicKeySet>("/.well-known/jwks.json", { signal }),
  ]);
  return { proof, steps: await checkProof(record, proof, keys) };
}

function Proof({ shown }: { shown: ShownRecord }) {
  const checked = useLoaded((signal) => fetchAndCheck(shown, signal), [shown.record]);
  const { value } = checked;
  const broken = value && Object.values(value.steps).includes("fails");
  return (
    <section>
      <h2>{say("desk.proof")}</h2>
      <Trouble error={checked.error} again={checked.reload} />
      {value === null && checked.loading && <Waiting />}
      {value && (
        <>
          <p class={broken ? "trouble" : "proved"} role="status">
            <strong>{say(broken ? "desk.proof.broken" : "desk.proof.holds")}</strong>
          </p>
          <ol class="proof-steps">
            {proofSteps.map((step) => (
              <li key={step} class={`proof-${value.steps[step]}`}>
                <strong>{say(`desk.step.result.${value.steps[step]}`)}</strong>{" "}
                {say(`desk.step.${step}`, {
                  leaf: sayNumber(value.proof.leafIndex + 1),
                  size: sayNumber(value.proof.checkpoint.treeSize),
                  number: sayNumber(value.proof.checkpoint.number),
                  at: sayMoment(value.proof.checkpoint.takenAt),
                })}
              </li>
            ))}
          </ol>
          <p>{say("desk.proof.limits")}</p>
          <dl class="facts">
            <dt>SHA-256</dt>
            <dd class="mono">{value.proof.sha256}</dd>
            <dt>{say("desk.root")}</dt>
            <dd class="mono">{value.proof.checkpoint.rootSha256}</dd>
            <dt>{say("desk.key")}</dt>
            <dd class="mono">{value.proof.checkpoint.kid}</dd>
          </dl>
        </>
      )}
    </section>
  );
}

function Correct({ id, onDone }: { id: string; onDone: () => void }) {
  const [fields, setFields] = useState({ pointer: "", right: "", reason: "" });
  const act = useAct<unknown>(() => {
    setFields({ pointer: "", right: "", reason: "" });
    onDone();
  });
  const submit = (event: Event) => {
    event.preventDefault();
    const pointer = fields.pointer.trim();
    void act.send(`/v1/records/${id}/corrections`, {
      ...(pointer === "" ? {} : { pointer }),
      right: fields.right.trim(),
      reason: fields.reason.trim(),
    });
  };
  return (
    <details>
      <summary>{say("desk.correct")}</summary>
      <form class="desk-form" onSubmit={submit}>
        <p>{say("desk.correct.how")}</p>
        <label>
          <span>{say("desk.correct.where")}</span>
          <input
            class="mono"
            maxLength={limits.correctionPointer}
            value={fields.pointer}
            onInput={({ currentTarget: { value: pointer } }) => setFields({ ...fields, pointer })}
          />
        </label>
        <label>
          <span>{say("desk.right")}</span>
          <input
            required
            maxLength={limits.correction}
            value={fields.right}
            onInput={({ currentTarget: { value: right } }) => setFields({ ...fields, right })}
          />
        </label>
        <label>
          <span>{say("desk.reason")}</span>
          <textarea
            dir="auto"
            required
            rows={2}
            maxLength={limits.correction}
            value={fields.reason}
            onInput={({ currentTarget: { value: reason } }) => setFields({ ...fields, reason })}
          />
        </label>
        <Trouble error={act.error} />
        <button type="submit" disabled={act.busy}>
          {say("desk.correct.record")}
        </button>
        {act.receipt !== null && <p role="status">{say("desk.correct.done")}</p>}
      </form>
    </details>
  );
}
