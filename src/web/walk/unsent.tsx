// What has not reached the service yet, and what to do about a piece that it did not accept.
import type { Person } from "../../../shared/contracts/people.ts";
import type { OfflineBundle } from "../field/offline-bundle.ts";
import { type Held, heldUp, isKept, isUnsent, sendAll, takeOut, waiting } from "../field/outbox.ts";
import { useStore } from "../frame/store.ts";
import { say, sayCounted, sayMoment, sayTime } from "../frame/words.ts";
import { sayHeld } from "./say-held.ts";
import { sayNotTaken } from "./say-not-taken.ts";
import { othersPieces, WaitsHere } from "./waits-here.tsx";

export function Unsent({ person, bundle }: { person: Person; bundle: OfflineBundle }) {
  const all = useStore(waiting);
  const held = useStore(heldUp);
  const mine = all.filter(({ staffId }) => staffId === person.id);
  const unsent = mine.filter(isUnsent);
  const refused = mine.filter((piece) => piece.refused);
  const others = all.filter(({ staffId }) => staffId !== person.id);
  const passedOn = others.filter((piece) => piece.passedOn);
  const shown = othersPieces(all, bundle, person).map(({ piece }) => piece);
  const names = [...new Set(others.filter((piece) => !piece.passedOn).map(({ staffName }) => staffName))].filter(
    (name) => !shown.some(({ staffName }) => staffName === name),
  );
  return (
    <>
      {unsent.length > 0 && (
        <div class="notice" role="status">
          <p>
            <strong>{sayCounted("walk.unsent", unsent.length)}</strong>{" "}
            {say(unsent.every(({ id }) => isKept(id)) ? "walk.unsent.kept" : "walk.unsent.not-kept")}
          </p>
          <ul>
            {unsent.map((piece) => (
              <li key={piece.id}>
                {say(`walk.piece.${piece.kind}`, { mark: piece.registrationMark, at: sayMoment(piece.madeAt) })}
                <Why held={held.get(piece.id)} />
              </li>
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
            {piece.refused && say("walk.refused", { why: sayNotTaken(piece.refused) })}{" "}
            {say(piece.kind === "photo" ? "walk.refused.photo" : "walk.refused.again")}
          </p>
          <button type="button" onClick={() => void takeOut(piece.id)}>
            {say("walk.refused.drop")}
          </button>
        </div>
      ))}
      <WaitsHere person={person} bundle={bundle} />
      {names.map((name) => (
        <p key={name} class="notice">
          {say("walk.unsent.of-others", { name })}
        </p>
      ))}
      {passedOn.map(({ id, staffName, passedOn: by }) => (
        <p key={id} class="notice">
          {say("walk.other.passed-on", { owner: staffName, name: by?.name ?? "" })}
        </p>
      ))}
    </>
  );
}

const Why = ({ held }: { held: Held | undefined }) =>
  held ? <span class="small"> {say("walk.held.again", { why: sayHeld(held), time: sayTime(held.againAt) })}</span> : null;
