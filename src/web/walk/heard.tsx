// Since when this phone has heard nothing: what it shows may be old, and says so.
import { type Kit, kitIsOld, lost } from "../field/kit.ts";
import { useStore } from "../frame/store.ts";
import { say, sayMoment } from "../frame/words.ts";

/** Nothing while the phone hears the service. */
export function NotHeard({ kit }: { kit: Kit }) {
  const isLost = useStore(lost);
  if (!isLost && !kitIsOld(kit)) return null;
  return (
    <p class="notice" role="status">
      {say("walk.not-heard", { at: sayMoment(kit.at) })}
    </p>
  );
}
