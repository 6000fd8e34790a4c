// An inspection that is under way: kept at the service after each item and on this device at once, so that neither a lost signal nor a lost
// device costs more than the item in hand.
import { useEffect, useRef, useState } from "preact/hooks";
import { SHEET_VERSION } from "../../../shared/catalogue/sheet.ts";
import type { InspectionDraft, InspectionDraftBody, ReviewedDraftAnswer } from "../../../shared/contracts/checks.ts";
import { call, NoSignal, Problem } from "../frame/call.ts";
import { newId } from "../frame/new-id.ts";

export type DraftAnswer = InspectionDraftBody["answers"][number];

export interface Draft {
  readonly id: string;
  readonly machineId: string;
  /** the revision at the service that this one is made from; 0 where it was never saved there */
  readonly revision: number;
  readonly odometerKm: number | null;
  readonly answers: readonly DraftAnswer[];
  /** it has entries that are not saved at the service yet */
  readonly ahead: boolean;
  /** who gave which answers, as the service knows it; absent where it was never saved there */
  readonly measuredBy?: InspectionDraft["measuredBy"];
}

const keyOf = (machineId: string): string => `ferrule.inspection.${machineId}`;

function keptHere(machineId: string): Draft | null {
  try {
    return JSON.parse(localStorage.getItem(keyOf(machineId)) ?? "null") as Draft | null;
  } catch {
    return null;
  }
}

function keepHere(draft: Draft): void {
  try {
    localStorage.setItem(keyOf(draft.machineId), JSON.stringify(draft));
  } catch {
    // It is on the page, and goes to the service with the next item.
  }
}

export const forgetHere = (machineId: string): void => localStorage.removeItem(keyOf(machineId));

const fromService = ({ id, machineId, revision, odometerKm, answers, measuredBy }: InspectionDraft): Draft => ({
  ...{ id, machineId, revision, odometerKm, answers, measuredBy },
  ahead: false,
});

/** Both drafts merged; where both have an answer, mine counts. */
export const merged = (mine: Draft, theirs: Draft): Draft => ({
  ...theirs,
  odometerKm: mine.odometerKm ?? theirs.odometerKm,
  answers: [...theirs.answers.filter(({ itemId }) => !mine.answers.some((answer) => answer.itemId === itemId)), ...mine.answers],
  ahead: true,
});

async function theirsOf(machineId: string): Promise<Draft | null> {
  const { items } = await call<{ items: InspectionDraft[] }>(`/v1/weekly-inspections/drafts?machineId=${machineId}&limit=1`);
  return items[0] ? fromService(items[0]) : null;
}

export type SaveState = "saved" | "saving" | "here-only" | "conflict" | "failed";

export interface DraftAtHand {
  readonly draft: Draft | null;
  readonly state: SaveState;
  readonly error: unknown;
  readonly change: (make: (draft: Draft) => Draft) => void;
  readonly saveNow: () => void;
  /** after a conflict: theirs alone, or both with mine first */
  readonly resolve: (how: "theirs" | "both") => Promise<void>;
  /** the inspection was submitted, here or elsewhere */
  readonly end: () => void;
}

const quietMs = 1500;

interface Opened {
  readonly draft: Draft;
  /** the service could not be reached */
  readonly unheard: boolean;
}

/** The draft of this machine: the one at the service, or the one kept here if it has more, or a new one. */
async function openDraft(machineId: string): Promise<Opened> {
  const mine = keptHere(machineId);
  let theirs: Draft | null = null;
  let unheard = false;
  try {
    theirs = await theirsOf(machineId);
  } catch (trouble) {
    if (!(trouble instanceof NoSignal)) throw trouble;
    unheard = true;
  }
  if (mine?.ahead && theirs && theirs.id === mine.id && theirs.revision > mine.revision) return { draft: merged(mine, theirs), unheard };
  if (mine?.ahead && (theirs === null || theirs.id === mine.id)) return { draft: mine, unheard };
  const begun = { id: newId(), machineId, revision: 0, odometerKm: null, answers: [], ahead: false };
  return { draft: theirs ?? mine ?? begun, unheard };
}

