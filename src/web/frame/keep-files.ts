// Registers the service worker, which keeps the pages' files for places without a signal; a new version takes over between two tasks of the user.

let busy = 0;

/** Says that the user is in the middle of something that reloading the page would lose, until the returned function is called. */
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
      // Looks for a new version when the page comes back to the front: a phone may keep it open for weeks.
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
