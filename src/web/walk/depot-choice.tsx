// Which depot's machines are in the bundle: asked only of riders who have several depots.
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { bundleDepot, hasSeveralDepots } from "../field/offline-bundle.ts";
import { callAll } from "../frame/call.ts";
import { Pick, useLoaded } from "../frame/parts.tsx";
import { useStore } from "../frame/store.ts";
import { say } from "../frame/words.ts";

export const DepotChoice = ({ person, onChoose }: { person: Person; onChoose: () => void }) =>
  hasSeveralDepots(person) ? <Choice onChoose={onChoose} /> : null;

function Choice({ onChoose }: { onChoose: () => void }) {
  const depots = useLoaded((signal) => callAll<Depot>("/v1/depots", undefined, signal), []);
  const chosen = useStore(bundleDepot);
  // Without a signal there is nothing to choose from: what is here is what was taken along.
  if (depots.value === null || depots.value.length < 2) return null;
  return (
    <Pick
      label={say("page.depot")}
      value={chosen}
      options={[{ value: "", text: say("page.all-depots") }, ...depots.value.map(({ id, name }) => ({ value: id, text: name }))]}
      onChange={(depotId) => {
        bundleDepot.set(depotId);
        onChoose();
      }}
    />
  );
}
