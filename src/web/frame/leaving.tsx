// Signing out: what waits on this device is sent first, while there is a session; what could not be sent is shown before the user leaves.
import { useState } from "preact/hooks";
import type { Person } from "../../../shared/contracts/people.ts";
import type { Waiting } from "../field/waiting-shape.ts";
import { call } from "./call.ts";
import { Trouble } from "./parts.tsx";
import { leaveSession } from "./session.ts";
import { say, sayCounted, sayMoment } from "./words.ts";

/** Sends this person's pieces and returns those that remain. The outbox's code is loaded only now: at a desk there is no outbox. */
async function sendFirst(person: Person): Promise<readonly Waiting[]> {
  const { isUnsent, sendAll, waiting } = await import("../field/outbox.ts");
  await sendAll();
  return waiting.get().filter((piece) => piece.staffId === person.id && isUnsent(piece));
}

const tellsOfDefect = (piece: Waiting): boolean =>
  piece.kind === "defect" ||
  piece.kind === "fall" ||
  (piece.kind === "check" && piece.body.answers.some(({ result }) => result === "defect"));

export function Leaving({ person, onStay }: { person: Person; onStay: () => void }) {
  const [left, setLeft] = useState<readonly Waiting[] | null>(null);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const leave = () => call("/v1/sign-out", { method: "POST" }).then(leaveSession, setError);
  const begin = async () => {
    setBusy(true);
    setError(null);
    const stays = await sendFirst(person).catch(() => []);
    setBusy(false);
    if (stays.length > 0) setLeft(stays);
    else await leave();
  };
  if (left === null) {
    return (
      <>
        <Trouble error={error} />
        <button type="button" disabled={busy} onClick={() => void begin()}>
          {say("page.sign-out")}
        </button>
      </>
    );
  }
  return (
    <div class="trouble" role="alert" ref={(box) => box?.scrollIntoView({ block: "end" })}>
      <p>
        <strong>{sayCounted("leave", left.length)}</strong> {say("leave.what")}
      </p>
      <ul>
        {left.map((piece) => (
          <li key={piece.id}>{say(`walk.piece.${piece.kind}`, { mark: piece.registrationMark, at: sayMoment(piece.madeAt) })}</li>
        ))}
      </ul>
      {left.some(tellsOfDefect) && <p>{say("leave.defect")}</p>}
      <Trouble error={error} />
      <p class="row">
        <button type="button" class="main" onClick={onStay}>
          {say("leave.stay")}
        </button>
        <button type="button" onClick={() => void leave()}>
          {say("leave.all-the-same")}
        </button>
      </p>
    </div>
  );
}
