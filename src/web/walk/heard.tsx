// Says since when this phone has heard nothing from the service, because what it shows may be old.
import { bundleIsOld, lost, type OfflineBundle } from "../field/offline-bundle.ts";
import { useStore } from "../frame/store.ts";
import { say, sayMoment } from "../frame/words.ts";

/** Nothing while the phone hears the service. */
export function NotHeard({ bundle }: { bundle: OfflineBundle }) {
  const isLost = useStore(lost);
  if (!isLost && !bundleIsOld(bundle)) return null;
  return (
    <p class="notice" role="status">
      {say("walk.not-heard", { at: sayMoment(bundle.at) })}
    </p>
  );
}
