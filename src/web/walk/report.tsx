// A defect that shows itself on the way: no walk round, only what is seen, and what it means for riding on.
import { useState } from "preact/hooks";
import { isOfRider, SHEET_VERSION } from "../../../shared/catalogue/sheet.ts";
import type { ReportDefectBody } from "../../../shared/contracts/defects.ts";
import { findingOf } from "../../../shared/rules/answers.ts";
import { report } from "../../../shared/rules/findings.ts";
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

export function Report({ person, bundle, machine, checked }: WalkingProps) {
  const [found, setFound] = useState<Readonly<Record<string, Found>>>({});
  const [open, setOpen] = useState<string | null>(null);
  const [sent, setSent] = useState<{ readonly ids: readonly string[]; readonly state: typeof machine.state } | null>(null);
  // What the rider wears is said in a check: it is no defect of the machine.
  const stations = stationsOf(checked.features).filter(({ items }) => !items.every(isOfRider));
  const now = nowBy(bundle);
  const about = { staffId: person.id, staffName: person.name, registrationMark: machine.registrationMark, madeAt: now.toISOString() };

  if (sent) {
    const against = obstacles(sent.state, now, checked.place);
    return (
      <section class={`answer answer-${against.length > 0 ? "do-not-ride" : "ride-with-defects"}`}>
        <Verdict
          decision={against.length > 0 ? "do-not-ride" : "ride-with-defects"}
          mark={machine.registrationMark}
          until={null}
          reasons={[...against, ...toleratedDefects(sent.state, now, checked.place)]}
        />
        {sent.ids.map((id) => (
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

  const keepPhoto = async (picture: Blob): Promise<string> => {
    const id = newId();
    await put({ kind: "photo", id, picture, ...about });
    return id;
  };
  const send = async () => {
    let { state } = machine;
    const ids: string[] = [];
    for (const [itemId, { observationIds, note, photoIds }] of Object.entries(found)) {
      const id = newId();
      const body: ReportDefectBody = {
        ...{ id, machineId: machine.id, seenAt: now.toISOString(), itemId },
        ...(observationIds.length > 0 ? { observationIds: [...observationIds] } : {}),
        ...(note.trim() === "" ? {} : { note: note.trim() }),
        ...(photoIds.length > 0 ? { photoIds: [...photoIds] } : {}),
      };
      await put({ kind: "defect", id, body, ...about });
      state = report(state, findingOf(itemId, observationIds, SHEET_VERSION), id, { seenAt: now, recordedAt: now }, checked.place).state;
      ids.push(id);
    }
    setSent({ ids, state });
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
          keepPhoto={keepPhoto}
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
