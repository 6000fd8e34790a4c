// What somebody else wrote down on this phone and the service does not know yet: it counts on this phone, and its present user can report it.
import type { Person } from "../../../shared/contracts/people.ts";
import { sayBent, sayHit } from "../../../shared/words/say-fall.ts";
import { allThatWasSeen, nameOfItem } from "../../../shared/words/say-reason.ts";
import { nowBy, type OfflineBundle } from "../field/offline-bundle.ts";
import { put, sendAll, waiting } from "../field/outbox.ts";
import { findingsIn, isGrounding, type PieceFinding } from "../field/overlay.ts";
import type { Waiting, WaitingFall } from "../field/waiting-shape.ts";
import { newId } from "../frame/new-id.ts";
import { useStore } from "../frame/store.ts";
import { language, say, sayMoment } from "../frame/words.ts";

interface WaitsHereProps {
  readonly person: Person;
  readonly bundle: OfflineBundle;
  /** only what is about this machine */
  readonly machineId?: string;
}

type Piece = Exclude<Waiting, { readonly kind: "photo" }>;

const longestNote = 1000;

/** Reports the findings in the name of the person who passes them on, with a note that says so. The piece itself stays for its maker. */
async function passOn(piece: Piece, findings: readonly PieceFinding[], person: Person, bundle: OfflineBundle): Promise<void> {
  const madeAt = nowBy(bundle).toISOString();
  const about = { staffId: person.id, staffName: person.name, registrationMark: piece.registrationMark, madeAt };
  const from = say("walk.other.note", { name: piece.staffName, at: sayMoment(piece.madeAt) });
  const noted = (note: string | null): string => [from, ...(note === null ? [] : [note])].join(" ").slice(0, longestNote);
  if (piece.kind === "fall") {
    const id = newId();
    // A photo belongs to whoever took it, and goes with their own report.
    const { photoIds: _, ...told } = piece.body;
    await put({ kind: "fall", id, body: { ...told, id, note: noted(told.note ?? null) }, ...about });
  }
  for (const { itemId, observationIds, note } of findings) {
    const id = newId();
    const body = {
      ...{ id, machineId: piece.body.machineId, seenAt: piece.madeAt },
      ...(itemId === null ? {} : { itemId }),
      ...(observationIds.length > 0 ? { observationIds: [...observationIds] } : {}),
      note: noted(note),
    };
    await put({ kind: "defect", id, body, ...about });
  }
  await put({ ...piece, passedOn: { name: person.name, at: madeAt } });
  void sendAll();
}

const sayFall = ({ hit, bent = [] }: WaitingFall["body"]): string =>
  [sayHit(hit, language()), ...bent.map((part) => sayBent(part, language()))].join("; ");

export interface OthersPiece {
  readonly piece: Piece;
  readonly findings: readonly PieceFinding[];
}

/** What others wrote down on this phone and nobody has sent to the service yet. */
export const othersPieces = (pieces: readonly Waiting[], bundle: OfflineBundle, person: Person): readonly OthersPiece[] =>
  pieces.flatMap((piece) => {
    if (piece.kind === "photo" || piece.staffId === person.id || piece.passedOn || (piece.kind === "check" && piece.overruled)) return [];
    const findings = findingsIn(bundle, piece);
    return findings.length > 0 || piece.kind === "fall" ? [{ piece, findings }] : [];
  });

export function WaitsHere({ person, bundle, machineId }: WaitsHereProps) {
  const others = othersPieces(useStore(waiting), bundle, person).filter(
    ({ piece }) => machineId === undefined || piece.body.machineId === machineId,
  );
  return (
    <>
      {others.map(({ piece, findings }) => (
        <div key={piece.id} class={piece.kind === "fall" || isGrounding(findings) ? "trouble" : "notice"} role="status">
          {machineId === undefined && <p class="plate mono">{piece.registrationMark}</p>}
          <p>{say("walk.other.wrote", { name: piece.staffName, at: sayMoment(piece.madeAt) })}</p>
          {piece.kind === "fall" && <p>{sayFall(piece.body)}</p>}
          <ul>
            {findings.map(({ itemId, observationIds, category, note }) => (
              <li key={itemId ?? ""}>
                {say(`category.${category}`)}: {nameOfItem(itemId, language())}
                {observationIds.length > 0 && `, ${allThatWasSeen(observationIds, language()).join("; ")}`}
                {note !== null && (
                  <>
                    {" "}
                    (<bdi>{note}</bdi>)
                  </>
                )}
              </li>
            ))}
          </ul>
          <p>{say("walk.other.counts", { name: piece.staffName })}</p>
          <button type="button" onClick={() => void passOn(piece, findings, person, bundle)}>
            {say("walk.other.pass-on")}
          </button>
          <p class="small">{say("walk.other.pass-on.why", { name: piece.staffName })}</p>
        </div>
      ))}
    </>
  );
}
