// Whether one piece has reached the service, in a sentence.

import { isKept, isUnsent, waiting } from "../field/outbox.ts";
import { useStore } from "../frame/store.ts";
import { say } from "../frame/words.ts";
import { sayNotTaken } from "./say-not-taken.ts";

export function SentLine({ id }: { id: string }) {
  const piece = useStore(waiting).find((one) => one.id === id);
  return (
    <p class="sent" role="status">
      {piece?.refused
        ? say("walk.sent.refused", { why: sayNotTaken(piece.refused.code, piece.refused.detail) })
        : piece === undefined || !isUnsent(piece)
          ? say("walk.sent.yes")
          : say(isKept(id) ? "walk.sent.not-yet" : "walk.sent.not-kept")}
    </p>
  );
}
