// Who is signed in on this device, as far as the page can know: the tokens are in cookies that no script can read.
import type { Person } from "../../../shared/contracts/people.ts";
import { createStore } from "./store.ts";

const key = "ferrule.person";

function kept(): Person | null {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "null") as Person | null;
  } catch {
    return null;
  }
}

export interface SignInState {
  readonly person: Person | null;
  /** the session ended by itself: the page stays as it is, and asks the same person to sign in again */
  readonly ended: boolean;
  /** the one-time code that was just typed, so that it is not asked for twice; never kept */
  readonly code: string | null;
}

export const signInState = createStore<SignInState>({ person: kept(), ended: false, code: null });

export const signedInPerson = (): Person | null => signInState.get().person;

export function beginSession(person: Person, shown?: string): void {
  localStorage.setItem(key, JSON.stringify(person));
  signInState.set({ person, ended: false, code: person.mustChangeSecret ? (shown ?? null) : null });
}

/** The service refuses everything from this person until they have chosen a secret of their own. */
export function mustChooseSecret(): void {
  const person = signedInPerson();
  if (person && !person.mustChangeSecret) beginSession({ ...person, mustChangeSecret: true });
}

/** The service does not know the session any more. What is on the page stays. */
export function endSession(): void {
  if (signInState.get().ended) return;
  signInState.set({ person: signedInPerson(), ended: true, code: null });
}

export function leaveSession(): void {
  localStorage.removeItem(key);
  // The next user begins on the first page.
  location.hash = "";
  signInState.set({ person: null, ended: false, code: null });
}

// Another tab signed in or out: this one follows.
addEventListener("storage", (event) => {
  if (event.key === key) signInState.set({ person: kept(), ended: false, code: null });
});
