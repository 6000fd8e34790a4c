// Allows a walk in one tab only: two tabs would overwrite each other and lose findings.
import { useEffect, useState } from "preact/hooks";

/** Holds a lock of that name while the component is mounted. `elsewhere`: another tab has it; `goOnHere` takes it over. */
export function useOneTab(name: string): { readonly elsewhere: boolean; readonly goOnHere: () => void } {
  const [elsewhere, setElsewhere] = useState(false);
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    // Over plain http one tab cannot be told from another.
    if (!navigator.locks) return undefined;
    let release: () => void = () => undefined;
    let gone = false;
    const options: LockOptions = turn === 0 ? { ifAvailable: true } : { steal: true };
    navigator.locks
      .request(name, options, (lock) => {
        if (gone) return undefined;
        setElsewhere(lock === null);
        if (lock === null) return undefined;
        return new Promise<void>((resolve) => {
          release = resolve;
        });
      })
      // Another tab took it over.
      .catch(() => {
        if (!gone) setElsewhere(true);
      });
    return () => {
      gone = true;
      release();
    };
  }, [name, turn]);
  return { elsewhere, goOnHere: () => setTurn((count) => count + 1) };
}
