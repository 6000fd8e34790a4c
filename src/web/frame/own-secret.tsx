// Choosing a secret of one's own: in place of a one-time code, before anything else; or whenever somebody wants another.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Person, SecretChanged, WhoAmI } from "../../../shared/contracts/people.ts";
import { faultOfSecret, leastSecretLength, mostSecretLength, type SecretFault } from "../../../shared/rules/secret.ts";
import { isolated } from "../../../shared/words/isolate.ts";
import { call, NoSignal } from "./call.ts";
import { Trouble, useLoaded } from "./parts.tsx";
import { beginSession, leaveSession } from "./session.ts";
import { say, sayMoment } from "./words.ts";

/** So many of what happened to a secret are shown: enough to see one that was not one's own doing. */
const mostShown = 5;

/** `code`: the one-time code that was typed just now; null where it has to be asked for again. */
export function OwnSecret({ person, code, heading }: { person: Person; code: string | null; heading?: boolean }) {
  const must = person.mustChangeSecret;
  const [current, setCurrent] = useState(code ?? "");
  const [secret, setSecret] = useState("");
  const [seen, see] = useState(false);
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState<SecretFault | null>(null);
  const [error, setError] = useState<unknown>(null);
  const [done, setDone] = useState<SecretChanged | null>(null);
  const first = useRef<HTMLInputElement>(null);
  useEffect(() => first.current?.focus(), []);

  const choose = async (event: Event) => {
    event.preventDefault();
    const wrong = faultOfSecret({ secret, current, staffNumber: person.staffNumber });
    setFault(wrong);
    if (wrong !== null) return;
    setBusy(true);
    setError(null);
    try {
      const changed = await call<SecretChanged>("/v1/me/secret", { method: "PUT", body: { current, secret } });
      setDone(changed);
      beginSession(changed.person);
    } catch (trouble) {
      setError(trouble);
      setBusy(false);
    }
  };
  const leave = () => call("/v1/sign-out", { method: "POST" }).then(leaveSession, setError);

  if (done) {
    return (
      <p class="notice" role="status">
        {say("page.own-secret.done")} {done.sessionsEnded > 0 && say("page.own-secret.ended", { count: done.sessionsEnded })}
      </p>
    );
  }
  const type = seen ? ({ type: "text" } as const) : ({ type: "password" } as const);
  return (
    <form class="sign-in" onSubmit={(event) => void choose(event)}>
      {heading && <h1>{say("page.own-secret.must")}</h1>}
      {must && <p>{say("page.own-secret.why")}</p>}
      {/* For password managers, which keep the secret under this number. */}
      <input name="number" type="text" autocomplete="username" value={person.staffNumber} readOnly hidden />
      {code === null && (
        <label>
          <span>{say(must ? "page.own-secret.code" : "page.own-secret.present")}</span>
          <input
            ref={first}
            name="current"
            {...type}
            autocomplete="current-password"
            required
            maxLength={mostSecretLength}
            value={current}
            onInput={({ currentTarget: { value } }) => setCurrent(value)}
          />
        </label>
      )}
      <label>
        <span>{say("page.own-secret.new")}</span>
        <input
          ref={code === null ? null : first}
          name="secret"
          {...type}
          autocomplete="new-password"
          autocapitalize="off"
          spellcheck={false}
          required
          minLength={leastSecretLength}
          maxLength={mostSecretLength}
          aria-describedby="secret-rule"
          aria-invalid={fault !== null}
          value={secret}
          onInput={({ currentTarget: { value } }) => setSecret(value)}
        />
      </label>
      <p id="secret-rule" class="small">
        {say("page.own-secret.rule", { least: leastSecretLength })}
      </p>
      <label class="tick">
        <input type="checkbox" checked={seen} onChange={({ currentTarget: { checked } }) => see(checked)} />
        <span>{say("page.own-secret.show")}</span>
      </label>
      {fault !== null && (
        <p class="trouble" role="alert">
          {say(`page.own-secret.${fault}`, { least: leastSecretLength })}
        </p>
      )}
      {error instanceof NoSignal ? (
        <p class="trouble" role="alert">
          {say("page.own-secret.offline")}
        </p>
      ) : (
        <Trouble error={error} />
      )}
      <button type="submit" class="main" disabled={busy}>
        {say("page.own-secret.choose")}
      </button>
      {must && (
        <button type="button" class="quiet" onClick={() => void leave()}>
          {say("page.sign-out")}
        </button>
      )}
      <Happened />
    </form>
  );
}

/** What happened to the secret so far: whoever finds something there that they did not do knows that somebody else had it. */
function Happened() {
  const { value } = useLoaded((signal) => call<WhoAmI>("/v1/me", { signal }), []);
  if (value === null || value.secretEvents.length === 0) return null;
  return (
    <section>
      <h2>{say("page.own-secret.happened")}</h2>
      <ol class="course">
        {value.secretEvents.slice(0, mostShown).map(({ what, at, by }) => (
          <li key={`${at} ${what}`}>
            <time dateTime={at}>{sayMoment(at)}</time>{" "}
            {what === "set"
              ? say("page.own-secret.was-set", { who: by ? `${isolated(by.name)}, ${by.staffNumber}` : say("page.own-secret.founding") })
              : say(`page.own-secret.was-${what}`)}
          </li>
        ))}
      </ol>
      <p class="small">{say("page.own-secret.not-me")}</p>
    </section>
  );
}
