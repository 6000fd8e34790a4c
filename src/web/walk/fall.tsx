// The machine fell or was in a collision: what it struck, what looks bent, a photo. Whatever is left out, it is grounded until it is inspected.
import { useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import { takeFall } from "../../../shared/rules/fall.ts";
import { put, sendAll } from "../field/outbox.ts";
import { PhotoField } from "../field/photo-field.tsx";
import { newId } from "../frame/new-id.ts";
import { Pick } from "../frame/parts.tsx";
import { go } from "../frame/route.ts";
import { WhatHappened } from "../frame/what-happened.tsx";
import { say, sayCounted } from "../frame/words.ts";
import { aboutNow, Consequence, type Sent } from "./report.tsx";
import { SteadyButton } from "./steady-button.tsx";
import type { WalkingProps } from "./walking.tsx";

interface Told {
  readonly hit: string | null;
  readonly bent: readonly string[];
  readonly hoursAgo: number;
  readonly odometer: string;
  readonly note: string;
  readonly photoIds: readonly string[];
}

const nothingTold: Told = { hit: null, bent: [], hoursAgo: 0, odometer: "", note: "", photoIds: [] };

/** How long ago it may have been, in hours: a fall is told at once, or when the shift is over. */
const hoursOffered = [0, 1, 2, 4, 8, 24] as const;

export function Fall(props: WalkingProps) {
  const { machine, checked } = props;
  const [told, setTold] = useState<Told>(nothingTold);
  const [sent, setSent] = useState<Sent | null>(null);
  if (sent) return <Consequence {...props} sent={sent} />;
  const change = (part: Partial<Told>) => setTold((before) => ({ ...before, ...part }));
  const { hit } = told;
  const send = async () => {
    if (hit === null) return;
    setSent(await takeToOutbox({ ...told, hit }, props));
    void sendAll();
  };
  return (
    <section class="walk">
      <header>
        <p class="plate mono">{machine.registrationMark}</p>
      </header>
      <h1>{say("walk.fall.title")}</h1>
      <p>{say("walk.fall.first")}</p>
      <WhatHappened {...{ told, change, features: checked.features }} />
      <PhotoField
        count={told.photoIds.length}
        keepPhoto={async (picture) => {
          const id = newId();
          await put({ kind: "photo", id, picture, ...aboutNow(props) });
          return id;
        }}
        onPhoto={(id) => setTold((before) => ({ ...before, photoIds: [...before.photoIds, id] }))}
      />
      <Pick
        label={say("walk.fall.when")}
        value={String(told.hoursAgo)}
        options={hoursOffered.map((hours) => ({
          value: String(hours),
          text: hours === 0 ? say("walk.fall.now") : sayCounted("walk.fall.ago", hours),
        }))}
        onChange={(hours) => change({ hoursAgo: Number(hours) })}
      />
      <label>
        <span>{say("walk.fall.odometer")}</span>
        <input
          class="mono"
          inputMode="numeric"
          autocomplete="off"
          maxLength={7}
          value={told.odometer}
          onInput={({ currentTarget: { value } }) => change({ odometer: value.replace(/\D/g, "") })}
        />
      </label>
      <label>
        <span>{say("walk.note")}</span>
        <textarea
          dir="auto"
          rows={2}
          maxLength={limits.note}
          value={told.note}
          onInput={({ currentTarget: { value } }) => change({ note: value })}
        />
      </label>
      <p class="small">{say("walk.fall.then")}</p>
      <div class="thumb">
        <button type="button" onClick={() => go("walk")}>
          {say("page.back")}
        </button>
        <SteadyButton shown="fall" disabled={hit === null} act={send}>
          {say("walk.report.send")}
        </SteadyButton>
      </div>
    </section>
  );
}

/** Puts the report into the outbox, and takes the fall into the machine's state by the rules. */
async function takeToOutbox(told: Told & { readonly hit: string }, props: WalkingProps): Promise<Sent> {
  const { machine, checked } = props;
  const about = aboutNow(props);
  const now = new Date(about.madeAt);
  const id = newId();
  const happenedAt = new Date(now.getTime() - told.hoursAgo * 3_600_000);
  const odometerKm = told.odometer === "" ? undefined : Number(told.odometer);
  const { hit, bent, note, photoIds } = told;
  const body = {
    ...{ id, machineId: machine.id, happenedAt: happenedAt.toISOString(), hit },
    ...(bent.length > 0 ? { bent: [...bent] } : {}),
    ...(note.trim() === "" ? {} : { note: note.trim() }),
    ...(photoIds.length > 0 ? { photoIds: [...photoIds] } : {}),
    ...(odometerKm === undefined || odometerKm > limits.odometerKm ? {} : { odometerKm }),
  };
  await put({ kind: "fall", id, body, ...about });
  return { ids: [id], state: takeFall(machine.state, id, { happenedAt, odometerKm }, now, checked.depotRules).state };
}
