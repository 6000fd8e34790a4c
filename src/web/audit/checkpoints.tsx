// The checkpoints. This browser keeps the newest that it has seen and requires a proof that every later one continues it: so a past that was
// rewritten is noticed here, whatever the service says.
import { useState } from "preact/hooks";
import type { PublicKeySet } from "../../../shared/contracts/people.ts";
import type { Checkpoint, CheckpointConsistency } from "../../../shared/contracts/records.ts";
import { call } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { say, sayMoment, sayNumber } from "../frame/words.ts";
import { checkContinuation, isSigned } from "./check-proof.ts";

const key = "ferrule.checkpoint";

function kept(): Checkpoint | null {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "null") as Checkpoint | null;
  } catch {
    return null;
  }
}

interface Looked {
  readonly list: readonly Checkpoint[];
  readonly verdict: "none" | "first" | "same" | "continued" | "broken" | "unsigned";
  readonly since: Checkpoint | null;
}

async function look(signal: AbortSignal): Promise<Looked> {
  const [{ items: list }, { keys }] = await Promise.all([
    call<{ items: Checkpoint[] }>("/v1/checkpoints?limit=20", { signal }),
    call<PublicKeySet>("/.well-known/jwks.json", { signal }),
  ]);
  const [newest] = list;
  const since = kept();
  if (!newest) return { list, since, verdict: since ? "broken" : "none" };
  if (!(await isSigned(newest, keys))) return { list, since, verdict: "unsigned" };
  const keep = () => localStorage.setItem(key, JSON.stringify(newest));
  if (!since) {
    keep();
    return { list, since, verdict: "first" };
  }
  if (newest.number < since.number) return { list, since, verdict: "broken" };
  if (newest.number === since.number) return { list, since, verdict: newest.rootSha256 === since.rootSha256 ? "same" : "broken" };
  const answer = await call<CheckpointConsistency>(`/v1/checkpoints/consistency?earlier=${since.number}&later=${newest.number}`, {
    signal,
  });
  if (!(await checkContinuation(since, answer, keys))) return { list, since, verdict: "broken" };
  keep();
  return { list, since, verdict: "continued" };
}

export function Checkpoints() {
  const looked = useLoaded(look, []);
  const [sure, setSure] = useState(false);
  const { value } = looked;
  const bad = value?.verdict === "broken" || value?.verdict === "unsigned";
  return (
    <section>
      <h2>{say("desk.checkpoints")}</h2>
      <Trouble error={looked.error} again={looked.reload} />
      {value === null && looked.loading && <Waiting />}
      {value && (
        <>
          <p class={bad ? "trouble" : "small"} role={bad ? "alert" : "status"}>
            {say(`desk.checkpoints.${value.verdict}`, {
              number: sayNumber(value.since?.number ?? 0),
              at: value.since ? sayMoment(value.since.takenAt) : "",
            })}
          </p>
          {value.verdict === "broken" && (
            <p class="row">
              <label class="tick">
                <input type="checkbox" checked={sure} onChange={(event) => setSure(event.currentTarget.checked)} />
                <span>{say("desk.checkpoints.other-firm")}</span>
              </label>
              <button
                type="button"
                disabled={!sure}
                onClick={() => {
                  localStorage.removeItem(key);
                  looked.reload();
                }}
              >
                {say("desk.checkpoints.begin")}
              </button>
            </p>
          )}
          {value.list.length > 0 && (
            <details>
              <summary>{say("desk.checkpoints.list", { count: sayNumber(value.list.length) })}</summary>
              {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard */}
              <section class="wide" tabIndex={0} aria-label={say("desk.checkpoints")}>
                <table>
                  <thead>
                    <tr>
                      <th scope="col">{say("desk.number")}</th>
                      <th scope="col">{say("desk.taken")}</th>
                      <th scope="col">{say("desk.size")}</th>
                      <th scope="col">{say("desk.root")}</th>
                    </tr>
                  </thead>
                  <tbody>
                    {value.list.map(({ number, takenAt, treeSize, rootSha256 }) => (
                      <tr key={number}>
                        <th scope="row">{sayNumber(number)}</th>
                        <td>{sayMoment(takenAt)}</td>
                        <td>{sayNumber(treeSize)}</td>
                        <td class="mono">{rootSha256}</td>
                      </tr>
                    ))}
                  </tbody>
                </table>
              </section>
            </details>
          )}
        </>
      )}
    </section>
  );
}
