// Reporting a defect noticed on the road: no walk round, only what is seen, and whether the rider may ride on.
import { useState } from "preact/hooks";
import { isOfRider, SHEET_VERSION } from "../../../shared/catalogue/sheet.ts";
import type { ReportDefectBody } from "../../../shared/contracts/defects.ts";
import { findingOf } from "../../../shared/rules/answers.ts";
import { recordFinding } from "../../../shared/rules/findings.ts";
import type { MachineState } from "../../../shared/rules/machine-state.ts";
import { obstacles, toleratedDefects } from "../../../shared/rules/standing.ts";
import { itemName, stationName } from "../../../shared/words/item-words.ts";
import { nowBy } from "../field/offline-bundle.ts";
import { put, sendAll } from "../field/outbox.ts";
import { newId } from "../frame/new-id.ts";
import { go } from "../frame/route.ts";
import { language, say } from "../frame/words.ts";
import { Verdict } from "./answer.tsx";
import { ItemSheet } from "./item-sheet.tsx";
import { knownAt } from "./known.tsx";
import { SentLine } from "./sent-line.tsx";
import { SteadyButton } from "./steady-button.tsx";
import { type Found, foundNothing, isNothing, stationsOf } from "./walk.ts";
import type { WalkingProps } from "./walking.tsx";

type AllFound = Readonly<Record<string, Found>>;

export interface Sent {
  readonly ids: readonly string[];
  /** the machine's state with what was reported */
  readonly state: MachineState;
}

export function Report(props: WalkingProps) {
  const { machine, checked } = props;
  const [found, setFound] = useState<AllFound>({});
  const [open, setOpen] = useState<string | null>(null);
  const [sent, setSent] = useState<Sent | null>(null);
  if (sent) return <Consequence {...props} sent={sent} />;
  // Items about the rider's own equipment belong to a check: they are no defects of the machine.
  const stations = stationsOf(checked.features).filter(({ items }) => !items.every(isOfRider));
  const send = async () => {
    setSent(await takeToOutbox(found, props));
    void sendAll();
  };
  const item = stations.flatMap(({ items }) => items).find(({ id }) => id === open);
  return (
    <section class="walk">
      <header>
        <p class="plate mono">{machine.registrationMark}</p>
      </header>
      <h1>{say("walk.report.title")}</h1>
      <p>{say("walk.report.where")}</p>
      {stations.map(({ id, items }) => (
        <details key={id} open={items.some((one) => found[one.id])}>
          <summary>{stationName(id, language())}</summary>
          <ul class="list items">
            {items.map((one) => (
              <li key={one.id}>
                <button type="button" class={found[one.id] ? "item item-found" : "item"} onClick={() => setOpen(one.id)}>
                  {itemName(one.id, language())}
                  {found[one.id] && <span class="item-found-word">{say("walk.not-right.said")}</span>}
                </button>
              </li>
            ))}
          </ul>
        </details>
      ))}
      {item && (
        <ItemSheet
          item={item}
          features={checked.features}
          onWalkOf={null}
          known={knownAt(machine.state, item.id)}
          timeZone={machine.timeZone}
          found={found[item.id] ?? null}
          onFound={(change) =>
            setFound((before) => {
              const { [item.id]: had, ...others } = before;
              const next = change(had ?? foundNothing);
              return isNothing(next) ? others : { ...others, [item.id]: next };
            })
          }
          keepPhoto={async (picture) => {
            const id = newId();
            await put({ kind: "photo", id, picture, ...aboutNow(props) });
            return id;
          }}
          onClose={() => setOpen(null)}
        />
      )}
      <div class="thumb">
        <button type="button" onClick={() => go("walk")}>
          {say("page.back")}
        </button>
        <SteadyButton shown="report" disabled={Object.keys(found).length === 0} act={send}>
          {say("walk.report.send")}
        </SteadyButton>
      </div>
    </section>
  );
}

/** Who writes down what, of which machine and when, as every piece of the outbox says it. */
export const aboutNow = ({ person, bundle, machine }: WalkingProps) => ({
  ...{ staffId: person.id, staffName: person.name, registrationMark: machine.registrationMark },
  madeAt: nowBy(bundle).toISOString(),
});

/** Puts a report for each item into the outbox, and judges the consequences by the rules. */
async function takeToOutbox(found: AllFound, props: WalkingProps): Promise<Sent> {
  const { machine, checked } = props;
  const about = aboutNow(props);
  const now = new Date(about.madeAt);
  let { state } = machine;
  const ids: string[] = [];
  for (const [itemId, { observationIds, note, photoIds }] of Object.entries(found)) {
    const id = newId();
    const body: ReportDefectBody = {
      ...{ id, machineId: machine.id, seenAt: about.madeAt, itemId },
      ...(observationIds.length > 0 ? { observationIds: [...observationIds] } : {}),
      ...(note.trim() === "" ? {} : { note: note.trim() }),
      ...(photoIds.length > 0 ? { photoIds: [...photoIds] } : {}),
    };
    await put({ kind: "defect", id, body, ...about });
    state = recordFinding(
      state,
      findingOf(itemId, observationIds, SHEET_VERSION),
      id,
      { seenAt: now, recordedAt: now },
      checked.depotRules,
    ).state;
    ids.push(id);
  }
  return { ids, state };
}

/** What it means for riding on. */
export function Consequence({ bundle, machine, checked, sent: { ids, state } }: WalkingProps & { readonly sent: Sent }) {
  const now = nowBy(bundle);
  const against = obstacles(state, now, checked.depotRules);
  const decision = against.length > 0 ? "do-not-ride" : "ride-with-defects";
  return (
    <section class={`answer answer-${decision}`}>
      <Verdict
        decision={decision}
        mark={machine.registrationMark}
        until={null}
        reasons={[...against, ...toleratedDefects(state, now, checked.depotRules)]}
      />
      {ids.map((id) => (
        <SentLine key={id} id={id} />
      ))}
      <p class="small">{say("caution.line")}</p>
      <div class="thumb">
        <SteadyButton shown="answer" act={() => go("walk")}>
          {say("walk.answer.done")}
        </SteadyButton>
      </div>
    </section>
  );
}
