// The service worker keeps the pages' files for a place without a signal, and the next version of them takes over between two tasks.

let busy = 0;

/** Somebody is in the middle of something that a new page would take from them, until the returned function is called. */
export function inTheMiddle(): () => void {
  busy += 1;
  return () => {
    busy -= 1;
  };
}

export const isInTheMiddle = (): boolean => busy > 0;

export function keepFiles(): void {
  const { serviceWorker } = navigator;
  if (!serviceWorker) return;
  const hadOne = serviceWorker.controller !== null;
  serviceWorker.addEventListener("controllerchange", () => {
    if (hadOne && busy === 0) location.reload();
  });
  const offer = (registration: ServiceWorkerRegistration) => {
    if (busy === 0 && serviceWorker.controller) registration.waiting?.postMessage("take over");
  };
  serviceWorker.register("/worker.js").then(
    (registration) => {
      offer(registration);
      // Asked for when the page comes back to the front: a phone keeps it open for weeks.
      document.addEventListener("visibilitychange", () => {
        if (document.visibilityState !== "visible") return;
        offer(registration);
        registration.update().catch(() => undefined);
      });
    },
    // Without it the page works while there is a signal.
    () => undefined,
  );
}
