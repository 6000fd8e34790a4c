// Whether one piece has reached the service, in a sentence.

import { heldUp, isKept, isUnsent, waiting } from "../field/outbox.ts";
import { useStore } from "../frame/store.ts";
import { say, sayTime } from "../frame/words.ts";
import { sayHeld } from "./say-held.ts";
import { sayNotTaken } from "./say-not-taken.ts";

export function SentLine({ id }: { id: string }) {
  const piece = useStore(waiting).find((one) => one.id === id);
  const held = useStore(heldUp).get(id);
  return (
    <p class="sent" role="status">
      {piece?.refused
        ? say("walk.sent.refused", { why: sayNotTaken(piece.refused) })
        : piece === undefined || !isUnsent(piece)
          ? say("walk.sent.yes")
          : held
            ? say("walk.sent.held", { why: sayHeld(held), time: sayTime(held.againAt) })
            : say(isKept(id) ? "walk.sent.not-yet" : "walk.sent.not-kept")}
    </p>
  );
}
