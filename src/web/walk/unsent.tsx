// What has not reached the service yet, said plainly, and what to do about a piece that it did not take.
import type { Person } from "../../../shared/contracts/people.ts";
import { isKept, isUnsent, sendAll, takeOut, waiting } from "../field/outbox.ts";
import { useStore } from "../frame/store.ts";
import { say, sayMoment } from "../frame/words.ts";
import { sayNotTaken } from "./say-not-taken.ts";

export function Unsent({ person }: { person: Person }) {
  const all = useStore(waiting);
  const mine = all.filter(({ staffId }) => staffId === person.id);
  const unsent = mine.filter(isUnsent);
  const refused = mine.filter((piece) => piece.refused);
  const others = [...new Set(all.filter(({ staffId }) => staffId !== person.id).map(({ staffName }) => staffName))];
  return (
    <>
      {unsent.length > 0 && (
        <div class="notice" role="status">
          <p>
            <strong>{say(unsent.length === 1 ? "walk.unsent.one" : "walk.unsent.many", { count: unsent.length })}</strong>{" "}
            {say(unsent.every(({ id }) => isKept(id)) ? "walk.unsent.kept" : "walk.unsent.not-kept")}
          </p>
          <ul>
            {unsent.map((piece) => (
              <li key={piece.id}>{say(`walk.piece.${piece.kind}`, { mark: piece.registrationMark, at: sayMoment(piece.madeAt) })}</li>
            ))}
          </ul>
          <button type="button" onClick={() => void sendAll()}>
            {say("walk.sent.now")}
          </button>
        </div>
      )}
      {refused.map((piece) => (
        <div key={piece.id} class="trouble" role="alert">
          <p>
            {say(`walk.piece.${piece.kind}`, { mark: piece.registrationMark, at: sayMoment(piece.madeAt) })}.{" "}
            {say("walk.refused", { why: sayNotTaken(piece.refused?.code ?? "", piece.refused?.detail ?? "") })}{" "}
            {say(piece.kind === "photo" ? "walk.refused.photo" : "walk.refused.again")}
          </p>
          <button type="button" onClick={() => void takeOut(piece.id)}>
            {say("walk.refused.drop")}
          </button>
        </div>
      ))}
      {others.map((name) => (
        <p key={name} class="notice">
          {say("walk.unsent.other", { name })}
        </p>
      ))}
    </>
  );
}
