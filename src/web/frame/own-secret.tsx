// Choosing a secret of one's own: in place of a one-time code, before anything else; or whenever somebody wants another.

import type { Ref } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { Person, SecretChanged, WhoAmI } from "../../../shared/contracts/people.ts";
import { faultOfSecret, leastSecretLength, mostSecretLength, type SecretFault } from "../../../shared/rules/secret.ts";
import { isolated } from "../../../shared/words/isolate.ts";
import { call, NoSignal } from "./call.ts";
import { Trouble, useLoaded } from "./parts.tsx";
import { beginSession, leaveSession } from "./session.ts";
import { say, sayMoment } from "./words.ts";

/** How many changes of the secret are shown: enough to notice one that somebody else made. */
const mostShown = 5;

interface OwnSecretProps {
  readonly person: Person;
  /** the one-time code that was typed just now; null where it has to be asked for again */
  readonly code: string | null;
  readonly heading?: boolean;
}

export function OwnSecret({ person, code, heading }: OwnSecretProps) {
  const must = person.mustChangeSecret;
  const [current, setCurrent] = useState(code ?? "");
  const [secret, setSecret] = useState("");
  const [seen, see] = useState(false);
  const { busy, fault, error, done, choose, leave } = useChoice(person);
  const first = useRef<HTMLInputElement>(null);
  useEffect(() => first.current?.focus(), []);
  if (done) {
    return (
      <p class="notice" role="status">
        {say("page.own-secret.done")} {done.sessionsEnded > 0 && say("page.own-secret.ended", { count: done.sessionsEnded })}
      </p>
    );
  }
  const submit = (event: Event) => {
    event.preventDefault();
    void choose(current, secret);
  };
  return (
    <form class="sign-in" onSubmit={submit}>
      {heading && <h1>{say("page.own-secret.must")}</h1>}
      {must && <p>{say("page.own-secret.why")}</p>}
      {/* For password managers, which keep the secret under this number. */}
      <input name="number" type="text" autocomplete="username" value={person.staffNumber} readOnly hidden />
      {code === null && (
        <SecretField
          field={first}
          label={say(must ? "page.own-secret.code" : "page.own-secret.present")}
          name="current"
          seen={seen}
          value={current}
          onText={setCurrent}
        />
      )}
      <SecretField
        field={code === null ? null : first}
        label={say("page.own-secret.new")}
        name="secret"
        invalid={fault !== null}
        seen={seen}
        value={secret}
        onText={setSecret}
      />
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
        <button type="button" class="quiet" onClick={leave}>
          {say("page.sign-out")}
        </button>
      )}
      <Happened />
    </form>
  );
}

/** Replaces the present secret by the new one, if the rule allows it; or leaves without a change. */
function useChoice({ staffNumber }: Person) {
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState<SecretFault | null>(null);
  const [error, setError] = useState<unknown>(null);
  const [done, setDone] = useState<SecretChanged | null>(null);
  const choose = async (current: string, secret: string) => {
    const wrong = faultOfSecret({ secret, current, staffNumber });
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
  const leave = () => void call("/v1/sign-out", { method: "POST" }).then(leaveSession, setError);
  return { busy, fault, error, done, choose, leave };
}

interface SecretFieldProps {
  readonly field: Ref<HTMLInputElement> | null;
  readonly name: "current" | "secret";
  readonly label: string;
  /** shown as it is typed */
  readonly seen: boolean;
  readonly value: string;
  readonly onText: (text: string) => void;
  /** of a secret that is chosen: whether it breaks the rule, which stands beside it */
  readonly invalid?: boolean;
}

function SecretField({ field, name, label, seen, value, onText, invalid }: SecretFieldProps) {
  const type = seen ? ({ type: "text" } as const) : ({ type: "password" } as const);
  const chosen = { autocapitalize: "off", spellcheck: false, minLength: leastSecretLength, "aria-describedby": "secret-rule" } as const;
  return (
    <label>
      <span>{label}</span>
      <input
        ref={field}
        name={name}
        {...type}
        autocomplete={name === "current" ? "current-password" : "new-password"}
        {...(invalid === undefined ? {} : { ...chosen, "aria-invalid": invalid })}
        required
        maxLength={mostSecretLength}
        value={value}
        onInput={({ currentTarget }) => onText(currentTarget.value)}
      />
    </label>
  );
}

/** What happened to the secret so far: somebody who finds a change that they did not make knows that somebody else had it. */
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