/** Saves a draft at the service in place of the revision that it was made from. Returns what the service has then. */
async function storeDraft({ id, machineId, revision, odometerKm, answers }: Draft): Promise<ReviewedDraftAnswer["draft"]> {
  const body: InspectionDraftBody = {
    ...{ machineId, sheetVersion: SHEET_VERSION, revision },
    ...(odometerKm === null ? {} : { odometerKm }),
    answers: [...answers],
  };
  return (await call<ReviewedDraftAnswer>(`/v1/weekly-inspections/drafts/${id}`, { method: "PUT", body })).draft;
}

/** The draft as it stands after `sent` was stored: what was entered while it was on its way is not there yet. */
const afterStoring = (now: Draft, sent: Draft, { revision, measuredBy }: ReviewedDraftAnswer["draft"]): Draft => ({
  ...now,
  revision,
  measuredBy,
  ahead: now.answers !== sent.answers || now.odometerKm !== sent.odometerKm,
});

const stateAfter = (trouble: unknown): SaveState => {
  if (trouble instanceof Problem && trouble.code === "draft-changed") return "conflict";
  return trouble instanceof NoSignal ? "here-only" : "failed";
};

interface Opening {
  readonly save: () => Promise<void>;
  readonly onOpened: (opened: Opened) => void;
  readonly onTrouble: (trouble: unknown) => void;
  readonly onLeaving: () => void;
}

/** Opens the draft of this machine; saves what is ahead of the service at once, when there is a signal again, and when the page is left. */
function useOpening(machineId: string, { save, onOpened, onTrouble, onLeaving }: Opening): void {
  useEffect(() => {
    let gone = false;
    openDraft(machineId).then((opened) => {
      if (gone) return;
      onOpened(opened);
      if (opened.draft.ahead) void save();
    }, onTrouble);
    const again = () => void save();
    addEventListener("online", again);
    return () => {
      gone = true;
      removeEventListener("online", again);
      onLeaving();
      void save();
    };
  }, [machineId]);
}

/** The draft at hand: shown at once, kept here with each touch, and saved at the service a moment later. */
export function useDraft(machineId: string): DraftAtHand {
  const [draft, setDraft] = useState<Draft | null>(null);
  const [state, setState] = useState<SaveState>("saved");
  const [error, setError] = useState<unknown>(null);
  const latest = useRef<Draft | null>(null);
  const saving = useRef(false);
  const ended = useRef(false);
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);

  const show = (next: Draft) => {
    latest.current = next;
    setDraft(next);
    if (!ended.current) keepHere(next);
  };

  const save = async (): Promise<void> => {
    const mine = latest.current;
    if (!mine?.ahead || saving.current || ended.current) return;
    saving.current = true;
    setState("saving");
    try {
      const stored = await storeDraft(mine);
      show(afterStoring(latest.current ?? mine, mine, stored));
      setState("saved");
      setError(null);
    } catch (trouble) {
      setState(stateAfter(trouble));
      setError(trouble instanceof NoSignal ? null : trouble);
    } finally {
      saving.current = false;
      if (latest.current?.ahead && latest.current.answers !== mine.answers) later();
    }
  };
  const later = () => {
    clearTimeout(timer.current);
    timer.current = setTimeout(() => void save(), quietMs);
  };

  useOpening(machineId, {
    save,
    onOpened: ({ draft: opened, unheard }) => {
      if (unheard) setState("here-only");
      show(opened);
    },
    onTrouble: (trouble) => {
      setError(trouble);
      setState("failed");
    },
    onLeaving: () => clearTimeout(timer.current),
  });

  return {
    draft,
    state,
    error,
    change: (make) => {
      if (!latest.current) return;
      show({ ...make(latest.current), ahead: true });
      if (state !== "conflict") later();
    },
    saveNow: () => void save(),
    resolve: async (how) => {
      try {
        const theirs = await theirsOf(machineId);
        const mine = latest.current;
        if (theirs && mine) show(how === "theirs" ? theirs : merged(mine, theirs));
        setState("saved");
        setError(null);
        await save();
      } catch (trouble) {
        setError(trouble);
      }
    },
    end: () => {
      ended.current = true;
      clearTimeout(timer.current);
      forgetHere(machineId);
    },
  };
}
