// Signing in, the first time and when a session has ended in the middle of something.

import { useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { NoSignal, openSession } from "./call.ts";
import { Trouble } from "./parts.tsx";
import { PlainHttp } from "./plain-http-notice.tsx";
import { beginSession, leaveSession } from "./session.ts";
import { say } from "./words.ts";

/** `before`: who was at work here when the session ended. */
export function SignIn({ before }: { before?: Person }) {
  const [number, setNumber] = useState(before?.staffNumber ?? "");
  const [secret, setSecret] = useState("");
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const enter = async (event: Event) => {
    event.preventDefault();
    setBusy(true);
    setError(null);
    try {
      const { person } = await openSession(number.trim(), secret);
      beginSession(person, secret);
    } catch (trouble) {
      setError(trouble);
      setBusy(false);
    }
  };
  return (
    <form class="sign-in" onSubmit={(event) => void enter(event)}>
      <PlainHttp />
      {before ? <p>{say("page.sign-in.again")}</p> : <h1>Ferrule</h1>}
      <label>
        <span>{say("page.sign-in.number")}</span>
        <input
          name="number"
          autocomplete="username"
          autocapitalize="characters"
          spellcheck={false}
          required
          maxLength={limits.staffNumber}
          value={number}
          onInput={(event) => setNumber(event.currentTarget.value)}
        />
      </label>
      <label>
        <span>{say("page.sign-in.secret")}</span>
        <input
          name="secret"
          type="password"
          autocomplete="current-password"
          required
          maxLength={limits.signInSecret}
          value={secret}
          onInput={(event) => setSecret(event.currentTarget.value)}
        />
      </label>
      {error instanceof NoSignal ? (
        <p class="trouble" role="alert">
          {say("page.sign-in.offline")}
        </p>
      ) : (
        <Trouble error={error} />
      )}
      <button type="submit" class="main" disabled={busy}>
        {say("page.sign-in")}
      </button>
      {before && (
        <>
          <p class="small">{say("page.sign-in.other", { name: before.name })}</p>
          <button type="button" class="quiet" onClick={leaveSession}>
            {say("page.sign-out")}
          </button>
        </>
      )}
      <p class="small">{say("caution.line")}</p>
    </form>
  );
}
